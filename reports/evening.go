package reports

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"bookmatch/costing/money"
	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
)

// Evening is the log of one evening or several. The first screen lists the
// entries. The full report has one line for each neck of an entry, the sums by
// operation and by neck, and the weeks.
func Evening(r *workshop.EveningResult) Report {
	if r.Card != nil {
		return eveningCard(r)
	}
	name, title := "evening-"+string(r.Evening), "Evening of "+dayText(r.Evening)
	if r.Evening != r.To {
		name += "-to-" + string(r.To)
		title = "Evenings from " + dayText(r.Evening) + " to " + dayText(r.To)
	}
	out := Of(r, name, title)
	out.Headline = eveningHead(r)
	if len(r.Entries) > 0 {
		entries := entryTable(r.Entries, r.Evening == r.To)
		log, operations, necks := timeLog(r), operationSums(r.Operations), neckSums(r.Necks)
		out.Sections = []Section{{At: First, Table: &entries}, {At: Full, Table: &log}, {At: Full | Why, Table: &operations}, {At: Full | Why, Table: &necks}}
	}
	if len(r.Weeks) > 0 {
		weeks := weekTable(r)
		out.Sections = append(out.Sections, Section{At: Full, Table: &weeks})
	}
	out.Notes = append(assumedNote(r.Entries), eveningNotes(r)...)
	out.Count("evening", "An entry belongs to the evening on which it began. The evening ends at %s, not at midnight.", r.DayEnds)
	out.Count("time", "True elapsed time without breaks, in whole seconds. Over several necks the setup is shared equally and the run by count. The shares add up to the entry.")
	out.Count("assumed", "An end that was not clocked: it is costed, and not used for estimates.")
	out.Count("pass", "first: the first time, used for estimates. rework: done again, with its cause. decide: thinking.")
	return out
}

// eveningHead gives the time and the necks.
func eveningHead(r *workshop.EveningResult) []string {
	if len(r.Entries) == 0 {
		return []string{fmt.Sprintf("Nothing was logged, %s.", daysText(r.Evening, r.To))}
	}
	var parts []string
	for i, min := range addUp(r.TotalMin, r.Necks) {
		parts = append(parts, r.Necks[i].Name+" "+SpanText(spanOf(min)))
	}
	if len(parts) > 6 {
		parts = append(parts[:6], fmt.Sprintf("and %d more necks", len(parts)-6))
	}
	head := fmt.Sprintf("%s: %s, %s.", daysText(r.Evening, r.To), SpanText(spanOf(r.TotalMin)), entriesText(len(r.Entries)))
	return []string{head, strings.Join(parts, ", ") + "."}
}

// addUp gives the whole minutes of each neck, so that they add up to those of the
// evening: each rounded down, and what is left goes to the largest remainders.
func addUp(total float64, necks []workshop.NeckSum) []float64 {
	out, order := make([]float64, len(necks)), make([]int, len(necks))
	left := math.Round(total)
	for i, n := range necks {
		out[i], order[i] = math.Floor(n.TotalMin), i
		left -= out[i]
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Compare(necks[b].TotalMin-out[b], necks[a].TotalMin-out[a])
	})
	for _, i := range order[:min(len(order), max(0, int(left)))] {
		out[i]++
	}
	return out
}

// eveningNotes say how long the evening was, and how much of evenings is not
// logged.
func eveningNotes(r *workshop.EveningResult) (out []string) {
	if r.SpanMin > 0 {
		text := fmt.Sprintf("From the first start to the last end: %s, %s of it logged.", SpanText(spanOf(r.SpanMin)), SpanText(spanOf(r.ClockedMin)))
		if r.Gaps {
			text += " Breaks, and gaps over 90 min, are left out."
		}
		out = append(out, text)
	}
	return append(out, UnloggedText(r.Unlogged))
}

// dayText prints a day for a sentence: "Tue 24 Mar 2026".
func dayText(d jobs.Day) string { return d.Noon().Format("Mon 2 Jan 2006") }

// logLine is one neck's part of an entry.
type logLine struct {
	workshop.EntryRow
	neck workshop.EntryNeck
}

