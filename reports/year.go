package reports

import (
	"fmt"
	"slices"
	"time"

	"bookmatch/costing/estimate"
	"bookmatch/costing/money"
	"bookmatch/costing/quote"
	"bookmatch/jobs"
)

// YearInput is one calendar year of the shop.
type YearInput struct {
	Shop    jobs.Shop
	Year    int
	Necks   []jobs.Neck
	Entries []jobs.Entry // of the year's evenings, settled
	// Prices are net prices of necks with an accepted quote, Bought what was
	// spent on them besides work; both by code.
	Prices    map[string]money.Amount
	Bought    map[string]money.Amount
	Hours     map[string]NeckHours // of the necks finished in the year, all their work
	Overhead  quote.OverheadRate   // over the hours of the year
	Unlogged  estimate.Unlogged
	Quotes    *quote.Calibration // nil: no finished quote
	Uses      []jobs.BitUse      // of the year
	Lives     []jobs.EdgeLife
	Standards []Standard
	Now       time.Time
}

// Year is the year of the shop: what was made, what an hour earned, what the
// overhead really was, what had to be done again.
func Year(in YearInput) Report {
	r := ShopReport(in.Shop, in.Now, fmt.Sprintf("year-%d", in.Year), fmt.Sprintf("The year %d", in.Year))
	if in.Now.In(in.Shop.Location()).Year() == in.Year {
		r.Subject = "up to " + in.Now.In(in.Shop.Location()).Format("2 Jan 2006")
	}
	r.Inputs = []Input{{Name: "yearly_overhead", Label: "overhead of a year", Unit: string(in.Shop.Currency), Value: Money(in.Overhead.Yearly.Round(in.Shop.Currency.Scale())), Basis: "shop setting"}}
	r.Add(in.figures(), in.months(), in.necks(), in.rework(), in.bits())
	if len(in.Standards) > 0 {
		r.Add(Standards(in.Standards, in.Shop.Location())...)
	}
	r.Count("paid hours", "Hours logged on necks for a customer; all others are for stock. An entry counts in the month of its evening.")
	r.Count("loose factor", "Length of an evening, first start to last end, over the work logged in it. %d evenings.", in.Unlogged.Evenings)
	r.Count("hours per neck", "All hours of the necks finished in the year, whenever they were worked, over their number.")
	r.Count("earned per hour", "Net price less supplies, bits and parts, over the hours of the same necks: finished in the year and sold by an accepted quote.")
	r.Count("overhead true", "Overhead of a year over the hours that were logged on necks in it, paid and for stock.")
	r.Count("P80 hit rate", "Finished necks whose hours stayed under the P80 of their quote: 8 of 10 is what it promises.")
	r.Count("holes per bit", "Holes of the year by bit, test holes left out; an edge that ended is one worn out, lost, broken or sharpened.")
	return r
}

// NeckHours is how long a neck took in all; Year needs it for the necks that
// were begun in an earlier year.
type NeckHours struct{ All, Rework time.Duration }

func (in YearInput) finishedIn(n jobs.Neck) bool {
	return n.Status == jobs.Finished && n.Closed != nil && n.Closed.In(in.Shop.Location()).Year() == in.Year
}

