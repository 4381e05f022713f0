package reports

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"bookmatch/costing/money"
	"bookmatch/jobs"
)

// EveningInput is the log of some evenings. Entries are in order of time and
// settled; Weeks holds those of the weeks that the stack shows.
type EveningInput struct {
	Shop       jobs.Shop
	Operations map[string]jobs.Operation
	Necks      map[string]jobs.Neck
	From, To   jobs.Day // evenings, both included
	Entries    []jobs.Entry
	Weeks      []jobs.Entry
	Now        time.Time
}

// Evening is the time log: every sitting, sums by operation and by neck, and the
// weeks stacked by operation. One row is one neck's share of an entry; the
// shares of an entry add up to it exactly.
func Evening(in EveningInput) Report {
	name, title := "evening-"+string(in.From), "Evening of "+dayText(in.From)
	if in.From != in.To {
		name += "-to-" + string(in.To)
		title = "Evenings from " + dayText(in.From) + " to " + dayText(in.To)
	}
	r := ShopReport(in.Shop, in.Now, name, title)
	log := timeLog(in)
	r.Add(log)
	if len(in.Entries) > 0 {
		r.Add(byOperation(in), byNeck(in))
	}
	if weeks, ok := weekStack(in); ok {
		r.Add(weeks)
	}
	r.Count("evening", "An entry belongs to the evening on which it began; the evening turns at %s, not at midnight.", in.Shop.DayEnds)
	r.Count("time", "True elapsed time without breaks, in whole seconds. Over several necks the set-up part is shared equally and the run by count; the shares add up to the entry.")
	r.Count("assumed", "An end that nobody clocked: it counts in the cost and never as a sample of the standard.")
	r.Count("pass", "first: a first pass, which teaches the standard; rework: done again, with its cause; decide: thinking.")
	return r
}

// ShopReport starts a report with what the shop settles: currency, zone,
// paper, author.
func ShopReport(shop jobs.Shop, now time.Time, name, title string) Report {
	return Report{Name: name, Title: title, Currency: shop.Currency, Zone: shop.Location(), Paper: Paper(shop.Paper), Made: now, Shop: shop.Name}
}

func dayText(d jobs.Day) string { return d.Noon().Format("Mon 2 Jan 2006") }

func timeLog(in EveningInput) Table {
	one := in.From == in.To
	t := Table{Name: "time log", Title: "Time log", Columns: []Column{
		{Key: "evening", Header: "evening", Kind: KindDate, SheetOnly: one},
		{Key: "from", Header: "from", Kind: KindClock}, {Key: "to", Header: "to", Kind: KindClock},
		{Key: "operation", Header: "operation"}, {Key: "neck", Header: "neck"}, {Key: "nickname", Header: "name", SheetOnly: true},
		{Key: "pass", Header: "pass"},
		{Key: "share_min", Header: "time", Unit: "min", Kind: KindMinutes, Sum: true},
		{Key: "count", Header: "count", Kind: KindQuantity}, {Key: "unit", Header: "unit", SheetOnly: true},
		{Key: "done", Header: "done", Kind: KindFlag, SheetOnly: true},
		{Key: "grade", Header: "grade", Kind: KindCount, SheetOnly: true},
		{Key: "flags", Header: "flags"}, {Key: "note", Header: "note", SheetOnly: true}, {Key: "entry", Header: "entry", Kind: KindCount, SheetOnly: true},
	}, Empty: "nothing was logged"}
	for _, e := range in.Entries {
		t.Len += len(e.Shares)
	}
	t.Stream = func(yield func(Row) bool) {
		for _, e := range in.Entries {
			parts := e.ShareOut(in.Now)
			for i := range e.Shares {
				if !yield(in.logRow(e, i, parts[i])) {
					return
				}
			}
		}
	}
	return t
}