// timeLog has one row for each neck of an entry. The shares of an entry add up
// to it.
func timeLog(r *workshop.EveningResult) Table {
	var lines []logLine
	for _, e := range r.Entries {
		for _, n := range e.Necks {
			lines = append(lines, logLine{e, n})
		}
	}
	type l = logLine
	return Build(Table{Name: "time log", Title: "Time log"}, lines, []Col[l]{
		{Column{Key: "evening", Header: "evening", Kind: KindDate, SheetOnly: r.Evening == r.To}, func(x l) Cell { return Day(string(x.Evening)) }},
		{Column{Key: "from", Header: "from", Kind: KindClock}, func(x l) Cell { return entryFrom(x.EntryRow) }},
		{Column{Key: "to", Header: "to", Kind: KindClock}, func(x l) Cell { return entryTo(x.EntryRow) }},
		{Column{Key: "operation", Header: "operation"}, func(x l) Cell { return Text(x.Operation) }},
		{Column{Key: "neck", Header: "neck"}, func(x l) Cell { return Text(x.neck.Neck) }},
		{Column{Key: "nickname", Header: "name", SheetOnly: true}, func(x l) Cell { return Text(nickname(x.neck)) }},
		{Column{Key: "pass", Header: "pass"}, func(x l) Cell { return Text(string(x.Class)) }},
		{Column{Key: "share_min", Header: "time", Unit: "min", Kind: KindMinutes, Sum: true}, func(x l) Cell { return MinutesOf(x.neck.ShareMin) }},
		{Column{Key: "count", Header: "count", Kind: KindQuantity}, func(x l) Cell { return countOf(x.neck) }},
		{Column{Key: "unit", Header: "unit", SheetOnly: true}, func(x l) Cell { return Text(x.Unit) }},
		{Column{Key: "done", Header: "done", Kind: KindFlag, SheetOnly: true}, func(x l) Cell { return Flag(x.neck.Done) }},
		{Column{Key: "grade", Header: "grade", Kind: KindCount, SheetOnly: true}, gradeOf},
		{Column{Key: "flags", Header: "flag"}, func(x l) Cell { return Text(logFlags(x)).When(x.Assumed || x.ClockBack, Careful) }},
		{Column{Key: "note", Header: "note", SheetOnly: true}, func(x l) Cell { return Text(x.Note) }},
		{Column{Key: "entry", Header: "entry", Kind: KindCount, SheetOnly: true}, func(x l) Cell { return Count(int(x.ID)) }},
	})
}

// nickname is the name of a neck where it is not its code.
func nickname(n workshop.EntryNeck) string {
	if n.Name == n.Neck {
		return ""
	}
	return n.Name
}

// countOf is the count of a neck: not recorded where a step ended without one.
func countOf(n workshop.EntryNeck) Cell {
	switch {
	case n.Count > 0:
		return Quantity(money.QtyFromFloat(n.Count))
	case n.Done:
		return NotRecorded()
	}
	return Empty()
}

// gradeOf is the grade of the rims: not recorded where a drilling has none.
func gradeOf(x logLine) Cell {
	switch {
	case x.Grade != nil:
		return Count(*x.Grade)
	case x.Drills && x.neck.Done:
		return NotRecorded()
	}
	return Empty()
}

// logFlags adds to the flags of an entry those of one neck.
func logFlags(x logLine) string {
	var f []string
	if s := entryFlags(x.EntryRow); s != "" {
		f = append(f, s)
	}
	if x.neck.Left {
		f = append(f, "dropped out")
	}
	if x.neck.Step == 0 {
		f = append(f, "off the route")
	}
	return strings.Join(f, ", ")
}

