package reports

import (
	"fmt"

	"bookmatch/costing/money"
	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
)

// hoursIn is a cell of hours from bench time in minutes.
func hoursIn(min float64) Cell { return HoursOf(min / 60) }

// Year is the year of the shop: what was made, what an hour earned, what the
// overhead was, what had to be redone.
func Year(r *workshop.YearResult) Report {
	out := Of(r, fmt.Sprintf("year-%d", r.Year), fmt.Sprintf("The year %d", r.Year))
	when := ""
	if r.Running {
		when = ", up to " + r.Made.Format("2 Jan")
		out.Subject = "up to " + r.Made.Format("2 Jan 2006")
	}
	out.Headline = []string{fmt.Sprintf("The year %d%s: %s finished, %.1f h at the bench on %s.", r.Year, when, jobs.CountText(r.Finished, "neck"), r.LoggedMin/60, jobs.CountText(r.Evenings, "evening"))}
	if r.EarnedPerHour != nil {
		out.Headline = append(out.Headline, fmt.Sprintf("An hour on sold necks earned %s %s.", out.Currency.Print(*r.EarnedPerHour), out.Currency))
	}
	out.Inputs = []Input{{Name: "yearly_overhead", Label: "overhead of a year", Unit: string(out.Currency), Value: Money(r.Overhead.Yearly.Round(out.Currency.Scale())), Basis: "shop setting"}}
	out.Add(yearFigures(r, out.Currency), yearMonths(r), yearNecks(r, out.Currency), yearRework(r), yearBits(r))
	times := yearTimes(r)
	behind := behindTimes(r)
	if r.Money != nil {
		months := yearMoneyMonths(r.Money, out.Currency)
		out.Sections = append(out.Sections, Section{At: Full | Why, Table: &months})
		out.Count("money of the year", "Without tax. A neck counts in the month it was handed over, what was bought in the month it came.")
	}
	out.Sections = append(out.Sections, Section{At: Full | Why, Table: &times}, Section{At: Full | Why, Table: &behind})
	out.Next = []string{fmt.Sprintf("report year %d --out year.xlsx", r.Year)}
	out.Count("paid hours", "Hours logged on necks for a customer. All others are for stock. An entry counts in the month of its evening.")
	out.Count("unlogged time", "Length of an evening, first start to last end, over the work logged in it. %s.", jobs.CountText(r.Unlogged.Evenings, "evening"))
	out.Count("hours per neck", "All hours of the necks finished in the year, whenever they were worked, over their number.")
	out.Count("earned per hour", "Net price less supplies, bits and parts, over the hours of the same necks: finished in the year and sold, by themselves or by an accepted quote.")
	out.Count("true overhead", "Overhead of a year over the hours that were logged on necks in it, paid and for stock.")
	out.Count("within safe hours", "Finished necks that took no longer than the safe hours of their quote. They promise 8 of 10.")
	out.Count("holes per bit", "Holes of the year by bit, without test holes. A life ends when a bit is worn out, lost, broken or sharpened.")
	return out
}

// yearFigure is one figure with what it rests on.
type yearFigure struct {
	key, what, unit, basis string
	value                  Cell
}