func (in EveningInput) logRow(e jobs.Entry, i int, part time.Duration) Row {
	s := e.Shares[i]
	from, to := Clock(e.From), Empty()
	switch {
	case e.SpentSec > 0:
		from = Empty()
	case e.To != nil:
		to = Clock(*e.To)
	}
	count, grade := NotRecorded(), Empty()
	if s.Count > 0 {
		count = Quantity(money.QtyFromFloat(s.Count))
	} else if !s.Done {
		count = Empty()
	}
	if in.Operations[e.Operation].Drills != "" && s.Done {
		grade = NotRecorded()
	}
	if e.Grade != nil {
		grade = Count(*e.Grade)
	}
	flags := Text(entryFlags(e, s))
	if e.Assumed || e.ClockBack {
		flags = flags.In(Careful)
	}
	return R(Day(string(in.Shop.Evening(e.From))), from, to, Text(e.Operation), Text(s.Neck), Text(in.Necks[s.Neck].Nickname), Text(string(e.Class)),
		Minutes(part), count, Text(in.Operations[e.Operation].Unit()), Flag(s.Done), grade, flags, Text(e.Note), Count(int(e.ID)))
}

// entryFlags says in words what is not plain about an entry.
func entryFlags(e jobs.Entry, s jobs.Share) string {
	var f []string
	add := func(on bool, word string) {
		if on {
			f = append(f, word)
		}
	}
	add(e.Running(), "on now")
	add(e.SpentSec > 0, "told")
	add(e.Assumed, "assumed end")
	add(e.Late, "after closing")
	add(e.ClockBack, "clock ran back")
	add(e.Cause != "", e.Cause)
	add(e.Payer == "customer", "customer pays")
	add(e.Person != "", "by "+e.Person)
	add(s.Left, "dropped out")
	add(s.Step == 0, "off the route")
	return strings.Join(f, ", ")
}

type tally struct {
	key           string
	time, assumed time.Duration
	sessions      int
}

// tallies adds shares up by a key, longest first.
func tallies(entries []jobs.Entry, now time.Time, key func(jobs.Entry, jobs.Share) string) []tally {
	at := map[string]int{}
	var out []tally
	for _, e := range entries {
		parts := e.ShareOut(now)
		for i, s := range e.Shares {
			k := key(e, s)
			j, ok := at[k]
			if !ok {
				j = len(out)
				at[k] = j
				out = append(out, tally{key: k})
			}
			out[j].time += parts[i]
			out[j].sessions++
			if e.Assumed {
				out[j].assumed += parts[i]
			}
		}
	}
	slices.SortFunc(out, func(a, b tally) int {
		return cmp.Or(cmp.Compare(b.time, a.time), strings.Compare(a.key, b.key))
	})
	return out
}

func allTime(ts []tally) (sum time.Duration) {
	for _, t := range ts {
		sum += t.time
	}
	return sum
}

func byOperation(in EveningInput) Table {
	t := Table{Name: "by operation", Title: "By operation", Columns: []Column{
		{Key: "operation", Header: "operation"}, {Key: "sittings", Header: "shares", Kind: KindCount, Sum: true},
		{Key: "total_min", Header: "time", Unit: "min", Kind: KindMinutes, Sum: true},
		{Key: "total_h", Header: "time", Unit: "h", Kind: KindHours, Digits: 2, Sum: true},
		{Key: "part", Header: "part of all", Kind: KindShare},
		{Key: "assumed_min", Header: "assumed", Unit: "min", Kind: KindMinutes, Sum: true}},
		Charts: []Chart{{Kind: ChartBars, Title: "Time by operation", X: "operation", XTitle: "operation", YTitle: "bench time (h)", Series: []Series{{Y: "total_h"}}}}}
	fillTallies(&t, tallies(in.Entries, in.Now, func(e jobs.Entry, _ jobs.Share) string { return e.Operation }))
	return t
}

func byNeck(in EveningInput) Table {
	t := Table{Name: "by neck", Title: "By neck", Columns: []Column{
		{Key: "neck", Header: "neck"}, {Key: "sittings", Header: "shares", Kind: KindCount, Sum: true},
		{Key: "total_min", Header: "time", Unit: "min", Kind: KindMinutes, Sum: true},
		{Key: "total_h", Header: "time", Unit: "h", Kind: KindHours, Digits: 2, Sum: true},
		{Key: "part", Header: "part of all", Kind: KindShare},
		{Key: "assumed_min", Header: "assumed", Unit: "min", Kind: KindMinutes, Sum: true}}}
	fillTallies(&t, tallies(in.Entries, in.Now, func(_ jobs.Entry, s jobs.Share) string {
		return strings.TrimSpace(s.Neck + " " + in.Necks[s.Neck].Nickname)
	}))
	return t
}

