package reports

import (
	"fmt"
	"strings"

	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
)

// Entries lists a part of the log, one line an entry.
func Entries(r *workshop.EntryListResult) Report {
	out := Of(r, "entries", "Entries")
	head := "Nothing is logged"
	if n := len(r.Entries); n > 0 {
		head = fmt.Sprintf("%s, %s", entriesText(n), SpanText(spanOf(r.TotalMin)))
	}
	if r.From != "" && r.From == r.To {
		head += " on " + dayText(r.From)
	} else if len(r.Entries) > 0 {
		head += ", " + daysText(r.Entries[0].Evening, r.Entries[len(r.Entries)-1].Evening)
	}
	out.Headline = []string{head + "."}
	if r.NeckMin != nil && *r.NeckMin != r.TotalMin {
		out.Headline = append(out.Headline, fmt.Sprintf("%s of it on %s.", SpanText(spanOf(*r.NeckMin)), r.Neck))
	}
	if len(r.Entries)+len(r.Dropped) > 0 {
		rows := append(append([]workshop.EntryRow{}, r.Entries...), r.Dropped...)
		t := entryTable(rows, r.From != "" && r.From == r.To)
		out.Add(t)
		if past := historyTable(rows); len(past.Rows) > 0 {
			out.Add(past)
		}
	}
	if r.Recent {
		out.Notes = append(out.Notes, fmt.Sprintf("Only evenings from %s on. For all of them: entry list --all, or --from DATE.", r.From))
	}
	out.Notes = append(out.Notes, assumedNote(r.Entries)...)
	if n := len(r.Entries); n > 0 && len(out.Notes) < firstNotes {
		out.Next = []string{fmt.Sprintf("entry amend %d --help", r.Entries[n-1].ID)}
	}
	return out
}

// entriesText is "1 entry" or "6 entries".
func entriesText(n int) string { return jobs.CountText(n, "entry") }

// daysText prints one evening or a range of them.
func daysText(from, to jobs.Day) string {
	if from == to {
		return dayText(from)
	}
	return dayText(from) + " to " + dayText(to)
}

// assumedNote says how an assumed end is confirmed or corrected.
func assumedNote(rows []workshop.EntryRow) []string {
	n, first := 0, workshop.EntryRow{}
	for _, x := range rows {
		if x.Assumed && n == 0 {
			first = x
		}
		if x.Assumed {
			n++
		}
	}
	if n == 0 {
		return nil
	}
	return []string{fmt.Sprintf("%s assumed: costed, not used for estimates. Right? entry amend %d --confirm. Wrong? entry amend %d --to %s --why \"...\"", assumedEnds(n), first.ID, first.ID, clock(*first.To))}
}

func assumedEnds(n int) string {
	if n == 1 {
		return "1 end is"
	}
	return fmt.Sprintf("%d ends are", n)
}

// entryTable has one line an entry. one says that all are of one evening. The
// flags are left out where there are none.
func entryTable(rows []workshop.EntryRow, one bool) Table {
	type e = workshop.EntryRow
	plain, far := true, false
	for _, x := range rows {
		plain = plain && entryFlags(x) == ""
		far = far || x.Evening > rows[0].Evening.Add(300) || x.Evening < rows[0].Evening.Add(-300)
	}
	cols := []Col[e]{
		{Column{Key: "id", Header: "id", Kind: KindCount}, func(x e) Cell { return Count(int(x.ID)) }},
		{Column{Key: "evening", Header: "evening", Kind: KindDate, SheetOnly: one || !far}, func(x e) Cell { return Day(string(x.Evening)) }},
		{Column{Key: "day", Header: "day", SheetOnly: one || far}, func(x e) Cell { return Text(x.Evening.Noon().Format("2 Jan")) }},
		{Column{Key: "from", Header: "from", Kind: KindClock, Spare: !one}, entryFrom},
		{Column{Key: "to", Header: "to", Kind: KindClock, SheetOnly: !one, Spare: true}, entryTo},
		{Column{Key: "operation", Header: "operation", Max: 16}, func(x e) Cell { return Text(x.Operation) }},
		{Column{Key: "necks", Header: "neck", Max: 14}, func(x e) Cell { return Text(x.Names()) }},
		{Column{Key: "done", Header: "done", Max: 12}, func(x e) Cell { return Text(doneText(x)) }},
		{Column{Key: "elapsed_min", Header: "min", Kind: KindMinutes, Sum: true}, entryMinutes},
		{Column{Key: "flags", Header: "flag", Max: 24, SheetOnly: plain}, func(x e) Cell { return Text(entryFlags(x)).When(x.Assumed || x.ClockBack, Careful) }},
		{Column{Key: "note", Header: "note", Max: 24, At: Why | Full}, func(x e) Cell { return Text(x.Note) }},
	}
	return Build(Table{Name: "entries"}, rows, cols)
}

// entryFrom is the start, empty for work without a clock.
func entryFrom(x workshop.EntryRow) Cell {
	if x.Spent {
		return Empty()
	}
	return Clock(x.From)
}

// entryTo is the end, empty for work that runs or has no clock.
func entryTo(x workshop.EntryRow) Cell {
	if x.Spent || x.To == nil {
		return Empty()
	}
	return Clock(*x.To)
}

