package reports

import (
	"fmt"
	"time"

	"bookmatch/costing/money"
	"bookmatch/jobs"
)

func (in YearInput) months() Table {
	cur := Column{Kind: KindHours, Digits: 1, Sum: true, Unit: "h"}
	hours := func(key, header string) Column { c := cur; c.Key, c.Header = key, header; return c }
	t := Table{Name: "months", Title: "By month", Columns: []Column{
		{Key: "month", Header: "month"}, {Key: "evenings", Header: "evenings", Kind: KindCount, Sum: true},
		hours("logged_h", "logged"), hours("paid_h", "paid"), hours("stock_h", "for stock"), hours("rework_h", "again"), hours("decide_h", "deciding"),
		{Key: "finished", Header: "necks finished", Kind: KindCount, Sum: true}},
		Charts: []Chart{{Kind: ChartStacked, Title: "Bench hours by month", X: "month", XTitle: "month", YTitle: "bench time (h)", Series: []Series{{Y: "paid_h", Name: "paid"}, {Y: "stock_h", Name: "for stock"}}}}}
	paid := map[string]bool{}
	finished := make([]int, 13)
	for _, n := range in.Necks {
		paid[n.Code] = n.Paid
		if in.finishedIn(n) {
			finished[n.Closed.In(in.Shop.Location()).Month()]++
		}
	}
	type sums struct {
		days                         map[jobs.Day]bool
		logged, paid, rework, decide time.Duration
	}
	by := make([]sums, 13)
	for _, e := range in.Entries {
		day := in.Shop.Evening(e.From)
		m := int(day.Noon().Month())
		if by[m].days == nil {
			by[m].days = map[jobs.Day]bool{}
		}
		by[m].days[day] = true
		for i, part := range e.ShareOut(in.Now) {
			by[m].logged += part
			if paid[e.Shares[i].Neck] {
				by[m].paid += part
			}
			switch e.Class {
			case jobs.Rework:
				by[m].rework += part
			case jobs.Deciding:
				by[m].decide += part
			}
		}
	}
	for m := 1; m <= 12; m++ {
		x := by[m]
		t.AddKey(fmt.Sprintf("m%d", m), Text(fmt.Sprintf("%d-%02d", in.Year, m)), Count(len(x.days)), Hours(x.logged), Hours(x.paid), Hours(x.logged-x.paid), Hours(x.rework), Hours(x.decide), Count(finished[m]))
	}
	return t
}

func (in YearInput) necks() Table {
	c := string(in.Shop.Currency)
	t := Table{Name: "necks", Title: "Necks worked on or finished", Columns: []Column{
		{Key: "neck", Header: "neck"}, {Key: "nickname", Header: "name"}, {Key: "title", Header: "title", SheetOnly: true}, {Key: "paid", Header: "paid", Kind: KindFlag}, {Key: "status", Header: "status"}, {Key: "finished", Header: "finished", Kind: KindDate},
		{Key: "year_h", Header: "this year", Unit: "h", Kind: KindHours, Sum: true},
		{Key: "net", Header: "net price", Unit: c, Kind: KindMoney, Sum: true}, {Key: "bought", Header: "bought for it", Unit: c, Kind: KindMoney, Sum: true, SheetOnly: true},
		{Key: "earned", Header: "for the work", Unit: c, Kind: KindMoney, Sum: true}, {Key: "priced_h", Header: "its hours", Unit: "h", Kind: KindHours, Sum: true, SheetOnly: true},
		{Key: "per_h", Header: "an hour", Unit: c, Kind: KindMoney}},
		Empty: "no neck was worked on"}
	spent := map[string]time.Duration{}
	for _, e := range in.Entries {
		for i, part := range e.ShareOut(in.Now) {
			spent[e.Shares[i].Neck] += part
		}
	}
	for _, n := range in.Necks {
		if spent[n.Code] == 0 && !in.finishedIn(n) {
			continue
		}
		done, net, bought, earned, hours, per := Empty(), Empty(), Empty(), Empty(), Empty(), Empty()
		if n.Closed != nil {
			done = Date(n.Closed.In(in.Shop.Location()))
		}
		if price, ok := in.Prices[n.Code]; ok && in.finishedIn(n) {
			cur := in.Shop.Currency
			price, cost := cur.Line(price), cur.Line(in.Bought[n.Code])
			net, bought = Money(price), Money(cost)
			earned = Money(price.Sub(cost)).Live("{net}-{bought}")
			all := in.Hours[n.Code].All
			hours = Hours(all)
			if all > 0 {
				per = Money(price.Sub(cost).MulInt(3600).Div(money.QtyOf(int64(all / time.Second)).Decimal)).Live(fmt.Sprintf("ROUND({earned}/{priced_h},%d)", cur.Scale()))
			}
		}
		t.Add(Text(n.Code), Text(n.Nickname), Text(n.Title), Flag(n.Paid), Text(string(n.Status)), done, Hours(spent[n.Code]), net, bought, earned, hours, per)
	}
	t.Note("for the work: net price less supplies, bits and parts; only of necks finished in the year with an accepted quote")
	return t
}