// fillTallies writes the rows; hours and parts follow the minutes.
func fillTallies(t *Table, ts []tally) {
	all := allTime(ts)
	for _, x := range ts {
		part := 0.0
		if all > 0 {
			part = x.time.Seconds() / all.Seconds()
		}
		t.Add(Text(x.key), Count(x.sessions), Minutes(x.time), Hours(x.time).Live("{total_min}/60"), Share(part).Live("{total_min}/SUM({total_min:})"), Minutes(x.assumed))
	}
}

// stackOperations is how many operations the week stack tells apart.
const stackOperations = 8

// weekStack is the bench hours of ISO weeks by operation; weeks without work
// stand with no hours, since a gap is news too.
func weekStack(in EveningInput) (Table, bool) {
	if len(in.Weeks) == 0 {
		return Table{}, false
	}
	ts := tallies(in.Weeks, in.Now, func(e jobs.Entry, _ jobs.Share) string { return e.Operation })
	t := Table{Name: "weeks", Title: "Weeks", Subtitle: "bench hours by operation, up to this evening", Columns: []Column{
		{Key: "week", Header: "week"}, {Key: "evenings", Header: "evenings", Kind: KindCount, Sum: true}, {Key: "total_h", Header: "all", Unit: "h", Kind: KindHours, Digits: 2, Sum: true}}}
	var series []Series
	column := map[string]int{}
	for i, x := range ts {
		if i == stackOperations && len(ts) > stackOperations+1 {
			column[""] = len(t.Columns)
			t.Columns = append(t.Columns, Column{Key: "other_operations_h", Header: "other operations", Unit: "h", Kind: KindHours, Digits: 2, Sum: true, SheetOnly: true})
			series = append(series, Series{Name: "other operations", Y: "other_operations_h"})
			break
		}
		key := freeKey(t.Columns, x.key, "_h")
		column[x.key] = len(t.Columns)
		t.Columns = append(t.Columns, Column{Key: key, Header: x.key, Unit: "h", Kind: KindHours, Digits: 2, Sum: true, SheetOnly: true})
		series = append(series, Series{Name: x.key, Y: key})
	}
	byWeek := map[string][]time.Duration{}
	days := map[string]map[jobs.Day]bool{}
	first, last := in.Shop.Evening(in.Weeks[0].From), jobs.Day("")
	for _, e := range in.Weeks {
		day := in.Shop.Evening(e.From)
		first, last = min(first, day), max(last, day)
		w := weekOf(day)
		if byWeek[w] == nil {
			byWeek[w], days[w] = make([]time.Duration, len(t.Columns)), map[jobs.Day]bool{}
		}
		days[w][day] = true
		c, ok := column[e.Operation]
		if !ok {
			c = column[""]
		}
		byWeek[w][c] += e.Elapsed(in.Now)
		byWeek[w][2] += e.Elapsed(in.Now)
	}
	for d := first; d <= last.Add(6); d = d.Add(7) {
		w := weekOf(d)
		if w > weekOf(last) {
			break
		}
		cells := []Cell{Text(w), Count(len(days[w])), Empty()}
		sums := byWeek[w]
		if sums == nil {
			sums = make([]time.Duration, len(t.Columns))
		}
		cells[2] = Hours(sums[2])
		for _, s := range sums[3:] {
			cells = append(cells, Hours(s))
		}
		t.Add(cells...)
	}
	t.Charts = []Chart{{Kind: ChartStacked, Title: "Bench hours by week", X: "week", XTitle: "ISO week", YTitle: "bench time (h)", Series: series}}
	return t, true
}

// weekOf names the ISO 8601 week of a day: 2026-W13.
func weekOf(d jobs.Day) string {
	y, w := d.Noon().ISOWeek()
	return fmt.Sprintf("%d-W%02d", y, w)
}

// freeKey makes a column key of a name: small letters, digits, underscores,
// not yet taken.
func freeKey(cols []Column, name, suffix string) string {
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
	for n := 2; slices.ContainsFunc(cols, func(c Column) bool { return c.Key == key }); n++ {
		key = fmt.Sprintf("%s_%d%s", s, n, suffix)
	}
	return key
}