// entryMinutes is the time of an entry, empty for one that was removed.
func entryMinutes(x workshop.EntryRow) Cell {
	if x.Dropped {
		return Empty()
	}
	return MinutesOf(x.ElapsedMin)
}

// countsOf joins the counts of the necks: "6+8", "" where none was recorded.
func countsOf(x workshop.EntryRow) (counts string, done, left int) {
	var out []string
	for _, n := range x.Necks {
		c := "-"
		if n.Count > 0 {
			c = jobs.NumberText(n.Count)
		}
		out = append(out, c)
		if n.Done {
			done++
		}
		if n.Left {
			left++
		}
	}
	if counts = strings.Join(out, "+"); strings.Trim(counts, "-+") == "" {
		counts = ""
	}
	return counts, done, left
}

// doneText is what is done, for a column of that name: "6+8", "yes" without a
// count, "4 open" where the step stays open, "6+3 1 open".
func doneText(x workshop.EntryRow) string {
	counts, done, left := countsOf(x)
	switch open := len(x.Necks) - done; {
	case open == 0 && counts == "":
		return "yes"
	case open == 0:
		return counts
	case done > 0:
		return fmt.Sprintf("%s %d open", counts, open)
	case left > 0:
		return strings.TrimSpace(counts + " left")
	}
	return strings.TrimSpace(counts + " open")
}

// countText says what was done in a sentence: "6+8 done", "4", "3 left".
func countText(x workshop.EntryRow) string {
	s, done, left := countsOf(x)
	switch {
	case done > 0 && done == len(x.Necks):
		s += " done"
	case done > 0:
		s += fmt.Sprintf(" %d done", done)
	case left > 0:
		s += " left"
	}
	return strings.TrimSpace(s)
}

// entryFlags says in few words what is special about an entry.
func entryFlags(x workshop.EntryRow) string {
	var f []string
	add := func(on bool, word string) {
		if on {
			f = append(f, word)
		}
	}
	add(x.Dropped, "removed")
	add(x.Running() && !x.Dropped, "running")
	add(x.Assumed, "assumed end")
	add(x.Spent, "no clock")
	add(x.Cause != "", "rework "+x.Cause)
	add(x.Payer == "customer", "customer pays")
	add(x.Late, "after closing")
	add(x.ClockBack, "clock back")
	add(x.Person != "", "by "+x.Person)
	add(x.Anyway != "", "anyway")
	return strings.Join(f, ", ")
}

// historyTable lists what became of entries.
func historyTable(rows []workshop.EntryRow) Table {
	type line struct {
		id uint64
		workshop.PastChange
	}
	var lines []line
	for _, r := range rows {
		for _, h := range r.History {
			lines = append(lines, line{r.ID, h})
		}
	}
	return Build(Table{Name: "history", Title: "Older versions"}, lines, []Col[line]{
		{Column{Key: "id", Header: "id", Kind: KindCount}, func(x line) Cell { return Count(int(x.id)) }},
		{Column{Key: "at", Header: "written", Kind: KindInstant}, func(x line) Cell { return Instant(x.At) }},
		{Column{Key: "what", Header: "what", Max: 36}, func(x line) Cell { return Text(strings.Join(x.What, "; ")) }},
		{Column{Key: "why", Header: "why", Max: 20}, func(x line) Cell { return Text(x.Why) }},
	})
}

// EntryCorrected is the echo of an entry that was corrected.
func EntryCorrected(r *workshop.CorrectedResult) Report { return corrected(r, "CHANGED") }

// EntryMoved is the echo of an entry that was booked to another neck.
func EntryMoved(r *workshop.CorrectedResult) Report { return corrected(r, "MOVED") }

func corrected(r *workshop.CorrectedResult, word string) Report {
	lines := []string{fmt.Sprintf("%s entry %d, %s %s: %s.", word, r.Entry.ID, r.Entry.Operation, r.Entry.Names(), strings.Join(r.What, ", "))}
	if s := goesWith(r.Bits, r.Supplies); s != "" {
		lines = append(lines, "Now with it: "+s+".")
	}
	return Report{Name: "entry", Headline: append(lines, "Wrong? Type: oops")}
}

// EntryDropped is the echo of an entry that was removed.
func EntryDropped(r *workshop.CorrectedResult) Report {
	lines := []string{fmt.Sprintf("REMOVED entry %d, %s %s, %s.", r.Was.ID, r.Was.Operation, r.Was.Names(), minutesOf(r.Was.ElapsedMin))}
	if s := goesWith(r.Bits, r.Supplies); s != "" {
		lines = append(lines, "Taken back with it: "+s+".")
	}
	return Report{Name: "entry", Headline: append(lines, "Wrong? Type: oops")}
}

// goesWith names the holes and supplies of an entry.
func goesWith(bits []workshop.HolesOn, supplies []workshop.SupplyOut) string {
	var parts []string
	for _, h := range bits {
		parts = append(parts, fmt.Sprintf("%s on bit %s", jobs.CountText(h.Holes, "hole"), h.Bit))
	}
	for _, s := range supplies {
		parts = append(parts, fmt.Sprintf("%s %s %s", s.Quantity, s.Unit, s.Supply))
	}
	return strings.Join(parts, ", ")
}
