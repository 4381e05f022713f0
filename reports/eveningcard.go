package reports

import (
	"fmt"

	"bookmatch/costing/money"
	"bookmatch/jobs/workshop"
)

// cardLines is what one sheet of paper holds.
const cardLines = 16

// eveningCard is the sheet to write on when the bench has no screen: empty lines
// for what was done, what each neck waits for, and how to enter it later.
func eveningCard(r *workshop.EveningResult) Report {
	out := Of(r, "evening-card", "Evening card")
	lines := cardLines
	if out.Paper == Letter {
		lines -= 2 // it is 18 mm lower
	}
	card := Table{Name: "evening card", Title: "Evening card", Subtitle: "evening of ____________________", Ruled: lines, Columns: []Column{
		{Key: "time", Header: "time", Max: 6, Width: 9}, {Key: "operation", Header: "operation", Max: 15, Width: 20}, {Key: "neck", Header: "neck", Max: 11, Width: 16},
		{Key: "count", Header: "count", Max: 6, Width: 9}, {Key: "grade", Header: "grade", Max: 5, Width: 8}, {Key: "note", Header: "note", Max: 22, Width: 34}}}
	date := "DATE"
	if day := r.Card.Evening; day != "" {
		card.Subtitle, date = "evening of "+dayText(day), string(day)
	}
	card.Note("Write the time at which each job starts, and end when you leave the bench. A count says that the step is done. No count leaves it open.")
	card.Note("Grade of the worst rim: 0 clean, 1 fuzz, 2 hidden, 3 torn. Leave it empty if you did not look.")
	card.Note(`To enter it, type the lines with commas: bookmatch evening enter %s "1910 flush-sand ada, 1945 drill bo 6, 2115 end"`, date)
	out.Add(card)

	type n = workshop.CardNeck
	next := Build(Table{Name: "on the bench", Title: "On the bench", Empty: "no open neck"}, r.Card.Necks, []Col[n]{
		{Column{Key: "neck", Header: "neck"}, func(x n) Cell { return Text(x.Neck) }},
		{Column{Key: "name", Header: "name"}, func(x n) Cell { return Text(x.Name) }},
		{Column{Key: "next", Header: "next step"}, func(x n) Cell { return Text(x.Operation) }},
		{Column{Key: "quantity", Header: "quantity", Kind: KindQuantity}, func(x n) Cell { return Quantity(money.QtyFromFloat(x.Quantity)) }},
		{Column{Key: "state", Header: "state", Max: 28, Width: 34}, func(x n) Cell {
			switch {
			case x.Held != "":
				return Text("on hold: " + x.Held)
			case x.ReadyAt != nil:
				return Text("cures until " + when0(*x.ReadyAt, r.Made))
			}
			return Text(x.State)
		}},
	})
	next.Note("Cures are defaults. The product label decides.")
	out.Add(next)
	return out
}

// Entered is the echo of an evening that was entered from a card.
func Entered(r *workshop.EveningEnterResult) Report {
	lines := []string{"WRITTEN " + dayText(r.Evening) + ": " + entriesText(len(r.Entries)) + ", " + minutesOf(r.TotalMin) + "."}
	for _, e := range r.Entries {
		lines = append(lines, enteredLine(e))
	}
	if s := goesWith(r.Bits, r.Supplies); s != "" {
		lines = append(lines, "Logged with it: "+s+".")
	}
	return Report{Name: "evening", Headline: append(lines, "Wrong? Type: oops")}
}

// enteredLine is one entry of the card: "19:45 drill bo, 6 done, 90 min (entry 2)".
func enteredLine(e workshop.EntryRow) string {
	line := "     "
	if !e.Spent {
		line = clock(e.From)
	}
	line += " " + e.Operation + " " + e.Names()
	if s := countText(e); s != "" {
		line += ", " + s
	}
	return fmt.Sprintf("%s, %s (entry %d)", line, minutesOf(e.ElapsedMin), e.ID)
}