// yearFigures is the page that is read first: each figure with its basis.
func yearFigures(r *workshop.YearResult, cur money.Currency) Table {
	perHour := string(cur) + "/h"
	rounded := func(formula string) string { return fmt.Sprintf("ROUND(%s,%d)", formula, cur.Scale()) }
	paidPart, unlogged, unloggedBasis := NotRecorded(), NotRecorded(), "no evening was logged"
	if r.LoggedMin > 0 {
		paidPart = Share(r.PaidMin / r.LoggedMin).Live("{value@paid}/{value@logged}")
	}
	if r.Unlogged.Evenings > 0 {
		unlogged = Share(r.Unlogged.Measured - 1)
		unloggedBasis = fmt.Sprintf("%s; quotes use %.0f %%", jobs.CountText(r.Unlogged.Evenings, "evening"), 100*(r.Unlogged.Factor-1))
	}
	perNeck := NotRecorded()
	if r.PerNeckMin != nil {
		perNeck = hoursIn(*r.PerNeckMin)
	}
	earned, earnedBasis := NotRecorded(), "no neck of an accepted quote was finished"
	if r.EarnedPerHour != nil {
		earned = Money(*r.EarnedPerHour).Live(rounded("{necks/earned@total}/{necks/priced_h@total}"))
		earnedBasis = fmt.Sprintf("%s, %.1f h: net price less what was bought", jobs.CountText(r.Sold, "sold neck"), r.SoldMin/60)
	}
	over := NotRecorded()
	if r.TrueOverhead != nil {
		over = Money(*r.TrueOverhead).Live(rounded("yearly_overhead/{months/logged_h@total}"))
	}
	perBit := NotRecorded()
	if r.BitsUsed > 0 {
		perBit = Number(float64(r.Holes) / float64(r.BitsUsed)).Live(fmt.Sprintf("{bits/holes@total}/%d", r.BitsUsed))
	}
	hits, hitsBasis := NotRecorded(), "no finished neck has a quote"
	if q := r.Quotes; q != nil && q.N > 0 {
		hits = Share(float64(q.UnderSafe) / float64(q.N))
		hitsBasis = fmt.Sprintf("%d of %d (%.0f to %.0f %%, Wilson's interval); %s", q.UnderSafe, q.N, 100*q.Low, 100*q.High, q.Verdict)
	}
	type f = yearFigure
	return BuildKeyed(Table{Name: "year"}, []f{
		{"finished", "necks finished", "", fmt.Sprintf("%d of them for a customer", r.FinishedPaid), Count(r.Finished).Live("{months/finished@total}")},
		{"evenings", "evenings worked", "", aWeek(r), Count(r.Evenings).Live("{months/evenings@total}")},
		{"logged", "bench hours", "h", "logged on necks", hoursIn(r.LoggedMin).Live("{months/logged_h@total}")},
		{"paid", "paid hours", "h", "on necks for a customer", hoursIn(r.PaidMin).Live("{months/paid_h@total}")},
		{"paidpart", "paid part of the hours", "", "paid hours over bench hours", paidPart},
		{"unlogged", "unlogged time", "", unloggedBasis, unlogged},
		{"perneck", "hours per neck", "h", jobs.CountText(r.Finished, "finished neck") + ", all their hours", perNeck},
		{"earned", "earned per hour", perHour, earnedBasis, earned},
		{"overhead", "true overhead", perHour, fmt.Sprintf("%s a year over the bench hours; %s is charged", cur.Print(r.Overhead.Yearly), cur.Print(r.Charged)), over},
		{"hits", "within safe hours", "", hitsBasis, hits},
		{"holes", "holes per bit", "holes", fmt.Sprintf("%s with %s; %s worn out", jobs.CountText(r.Holes, "hole"), jobs.CountText(r.BitsUsed, "bit"), jobs.CountText(r.WornOut, "life")), perBit},
	}, func(x f) string { return x.key }, []Col[f]{
		{Column{Key: "figure", Header: "figure", Max: 26, Width: 30}, func(x f) Cell { return Text(x.what) }},
		{Column{Key: "value", Header: "value", Kind: KindNumber, Digits: 2, Width: 14}, func(x f) Cell { return x.value }},
		{Column{Key: "unit", Header: "unit", Max: 10, Width: 12}, func(x f) Cell { return Text(x.unit) }},
		{Column{Key: "basis", Header: "basis", Max: 40, Width: 56}, func(x f) Cell { return Text(x.basis) }},
	})
}

func aWeek(r *workshop.YearResult) string {
	if r.Days < 7 {
		return "less than a week"
	}
	return fmt.Sprintf("%.1f a week over %d weeks", float64(r.Evenings)*7/float64(r.Days), (r.Days+6)/7)
}

