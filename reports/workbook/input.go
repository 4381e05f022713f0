package workbook

import (
	"strings"

	"bookmatch/reports"
	"bookmatch/reports/plain"

	"github.com/xuri/excelize/v2"
)

// inputSheet is the name of the sheet whose tinted cells may be changed.
const inputSheet = "Inputs"

// inputTable lists the inputs; the value column is what formulas read.
func inputTable(inputs []reports.Input) *reports.Table {
	t := &reports.Table{Name: inputSheet, Title: "Inputs",
		Subtitle: "Change a tinted cell and the cells that hold formulas follow.",
		Columns: []reports.Column{
			{Key: "input", Header: "input", Width: 30},
			{Key: "value", Header: "value", Kind: reports.KindNumber, Width: 14},
			{Key: "unit", Header: "unit", Width: 12},
			{Key: "name", Header: "name in formulas", Width: 22},
			{Key: "basis", Header: "where it comes from", Width: 42},
		}}
	for _, in := range inputs {
		t.AddKey(in.Name, reports.Text(in.Label), in.Value, reports.Text(in.Unit), reports.Text(in.Name), reports.Text(in.Basis))
	}
	return t
}

// names gives every input a name in the workbook.
func (b *book) names() error {
	p := b.places[inputSheet]
	if p == nil {
		return nil
	}
	for _, in := range b.r.Inputs {
		if err := b.f.SetDefinedName(&excelize.DefinedName{
			Name: in.Name, RefersTo: p.quoted() + fixed(2, p.keys[in.Name]), Comment: plain.Shorten(plain.Clean(in.Label), 200),
		}); err != nil {
			return err
		}
	}
	return nil
}

// validate refuses impossible inputs where they are typed.
func (b *book) validate(p *place) error {
	for _, in := range b.r.Inputs {
		at := ref(2, p.keys[in.Name])
		dv := excelize.NewDataValidation(false)
		dv.SetSqref(at)
		switch {
		case len(in.Choices) > 0:
			if err := dv.SetDropList(in.Choices); err != nil {
				return err
			}
			dv.SetError(excelize.DataValidationErrorStyleStop, "Not one of the choices", "Choose one of: "+strings.Join(in.Choices, ", "))
		default:
			lo, hi := in.Min, in.Max
			want := "a number from " + plainFloat(lo) + " to " + plainFloat(hi)
			op := excelize.DataValidationOperatorBetween
			if lo == hi {
				op, want = excelize.DataValidationOperatorGreaterThanOrEqual, "a number of "+plainFloat(lo)+" or more"
			}
			if err := dv.SetRange(lo, hi, excelize.DataValidationTypeDecimal, op); err != nil {
				return err
			}
			if in.Unit != "" {
				want += " " + in.Unit
			}
			dv.SetError(excelize.DataValidationErrorStyleStop, "Not possible", "Give "+want+".")
			dv.SetInput(plain.Shorten(plain.Clean(in.Label), 32), "Give "+plain.Clean(want)+".")
		}
		if err := b.f.AddDataValidation(p.sheet, dv); err != nil {
			return err
		}
	}
	return nil
}
