package main

import (
	"strings"

	"bookmatch/costing/money"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"

	"github.com/urfave/cli/v2"
)

func (e *env) pieceList(c *cli.Context) error {
	if _, err := typedWords(c, 0, 0); err != nil {
		return err
	}
	low, high, length, width := 0.0, 1e9, 0.0, 0.0
	var err error
	if v := c.String("fits"); v != "" {
		a, z, ok := strings.Cut(v, "-")
		if low, err = jobs.ParseNumber("fits", a, 0, 200); err == nil && ok {
			high, err = jobs.ParseNumber("fits", z, 0, 200)
		}
		if err != nil || !ok || high < low {
			return &jobs.FieldError{Field: "fits", Value: v, Want: "a range of thickness such as 0.5-0.7"}
		}
	}
	for _, f := range []struct {
		flag string
		to   *float64
	}{{"length", &length}, {"width", &width}} {
		if c.IsSet(f.flag) {
			if *f.to, err = jobs.ParseNumber(f.flag, c.String(f.flag), 0, 5000); err != nil {
				return err
			}
		}
	}
	fitting := c.IsSet("fits") || c.IsSet("length") || c.IsSet("width")
	var b *desk
	pieces := []jobs.Piece{}
	err = e.view(c, func(tx *workshop.Book) error {
		if b, err = deskBench(tx); err != nil {
			return err
		}
		all, err := store.All(tx.Tx, store.Pieces)
		for _, p := range all {
			switch {
			case c.String("kind") != "" && string(p.Kind) != c.String("kind"):
			case fitting && !p.Fits(low, high, length, width):
			case !fitting && !p.InStock() && !c.Bool("all"):
			default:
				pieces = append(pieces, p)
			}
		}
		return err
	})
	if err != nil {
		return err
	}
	value := b.Shop.Currency.Line(money.Zero)
	for i := range pieces {
		pieces[i].Price = b.Shop.Currency.Line(pieces[i].Price)
		if pieces[i].InStock() {
			value = value.Add(pieces[i].Price)
		}
	}
	if wantJSON(c) {
		return e.PrintJSON(map[string]any{"pieces": pieces, "value": value, "currency": b.Shop.Currency})
	}
	t := reports.Table{Name: "pieces", Title: "Veneers and blanks", Empty: "none in stock", Columns: []reports.Column{
		{Key: "piece", Header: "piece"}, {Key: "kind", Header: "kind"}, {Key: "wood", Header: "wood", Max: 18}, {Key: "thickness_mm", Header: "thick", Unit: "mm", Kind: reports.KindMM},
		{Key: "length_mm", Header: "length", Unit: "mm", Kind: reports.KindMM, Digits: reports.NoDigits}, {Key: "width_mm", Header: "width", Unit: "mm", Kind: reports.KindMM, Digits: reports.NoDigits},
		{Key: "price", Header: "price", Unit: string(b.Shop.Currency), Kind: reports.KindMoney}, {Key: "value", Header: "in stock", Unit: string(b.Shop.Currency), Kind: reports.KindMoney, Sum: true}, {Key: "neck", Header: "for"}}}
	for _, p := range pieces {
		mm := func(v float64) reports.Cell {
			if v <= 0 {
				return reports.NotRecorded()
			}
			return reports.MM(v)
		}
		stock := reports.Empty()
		if p.InStock() {
			stock = reports.Money(p.Price)
		}
		t.Add(reports.Text(p.Code), reports.Text(string(p.Kind)), reports.Text(p.Wood), mm(p.ThicknessMM), mm(p.LengthMM), mm(p.WidthMM), reports.Money(p.Price), stock, reports.Text(p.Neck))
	}
	return e.print(reports.Report{Name: "pieces", Title: "Veneers and blanks", Currency: b.Shop.Currency, Zone: b.Shop.Location(), Sections: reports.Sections(t)})
}
