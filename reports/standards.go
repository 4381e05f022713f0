package reports

import (
	"fmt"
	"strings"
	"time"

	"bookmatch/costing/estimate"
	"bookmatch/jobs"
)

// Standard is what is known of one operation: its written standard and the estimate
// for a usual quantity.
type Standard struct {
	Operation jobs.Operation
	Quantity  float64
	Estimate  estimate.Estimate
}

// Standards sets each operation's written standard beside what the log says of it;
// the second table holds what that rests on. The chart ticks likely and safe
// against the standard.
func Standards(rows []Standard, zone *time.Location) []Table {
	t := Table{Name: "standards", Title: "Standards", Subtitle: "the minutes that an operation takes: as written, and as the log has it", Columns: []Column{
		{Key: "operation", Header: "operation"}, {Key: "quantity", Header: "for", Kind: KindQuantity}, {Key: "unit", Header: "unit", SheetOnly: true},
		{Key: "standard_min", Header: "written", Unit: "min", Kind: KindMinutes}, {Key: "likely_min", Header: "likely", Unit: "min", Kind: KindMinutes}, {Key: "safe_min", Header: "safe", Unit: "min", Kind: KindMinutes},
		{Key: "pace", Header: "pace", Kind: KindNumber, Digits: 2}, {Key: "n", Header: "n", Kind: KindCount}, {Key: "spread", Header: "spread", Kind: KindNumber, Digits: 2, SheetOnly: true}, {Key: "last", Header: "last", Kind: KindDate}}}
	d := Table{Name: "behind standards", Title: "What the standards rest on", SheetOnly: true, Columns: []Column{
		{Key: "operation", Header: "operation"}, {Key: "setup_min", Header: "set-up", Unit: "min", Kind: KindMinutes, Digits: 1}, {Key: "run_min", Header: "run", Unit: "min a unit", Kind: KindMinutes, Digits: 2}, {Key: "source", Header: "written by"},
		{Key: "largest_quantity", Header: "largest seen", Kind: KindQuantity}, {Key: "oldest", Header: "oldest", Kind: KindDate},
		{Key: "likely_ratio", Header: "likely / written", Kind: KindNumber, Digits: 2}, {Key: "safe_ratio", Header: "safe / written", Kind: KindNumber, Digits: 2},
		{Key: "outliers", Header: "farthest off, and warnings", Width: 46}}}
	if len(rows) > 0 {
		d.Charts = []Chart{{Kind: ChartBars, Title: "Likely and safe against the written standard", X: "operation", XTitle: "operation", YTitle: "times the written minutes", Tall: true,
			Series: []Series{{Y: "likely_ratio", Name: "likely (P50)"}, {Y: "safe_ratio", Name: "safe (P80)"}}}}
	}
	for i, r := range rows {
		e, key := r.Estimate, fmt.Sprintf("k%d", i+1)
		written := "default"
		if r.Operation.Own {
			written = "the builder"
		}
		pace, spread, oldest, last, largest := Empty(), Empty(), Empty(), Empty(), Empty()
		if e.N > 0 {
			pace, spread = Number(e.Pace), Number(e.Spread)
			oldest, last = Date(e.Oldest.In(zone)), Date(e.Newest.In(zone))
			largest = quantityCell(e.LargestQuantity)
		}
		t.AddKey(key, Text(r.Operation.Name), quantityCell(r.Quantity), Text(r.Operation.Unit()), MinutesOf(e.StandardMin), MinutesOf(e.LikelyMin), MinutesOf(e.SafeMin), pace, Count(e.N), spread, last)
		likely, safe := Empty(), Empty()
		if e.StandardMin > 0 {
			at := func(col string) string { return "{standards/" + col + "@" + key + "}" }
			likely = Number(e.LikelyMin / e.StandardMin).Live(at("likely_min") + "/" + at("standard_min"))
			safe = Number(e.SafeMin / e.StandardMin).Live(at("safe_min") + "/" + at("standard_min"))
		}
		var far []string
		for _, o := range e.Outliers {
			far = append(far, fmt.Sprintf("%s %s: %.1f x", o.Evening, strings.Join(o.Necks, "+"), o.Ratio))
		}
		d.Add(Text(r.Operation.Name), MinutesOf(r.Operation.SetupMin), MinutesOf(r.Operation.RunMin), Text(written), largest, oldest, likely, safe, Text(strings.Join(append(far, e.Warnings...), "; ")))
	}
	t.Note("pace: the builder against the written standard, 1.00 being the same; n: first passes that count")
	t.Note("likely and safe are P50 and P80 of one sitting; neither adds up over several")
	return []Table{t, d}
}