func yearMonths(r *workshop.YearResult) Table {
	type m = workshop.YearMonth
	hours := func(key, header string, min func(m) float64) Col[m] {
		return Col[m]{Column{Key: key, Header: header, Unit: "h", Kind: KindHours, Digits: 1, Sum: true}, func(x m) Cell { return hoursIn(min(x)) }}
	}
	t := BuildKeyed(Table{Name: "months", Title: "By month"}, r.Months, func(x m) string { return "m" + x.Month[5:] }, []Col[m]{
		{Column{Key: "month", Header: "month"}, func(x m) Cell { return Text(x.Month) }},
		{Column{Key: "evenings", Header: "evenings", Kind: KindCount, Sum: true}, func(x m) Cell { return Count(x.Evenings) }},
		hours("logged_h", "logged", func(x m) float64 { return x.LoggedMin }),
		hours("paid_h", "paid", func(x m) float64 { return x.PaidMin }),
		hours("stock_h", "for stock", func(x m) float64 { return x.LoggedMin - x.PaidMin }),
		hours("rework_h", "rework", func(x m) float64 { return x.ReworkMin }),
		hours("deciding_h", "deciding", func(x m) float64 { return x.DecidingMin }),
		{Column{Key: "finished", Header: "necks finished", Kind: KindCount, Sum: true}, func(x m) Cell { return Count(x.Finished) }},
	})
	t.Charts = []Chart{{Kind: ChartStacked, Title: "Bench hours by month", X: "month", XTitle: "month", YTitle: "bench time (h)", Series: []Series{{Y: "paid_h", Name: "paid"}, {Y: "stock_h", Name: "for stock"}}}}
	return t
}

// yearMoneyMonths is what was sold and bought, by month.
func yearMoneyMonths(m *workshop.YearMoney, cur money.Currency) Table {
	type row = workshop.MonthMoney
	amount := func(key, header string, get func(row) money.Amount) Col[row] {
		return Col[row]{Column{Key: key, Header: header, Unit: string(cur), Kind: KindMoney, Sum: true}, func(x row) Cell { return Money(get(x)) }}
	}
	t := Build(Table{Name: "money", Title: "Money by month, without tax"}, m.Months, []Col[row]{
		{Column{Key: "month", Header: "month"}, func(x row) Cell { return Text(x.Month) }},
		amount("sold", "sold", func(x row) money.Amount { return x.Sold }),
		amount("tax", "its tax", func(x row) money.Amount { return x.Tax }),
		amount("parts", "parts", func(x row) money.Amount { return x.Parts }),
		amount("supplies", "supplies", func(x row) money.Amount { return x.Supplies }),
		amount("bits", "bits", func(x row) money.Amount { return x.Bits }),
	})
	t.Note("Left before rent and tools: %s. Written off: %s.", cur.Print(m.Left), cur.Print(m.WrittenOff))
	if m.InProgress != nil && m.Deposits != nil && m.Stock != nil {
		t.Note("Held now: deposits %s, stock %s, work in progress %s.", cur.Print(*m.Deposits), cur.Print(*m.Stock), cur.Print(*m.InProgress))
	}
	if len(m.NoPrice) > 0 {
		t.Note("No price on record, so in no sum: %s.", nameList(m.NoPrice, 12))
	}
	return t
}

func yearNecks(r *workshop.YearResult, cur money.Currency) Table {
	type n = workshop.YearNeck
	c := string(cur)
	sold := func(f func(n) Cell) func(n) Cell {
		return func(x n) Cell {
			if x.Net == nil {
				return Empty()
			}
			return f(x)
		}
	}
	t := Build(Table{Name: "necks", Title: "Necks worked on or finished", Empty: "No neck was worked on."}, r.Necks, []Col[n]{
		{Column{Key: "neck", Header: "neck"}, func(x n) Cell { return Text(x.Neck) }},
		{Column{Key: "nickname", Header: "name"}, func(x n) Cell { return Text(x.Nickname) }},
		{Column{Key: "title", Header: "title", SheetOnly: true}, func(x n) Cell { return Text(x.Title) }},
		{Column{Key: "paid", Header: "paid", Kind: KindFlag}, func(x n) Cell { return Flag(x.Paid) }},
		{Column{Key: "status", Header: "status"}, func(x n) Cell { return Text(string(x.Status)) }},
		{Column{Key: "finished", Header: "finished", Kind: KindDate}, func(x n) Cell { return Maybe(x.Finished, Date) }},
		{Column{Key: "year_h", Header: "this year", Unit: "h", Kind: KindHours, Sum: true}, func(x n) Cell { return hoursIn(x.YearMin) }},
		{Column{Key: "net", Header: "net price", Unit: c, Kind: KindMoney, Sum: true}, sold(func(x n) Cell { return Money(*x.Net) })},
		{Column{Key: "bought", Header: "bought for it", Unit: c, Kind: KindMoney, Sum: true, SheetOnly: true}, sold(func(x n) Cell { return Money(*x.Bought) })},
		{Column{Key: "earned", Header: "for the work", Unit: c, Kind: KindMoney, Sum: true}, sold(func(x n) Cell { return Money(x.Net.Sub(*x.Bought)).Live("{net}-{bought}") })},
		{Column{Key: "priced_h", Header: "its hours", Unit: "h", Kind: KindHours, Sum: true, SheetOnly: true}, sold(func(x n) Cell { return hoursIn(x.AllMin) })},
		{Column{Key: "per_h", Header: "an hour", Unit: c, Kind: KindMoney}, sold(func(x n) Cell {
			if x.AllMin == 0 {
				return Empty()
			}
			per := x.Net.Sub(*x.Bought).MulInt(60).Div(Number(x.AllMin).Decimal())
			return Money(per).Live(fmt.Sprintf("ROUND({earned}/{priced_h},%d)", cur.Scale()))
		})},
	})
	t.Note("For the work: net price less supplies, bits and parts, of necks finished in the year and sold, by themselves or by an accepted quote.")
	return t
}