// sumColumns are the columns of a sum of time. Hours and parts follow the minutes
// in a workbook, so the hours of a cell are those of its minutes.
func sumColumns[T any](of func(T) workshop.TimeSum) []Col[T] {
	return []Col[T]{
		{Column{Key: "shares", Header: "shares", Kind: KindCount, Sum: true}, func(x T) Cell { return Count(of(x).Shares) }},
		{Column{Key: "total_min", Header: "time", Unit: "min", Kind: KindMinutes, Sum: true}, func(x T) Cell { return MinutesOf(of(x).TotalMin) }},
		{Column{Key: "total_h", Header: "time", Unit: "h", Kind: KindHours, Digits: 2, Sum: true}, func(x T) Cell { return HoursOf(of(x).TotalMin / 60).Live("{total_min}/60") }},
		{Column{Key: "part", Header: "part of all", Kind: KindShare}, func(x T) Cell { return Share(of(x).Share).Live("{total_min}/SUM({total_min:})") }},
		{Column{Key: "assumed_min", Header: "assumed", Unit: "min", Kind: KindMinutes, Sum: true}, func(x T) Cell { return MinutesOf(of(x).AssumedMin) }},
	}
}

func operationSums(sums []workshop.OperationSum) Table {
	type s = workshop.OperationSum
	t := Table{Name: "by operation", Title: "By operation", Charts: []Chart{{Kind: ChartBars, Title: "Time by operation", X: "operation", XTitle: "operation", YTitle: "bench time (h)", Series: []Series{{Y: "total_h"}}}}}
	return Build(t, sums, append([]Col[s]{{Column{Key: "operation", Header: "operation"}, func(x s) Cell { return Text(x.Operation) }}},
		sumColumns(func(x s) workshop.TimeSum { return x.TimeSum })...))
}

func neckSums(sums []workshop.NeckSum) Table {
	type s = workshop.NeckSum
	return Build(Table{Name: "by neck", Title: "By neck"}, sums, append([]Col[s]{
		{Column{Key: "neck", Header: "neck"}, func(x s) Cell { return Text(x.Neck) }},
		{Column{Key: "name", Header: "name"}, func(x s) Cell { return Text(x.Name) }}},
		sumColumns(func(x s) workshop.TimeSum { return x.TimeSum })...))
}

// weekTable is the bench hours of ISO weeks, stacked by operation.
func weekTable(r *workshop.EveningResult) Table {
	type w = workshop.WeekSum
	hours := func(key, head string, get func(w) float64) Col[w] {
		return Col[w]{Column{Key: key, Header: head, Unit: "h", Kind: KindHours, Digits: 2, Sum: true, SheetOnly: true}, func(x w) Cell { return HoursOf(get(x)) }}
	}
	cols := []Col[w]{
		{Column{Key: "week", Header: "week"}, func(x w) Cell { return Text(x.Week) }},
		{Column{Key: "evenings", Header: "evenings", Kind: KindCount, Sum: true}, func(x w) Cell { return Count(x.Evenings) }},
		hours("total_h", "all", func(x w) float64 { return x.TotalH })}
	cols[2].SheetOnly = false
	var series []Series
	others := false
	for _, x := range r.Weeks {
		others = others || x.OtherH > 0
	}
	add := func(name string, get func(w) float64) {
		key := freeKey(cols, name, "_h")
		cols = append(cols, hours(key, name, get))
		series = append(series, Series{Name: name, Y: key})
	}
	for _, o := range r.WeekOperations {
		add(o, func(x w) float64 { return x.OperationsH[o] })
	}
	if others {
		add("other operations", func(x w) float64 { return x.OtherH })
	}
	return Build(Table{Name: "weeks", Title: "Weeks", Subtitle: "bench hours by operation, up to this evening",
		Charts: []Chart{{Kind: ChartStacked, Title: "Bench hours by week", X: "week", XTitle: "ISO week", YTitle: "bench time (h)", Series: series}}}, r.Weeks, cols)
}

// freeKey makes a column key of a name: small letters, digits, underscores, and
// not taken yet.
func freeKey[T any](cols []Col[T], name, suffix string) string {
	s := strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' {
			return r
		}
		return '_'
	}, strings.ToLower(name))
	if s == "" || s[0] < 'a' || s[0] > 'z' {
		s = "x_" + s
	}
	key := s + suffix
	for n := 2; slices.ContainsFunc(cols, func(c Col[T]) bool { return c.Key == key }); n++ {
		key = fmt.Sprintf("%s_%d%s", s, n, suffix)
	}
	return key
}
