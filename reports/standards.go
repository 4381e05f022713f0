package reports

import (
	"fmt"
	"strings"
	"time"

	"bookmatch/costing"
	"bookmatch/jobs"
)

// Standard is what is known of one kind: its written standard and the estimate
// for a usual quantity.
type Standard struct {
	Kind     jobs.Kind
	Quantity float64
	Estimate costing.Estimate
}

// Standards sets each kind's default beside what the log says of it. The
// spread ticks of the chart are likely and safe against the standard.
func Standards(rows []Standard, zone *time.Location) Table {
	t := Table{Name: "standards", Title: "Standards", Subtitle: "the minutes that a kind of work takes: as written, and as the log has it", Wide: true, Columns: []Column{
		{Key: "kind", Header: "kind"},
		{Key: "setup_min", Header: "set-up", Unit: "min", Kind: KindMinutes, SheetOnly: true, Digits: 1}, {Key: "run_min", Header: "run", Unit: "min a unit", Kind: KindMinutes, SheetOnly: true, Digits: 2},
		{Key: "source", Header: "written by", SheetOnly: true},
		{Key: "quantity", Header: "for", Kind: KindQuantity}, {Key: "unit", Header: "unit", SheetOnly: true},
		{Key: "standard_min", Header: "written", Unit: "min", Kind: KindMinutes}, {Key: "likely_min", Header: "likely", Unit: "min", Kind: KindMinutes}, {Key: "safe_min", Header: "safe", Unit: "min", Kind: KindMinutes},
		{Key: "pace", Header: "pace", Kind: KindNumber, Digits: 2}, {Key: "n", Header: "n", Kind: KindCount},
		{Key: "likely_ratio", Header: "likely against written", Kind: KindNumber, Digits: 2, SheetOnly: true}, {Key: "safe_ratio", Header: "safe against written", Kind: KindNumber, Digits: 2, SheetOnly: true},
		{Key: "spread", Header: "spread", Kind: KindNumber, Digits: 2, SheetOnly: true}, {Key: "largest_quantity", Header: "largest seen", Kind: KindQuantity, SheetOnly: true},
		{Key: "oldest", Header: "oldest", Kind: KindDate, SheetOnly: true}, {Key: "last", Header: "last", Kind: KindDate},
		{Key: "outliers", Header: "worst", SheetOnly: true, Width: 30}, {Key: "warnings", Header: "warnings", SheetOnly: true, Width: 34},
	}}
	if len(rows) > 0 {
		t.Charts = []Chart{{Kind: ChartBars, Title: "Likely and safe against the written standard", X: "kind", XTitle: "kind of work", YTitle: "times the written minutes", Tall: true,
			Series: []Series{{Y: "likely_ratio", Name: "likely (P50)"}, {Y: "safe_ratio", Name: "safe (P80)"}}}}
	}
	for _, r := range rows {
		e := r.Estimate
		written := "default"
		if r.Kind.Own {
			written = "the builder"
		}
		pace, spread, oldest, last, largest := Empty(), Empty(), Empty(), Empty(), Empty()
		if e.N > 0 {
			pace, spread = Number(e.Pace), Number(e.Spread)
			oldest, last = Date(e.Oldest.In(zone)), Date(e.Newest.In(zone))
			largest = quantityCell(e.LargestQuantity)
		}
		likelyRatio, safeRatio := Empty(), Empty()
		if e.StandardMin > 0 {
			likelyRatio = Number(e.LikelyMin / e.StandardMin).Live("{likely_min}/{standard_min}")
			safeRatio = Number(e.SafeMin / e.StandardMin).Live("{safe_min}/{standard_min}")
		}
		var worst []string
		for _, o := range e.Outliers {
			worst = append(worst, fmt.Sprintf("%s %s: %.1f x", o.Evening, strings.Join(o.Necks, "+"), o.Ratio))
		}
		t.Add(Text(r.Kind.Name), MinutesOf(r.Kind.SetupMin), MinutesOf(r.Kind.RunMin), Text(written), quantityCell(r.Quantity), Text(r.Kind.Unit()),
			MinutesOf(e.StandardMin), MinutesOf(e.LikelyMin), MinutesOf(e.SafeMin), pace, Count(e.N), likelyRatio, safeRatio, spread, largest, oldest, last,
			Text(strings.Join(worst, "; ")), Text(strings.Join(e.Warnings, "; ")))
	}
	t.Note("pace: the builder against the written standard, 1.00 being the same; n: first passes that count")
	t.Note("likely and safe are P50 and P80 of one sitting; neither adds up over several")
	return t
}