func yearRework(r *workshop.YearResult) Table {
	type c = workshop.YearCause
	all := 0.0
	for _, x := range r.Rework {
		all += x.Min
	}
	t := Build(Table{Name: "rework", Title: "Rework by cause", Empty: "Nothing had to be redone."}, r.Rework, []Col[c]{
		{Column{Key: "cause", Header: "cause"}, func(x c) Cell { return Text(x.Cause) }},
		{Column{Key: "entries", Header: "times", Kind: KindCount, Sum: true}, func(x c) Cell { return Count(x.Entries) }},
		{Column{Key: "rework_h", Header: "time", Unit: "h", Kind: KindHours, Digits: 2, Sum: true}, func(x c) Cell { return hoursIn(x.Min) }},
		{Column{Key: "customer_h", Header: "of it the customer pays", Unit: "h", Kind: KindHours, Digits: 2, Sum: true}, func(x c) Cell { return hoursIn(x.CustomerMin) }},
		{Column{Key: "part", Header: "part of rework", Kind: KindShare}, func(x c) Cell {
			if all == 0 {
				return Share(0)
			}
			return Share(x.Min / all).Live("{rework_h}/SUM({rework_h:})")
		}},
	})
	t.Charts = []Chart{{Kind: ChartBars, Title: "Rework by cause", X: "cause", XTitle: "cause", YTitle: "bench time (h)", Series: []Series{{Y: "rework_h", Paint: Cherry}}}}
	return t
}

func yearBits(r *workshop.YearResult) Table {
	type b = workshop.YearBit
	count := func(key, header string, get func(b) int) Col[b] {
		return Col[b]{Column{Key: key, Header: header, Kind: KindCount, Sum: true}, func(x b) Cell { return Count(get(x)) }}
	}
	return Build(Table{Name: "bits", Title: "Holes by bit", Empty: "No hole was drilled."}, r.Bits, []Col[b]{
		{Column{Key: "bit", Header: "bit"}, func(x b) Cell { return Text(x.Bit) }},
		count("holes", "holes", func(x b) int { return x.Holes }), count("graded", "of them graded", func(x b) int { return x.Graded }),
		count("test_holes", "test holes", func(x b) int { return x.Tests }),
		count("lives_ended", "lives ended", func(x b) int { return x.Ended }), count("lives_worn_out", "worn out", func(x b) int { return x.WornOut }),
	})
}