// figures is the page that is read first: each figure with what it rests on.
func (in YearInput) figures() Table {
	cur := in.Shop.Currency
	t := Table{Name: "year", Title: fmt.Sprintf("The year %d", in.Year), Columns: []Column{
		{Key: "figure", Header: "figure", Max: 26, Width: 30}, {Key: "value", Header: "value", Kind: KindNumber, Digits: 2, Width: 14}, {Key: "unit", Header: "unit", Max: 10, Width: 12}, {Key: "basis", Header: "basis", Max: 40, Width: 56}}}
	var logged, paid time.Duration
	isPaid := map[string]bool{}
	finished, paidNecks := 0, 0
	var neckTime time.Duration
	for _, n := range in.Necks {
		isPaid[n.Code] = n.Paid
		if in.finishedIn(n) {
			finished++
			neckTime += in.Hours[n.Code].All
			if n.Paid {
				paidNecks++
			}
		}
	}
	evenings := map[jobs.Day]bool{}
	for _, e := range in.Entries {
		evenings[in.Shop.Evening(e.From)] = true
		for i, part := range e.ShareOut(in.Now) {
			logged += part
			if isPaid[e.Shares[i].Neck] {
				paid += part
			}
		}
	}
	add := func(key, what string, v Cell, unit, basis string) {
		t.AddKey(key, Text(what), v, Text(unit), Text(basis))
	}
	add("finished", "necks finished", Count(finished).Live("{months/finished@total}"), "", fmt.Sprintf("%d of them for a customer", paidNecks))
	add("evenings", "evenings worked", Count(len(evenings)).Live("{months/evenings@total}"), "", perWeek(len(evenings), in))
	add("logged", "bench hours", Hours(logged).Live("{months/logged_h@total}"), "h", "logged on necks")
	add("paid", "paid hours", Hours(paid).Live("{months/paid_h@total}"), "h", "on necks for a customer")
	part := NotRecorded()
	if logged > 0 {
		part = Share(paid.Seconds() / logged.Seconds()).Live("{value@paid}/{value@logged}")
	}
	add("paidpart", "paid part of the hours", part, "", "paid hours over bench hours")
	unlogged, basis := NotRecorded(), "no evening was logged"
	if in.Unlogged.Evenings > 0 {
		unlogged, basis = Number(in.Unlogged.Measured), fmt.Sprintf("evening length over logged work, %d evenings; %.2f is used for quotes", in.Unlogged.Evenings, in.Unlogged.Factor)
	}
	add("loose", "loose factor", unlogged, "x", basis)
	per := NotRecorded()
	if finished > 0 {
		per = Hours(neckTime / time.Duration(finished))
	}
	add("perneck", "hours per neck", per, "h", fmt.Sprintf("%d %s finished, all their hours", finished, necksWord(finished)))
	earned, sold, soldTime := money.Zero, 0, time.Duration(0)
	for _, n := range in.Necks {
		if price, ok := in.Prices[n.Code]; ok && in.finishedIn(n) {
			earned = earned.Add(cur.Line(price)).Sub(cur.Line(in.Bought[n.Code]))
			soldTime += in.Hours[n.Code].All
			sold++
		}
	}
	if soldTime > 0 {
		add("earned", "earned per hour", Money(earned.MulInt(3600).Div(money.QtyOf(int64(soldTime/time.Second)).Decimal)).Live(fmt.Sprintf("ROUND({necks/earned@total}/{necks/priced_h@total},%d)", cur.Scale())), string(cur)+"/h", fmt.Sprintf("%d sold %s, %.1f h: net price less what was bought", sold, necksWord(sold), soldTime.Hours()))
	} else {
		add("earned", "earned per hour", NotRecorded(), string(cur)+"/h", "no neck of an accepted quote was finished")
	}
	over := NotRecorded()
	if logged > 0 && in.Overhead.Yearly.Sign() > 0 {
		over = Money(cur.Line(in.Overhead.Yearly).MulInt(3600).Div(money.QtyOf(int64(logged / time.Second)).Decimal)).Live(fmt.Sprintf("ROUND(yearly_overhead/{months/logged_h@total},%d)", cur.Scale()))
	}
	add("overhead", "overhead true", over, string(cur)+"/h", fmt.Sprintf("%s a year over the bench hours; %s is charged", cur.Print(in.Overhead.Yearly), cur.Print(in.Shop.Overhead)))
	in.hits(add)
	holes, worn := 0, 0
	for _, u := range in.Uses {
		if !u.Test {
			holes += u.Holes
		}
	}
	for _, l := range in.Lives {
		if l.Event && l.EndedOn.In(in.Shop.Location()).Year() == in.Year {
			worn++
		}
	}
	perBit := NotRecorded()
	bits := bitsUsed(in.Uses)
	if bits > 0 {
		perBit = Number(float64(holes) / float64(bits)).Live(fmt.Sprintf("{bits/holes@total}/%d", bits))
	}
	add("holes", "holes per bit", perBit, "holes", fmt.Sprintf("%d holes by %d bits; %d edges worn out", holes, bits, worn))
	return t
}

func (in YearInput) hits(add func(key, what string, v Cell, unit, basis string)) {
	if in.Quotes == nil || in.Quotes.N == 0 {
		add("hits", "P80 hit rate", NotRecorded(), "", "no finished neck has a quote")
		return
	}
	q := in.Quotes
	add("hits", "P80 hit rate", Share(float64(q.UnderSafe)/float64(q.N)), "", fmt.Sprintf("%d of %d under their P80 (%.0f to %.0f %% by Wilson's interval); %s", q.UnderSafe, q.N, 100*q.Low, 100*q.High, q.Verdict))
}

func perWeek(evenings int, in YearInput) string {
	first := jobs.Day(fmt.Sprintf("%d-01-01", in.Year))
	last := jobs.Day(fmt.Sprintf("%d-12-31", in.Year))
	if today := in.Shop.Evening(in.Now); today < last {
		last = today
	}
	days := first.DaysTo(last) + 1
	if days < 7 {
		return "an evening turns at " + in.Shop.DayEnds.String()
	}
	return fmt.Sprintf("%.1f a week over %d weeks", float64(evenings)*7/float64(days), (days+6)/7)
}

func bitsUsed(uses []jobs.BitUse) int {
	var codes []string
	for _, u := range uses {
		if u.Bit != "" && !u.Test && !slices.Contains(codes, u.Bit) {
			codes = append(codes, u.Bit)
		}
	}
	return len(codes)
}

func necksWord(n int) string {
	if n == 1 {
		return "neck"
	}
	return "necks"
}
