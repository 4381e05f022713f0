package reports

import (
	"fmt"
	"strconv"

	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
)

// PieceAdded is the echo of a new piece.
func PieceAdded(r *workshop.PieceResult) Report {
	return Report{Name: "piece", Headline: []string{fmt.Sprintf("ADDED %s, %s.", pieceText(r.Piece), amount(r.Currency, r.Price))}}
}

// PieceChanged is the echo of a new measurement.
func PieceChanged(r *workshop.PieceResult) Report {
	return Report{Name: "piece", Headline: []string{"CHANGED " + pieceText(r.Piece) + "."}}
}

// PieceUsed is the echo of a piece that went to a neck.
func PieceUsed(r *workshop.PieceResult) Report {
	out := Report{Name: "piece", Headline: []string{fmt.Sprintf("CHANGED %s: used on %s, %s.", r.Code, r.For, amount(r.Currency, r.Price))}}
	if r.Papers != "" {
		out.Headline = append(out.Headline, fmt.Sprintf("Papers %s. Check current rules before the neck is sold or leaves the country.", r.Papers))
	}
	return out
}

// OffcutKept is the echo of an offcut that went into stock.
func OffcutKept(r *workshop.PieceResult) Report {
	return Report{Name: "piece", Headline: []string{fmt.Sprintf("ADDED %s, kept at %s.", pieceText(r.Piece), amount(r.Currency, r.Price))}}
}

// pieceText names a piece with what is measured of it.
func pieceText(p jobs.Piece) string {
	s := fmt.Sprintf("%s: %s, %s", p.Code, p.Kind, p.Wood)
	if p.ThicknessMM > 0 {
		s += fmt.Sprintf(", %s mm thick", mmText(p.ThicknessMM))
	} else {
		s += ", thickness not measured"
	}
	if p.LengthMM > 0 && p.WidthMM > 0 {
		s += fmt.Sprintf(", %s x %s mm", mmText(p.LengthMM), mmText(p.WidthMM))
	}
	return s
}

func mmText(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// PieceList lists pieces with their measures.
func PieceList(r *workshop.PieceListResult) Report {
	out := Of(r, "pieces", "Veneers and blanks")
	out.Headline = []string{"No piece is in stock, or none fits."}
	if len(r.Pieces) == 0 {
		return out
	}
	out.Headline = []string{fmt.Sprintf("%s, %s in stock.", jobs.CountText(len(r.Pieces), "piece"), amount(r.Currency, r.Value))}
	type p = workshop.PieceRow
	mm := func(v float64) Cell {
		if v <= 0 {
			return NotRecorded()
		}
		return MM(v)
	}
	out.Add(Build(Table{Name: "pieces"}, r.Pieces, []Col[p]{
		{Column{Key: "piece", Header: "piece"}, func(x p) Cell { return Text(x.Code) }},
		{Column{Key: "kind", Header: "kind"}, func(x p) Cell { return Text(string(x.Kind)) }},
		{Column{Key: "wood", Header: "wood", Max: 18}, func(x p) Cell { return Text(x.Wood) }},
		{Column{Key: "thickness_mm", Header: "thickness", Unit: "mm", Kind: KindMM}, func(x p) Cell { return mm(x.ThicknessMM) }},
		{Column{Key: "length_mm", Header: "length", Unit: "mm", Kind: KindMM, Digits: NoDigits}, func(x p) Cell { return mm(x.LengthMM) }},
		{Column{Key: "width_mm", Header: "width", Unit: "mm", Kind: KindMM, Digits: NoDigits}, func(x p) Cell { return mm(x.WidthMM) }},
		{Column{Key: "price", Header: "price", Kind: KindMoney}, func(x p) Cell { return Money(x.Price) }},
		{Column{Key: "value", Header: "in stock", Kind: KindMoney, Sum: true}, func(x p) Cell {
			if !x.InStock() {
				return Empty()
			}
			return Money(x.Price)
		}},
		{Column{Key: "for", Header: "for"}, func(x p) Cell { return Text(x.For) }},
	}))
	return out
}
