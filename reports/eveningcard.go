package reports

import (
	"strings"
	"time"

	"bookmatch/costing/money"
	"bookmatch/jobs"
)

// cardLines is what one sheet of paper holds.
const cardLines = 16

// EveningCard is the sheet to write on when the bench has no screen: empty
// lines for what was done, what each neck waits for, and how to enter it
// afterwards.
func EveningCard(shop jobs.Shop, states []jobs.NeckState, day jobs.Day, now time.Time) Report {
	r := ShopReport(shop, now, "evening-card", "Evening card")
	card := Table{Name: "evening card", Title: "Evening card", Subtitle: "evening of ____________________", Ruled: cardLines, Columns: []Column{
		{Key: "time", Header: "time", Max: 6, Width: 9}, {Key: "operation", Header: "operation", Max: 15, Width: 20}, {Key: "neck", Header: "neck", Max: 11, Width: 16},
		{Key: "count", Header: "count", Max: 6, Width: 9}, {Key: "grade", Header: "grade", Max: 5, Width: 8}, {Key: "note", Header: "note", Max: 22, Width: 34}}}
	if day != "" {
		card.Subtitle = "evening of " + dayText(day)
	}
	card.Note("Write the time at which each piece of work begins, and end when you leave the bench. A count says that the step is done; no count leaves it open.")
	card.Note("Grade of tear-out: 0 clean, 1 fuzz, 2 chip that the hardware hides, 3 chip it does not; leave it empty if you did not look.")
	card.Note(`To enter it: bookmatch evening enter DATE with the items in one line, such as "1910 flush-sand ada, 1945 drill bo 6, 2115 end"`)
	r.Add(card)

	next := Table{Name: "on the bench", Title: "On the bench", Columns: []Column{
		{Key: "neck", Header: "neck"}, {Key: "nickname", Header: "name"}, {Key: "next", Header: "next step"}, {Key: "quantity", Header: "quantity", Kind: KindQuantity},
		{Key: "state", Header: "state", Max: 28, Width: 34}}, Empty: "no open neck"}
	for _, st := range states {
		if st.Neck.IsClosed() {
			continue
		}
		for _, v := range st.Steps {
			if v.State == jobs.Done || v.State == jobs.Skipped || v.State == jobs.Curing {
				continue
			}
			state := string(v.State)
			if st.Neck.Status == jobs.Held {
				state = "held: " + st.Neck.Why
			} else if v.ReadyAt != nil && v.State == jobs.Waiting {
				state = "cures until " + shop.WhenFrom(*v.ReadyAt, now)
			}
			next.Add(Text(st.Neck.Code), Text(st.Neck.Nickname), Text(v.Operation), Quantity(money.QtyFromFloat(v.Quantity)), Text(strings.TrimSpace(state)))
			break
		}
	}
	next.Note("A cure is over by the defaults of the file; the label of the product goes before them.")
	r.Add(next)
	return r
}