// yearTimes sets the standard of each operation next to what the log says of it.
func yearTimes(r *workshop.YearResult) Table {
	type o = workshop.OperationReading
	t := BuildKeyed(Table{Name: "times", Title: "Times of the operations", Subtitle: "minutes: the standard, and what the log says"}, r.Times, func(x o) string { return timesKey(r, x) }, []Col[o]{
		{Column{Key: "operation", Header: "operation"}, func(x o) Cell { return Text(x.Operation) }},
		{Column{Key: "quantity", Header: "for", Kind: KindQuantity}, func(x o) Cell { return Number(x.Quantity) }},
		{Column{Key: "unit", Header: "unit", SheetOnly: true}, func(x o) Cell { return Text(x.Unit) }},
		{Column{Key: "standard_min", Header: "standard", Unit: "min", Kind: KindMinutes}, func(x o) Cell { return MinutesOf(standardMin(x)) }},
		{Column{Key: "likely_min", Header: "likely", Unit: "min", Kind: KindMinutes}, func(x o) Cell { return MinutesOf(x.LikelyMin) }},
		{Column{Key: "safe_min", Header: "safe", Unit: "min", Kind: KindMinutes}, func(x o) Cell { return MinutesOf(x.SafeMin) }},
		{Column{Key: "pace", Header: "pace", Kind: KindNumber, Digits: 2}, logged(func(x o) Cell { return Number(x.Pace) })},
		{Column{Key: "n", Header: "past jobs", Kind: KindCount}, func(x o) Cell { return Count(x.N) }},
		{Column{Key: "spread", Header: "spread", Kind: KindNumber, Digits: 2, SheetOnly: true}, logged(func(x o) Cell { return Number(x.Spread) })},
		{Column{Key: "newest", Header: "newest", Kind: KindDate}, logged(func(x o) Cell { return Day(string(x.Newest)) })},
	})
	t.Note("Pace: your time over the standard, 1.00 is the same. Past jobs: first times that count.")
	t.Note("Times are per step. Do not add them up.")
	return t
}

// logged gives a cell only where the log says something of the operation.
func logged(f func(workshop.OperationReading) Cell) func(workshop.OperationReading) Cell {
	return func(x workshop.OperationReading) Cell {
		if x.N == 0 {
			return Empty()
		}
		return f(x)
	}
}

func standardMin(x workshop.OperationReading) float64 { return x.SetupMin + x.RunMin*x.Quantity }

// timesKey names the row of an operation for formulas.
func timesKey(r *workshop.YearResult, x workshop.OperationReading) string {
	for i, y := range r.Times {
		if y.Operation == x.Operation {
			return fmt.Sprintf("k%d", i+1)
		}
	}
	return ""
}

// behindTimes is what the times rest on, with a chart against the standard.
func behindTimes(r *workshop.YearResult) Table {
	type o = workshop.OperationReading
	ratio := func(col string, min func(o) float64) func(o) Cell {
		return func(x o) Cell {
			if standardMin(x) == 0 {
				return Empty()
			}
			at := "{times/%s@" + timesKey(r, x) + "}"
			return Number(min(x) / standardMin(x)).Live(fmt.Sprintf(at, col) + "/" + fmt.Sprintf(at, "standard_min"))
		}
	}
	t := Build(Table{Name: "behind times", Title: "What the times rest on", SheetOnly: true}, r.Times, []Col[o]{
		{Column{Key: "operation", Header: "operation"}, func(x o) Cell { return Text(x.Operation) }},
		{Column{Key: "setup_min", Header: "setup", Unit: "min", Kind: KindMinutes, Digits: 1}, func(x o) Cell { return MinutesOf(x.SetupMin) }},
		{Column{Key: "run_min", Header: "run", Unit: "min/unit", Kind: KindMinutes, Digits: 2}, func(x o) Cell { return MinutesOf(x.RunMin) }},
		{Column{Key: "source", Header: "whose"}, func(x o) Cell { return Text(whoseStandard(x.Own)) }},
		{Column{Key: "largest_quantity", Header: "largest seen", Kind: KindQuantity}, logged(func(x o) Cell { return Number(x.LargestQuantity) })},
		{Column{Key: "oldest", Header: "oldest", Kind: KindDate}, logged(func(x o) Cell { return Day(string(x.Oldest)) })},
		{Column{Key: "likely_ratio", Header: "likely / standard", Kind: KindNumber, Digits: 2}, ratio("likely_min", func(x o) float64 { return x.LikelyMin })},
		{Column{Key: "safe_ratio", Header: "safe / standard", Kind: KindNumber, Digits: 2}, ratio("safe_min", func(x o) float64 { return x.SafeMin })},
		{Column{Key: "basis", Header: "basis", Width: 46}, func(x o) Cell { return Text(x.Basis) }},
	})
	if len(r.Times) > 0 {
		t.Charts = []Chart{{Kind: ChartBars, Title: "Likely and safe against the standard", X: "operation", XTitle: "operation", YTitle: "times the standard", Tall: true,
			Series: []Series{{Y: "likely_ratio", Name: "likely"}, {Y: "safe_ratio", Name: "safe"}}}}
	}
	return t
}