func (in YearInput) rework() Table {
	t := Table{Name: "rework", Title: "Done again, by cause", Columns: []Column{
		{Key: "cause", Header: "cause"}, {Key: "entries", Header: "times", Kind: KindCount, Sum: true}, {Key: "rework_h", Header: "time", Unit: "h", Kind: KindHours, Digits: 2, Sum: true},
		{Key: "customer_h", Header: "of it the customer pays", Unit: "h", Kind: KindHours, Digits: 2, Sum: true}, {Key: "part", Header: "part of rework", Kind: KindShare}},
		Empty:  "nothing had to be done again",
		Charts: []Chart{{Kind: ChartBars, Title: "Rework by cause", X: "cause", XTitle: "cause", YTitle: "bench time (h)", Series: []Series{{Y: "rework_h", Paint: Cherry}}}}}
	type sum struct {
		n              int
		time, customer time.Duration
	}
	by, all := map[string]*sum{}, time.Duration(0)
	for _, e := range in.Entries {
		if e.Class != jobs.Rework {
			continue
		}
		s := by[e.Cause]
		if s == nil {
			s = &sum{}
			by[e.Cause] = s
		}
		d := e.Elapsed(in.Now)
		s.n++
		s.time += d
		all += d
		if e.Payer == "customer" {
			s.customer += d
		}
	}
	for _, cause := range jobs.SortedKeys(by) {
		s, part := by[cause], 0.0
		if all > 0 {
			part = s.time.Seconds() / all.Seconds()
		}
		t.Add(Text(cause), Count(s.n), Hours(s.time), Hours(s.customer), Share(part).Live("{rework_h}/SUM({rework_h:})"))
	}
	return t
}

func (in YearInput) bits() Table {
	t := Table{Name: "bits", Title: "Holes by bit", Columns: []Column{
		{Key: "bit", Header: "bit"}, {Key: "holes", Header: "holes", Kind: KindCount, Sum: true}, {Key: "show_holes", Header: "of it graded", Kind: KindCount, Sum: true}, {Key: "proofs", Header: "test holes", Kind: KindCount, Sum: true},
		{Key: "edges_ended", Header: "edges ended", Kind: KindCount, Sum: true}, {Key: "worn_out", Header: "of it worn out", Kind: KindCount, Sum: true}},
		Empty: "no hole was drilled"}
	zone := in.Shop.Location()
	type sum struct{ holes, graded, proofs, ended, dull int }
	by := map[string]*sum{}
	at := func(code string) *sum {
		if code == "" {
			code = "unknown"
		}
		if by[code] == nil {
			by[code] = &sum{}
		}
		return by[code]
	}
	for _, u := range in.Uses {
		s := at(u.Bit)
		if u.Test {
			s.proofs += u.Holes
			continue
		}
		s.holes += u.Holes
		if u.GradeIn != nil || u.GradeOut != nil {
			s.graded += u.Holes
		}
	}
	for _, l := range in.Lives {
		if l.Closed && l.EndedOn.In(zone).Year() == in.Year {
			s := at(l.Bit)
			s.ended++
			if l.Event {
				s.dull++
			}
		}
	}
	for _, code := range jobs.SortedKeys(by) {
		s := by[code]
		t.Add(Text(code), Count(s.holes), Count(s.graded), Count(s.proofs), Count(s.ended), Count(s.dull))
	}
	return t
}
