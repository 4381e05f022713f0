package workshop

import (
	"fmt"
	"slices"
	"strconv"
	"time"

	"bookmatch/costing/estimate"
	"bookmatch/costing/money"
	"bookmatch/costing/quote"
	"bookmatch/jobs"
	"bookmatch/jobs/store"

	"github.com/shopspring/decimal"
)

// YearAsk asks for a calendar year, this one if none is named.
type YearAsk struct {
	Asked
	Year string `json:"year,omitempty" word:"[YEAR]"`
}

// YearResult is what a year came to. Times are minutes of bench time.
type YearResult struct {
	Meta
	Year     int                `json:"year"`
	Running  bool               `json:"running"` // the year is not over
	Days     int                `json:"days"`    // of it that have passed since the shop began
	Months   []YearMonth        `json:"months"`
	Necks    []YearNeck         `json:"necks"` // worked on or finished in the year
	Rework   []YearCause        `json:"rework"`
	Bits     []YearBit          `json:"bits"`
	Times    []OperationReading `json:"operations"`
	Unlogged estimate.Unlogged  `json:"unlogged"`
	Overhead quote.OverheadRate `json:"overhead"`
	// Charged is the overhead for each hour that quotes charge.
	Charged money.Amount       `json:"overhead_charged"`
	Quotes  *quote.Calibration `json:"quotes"` // null: no finished neck has a quote

	Evenings      int           `json:"evenings"`
	LoggedMin     float64       `json:"logged_min"`
	PaidMin       float64       `json:"paid_min"` // on necks for a customer
	Finished      int           `json:"finished"`
	FinishedPaid  int           `json:"finished_paid"`
	PerNeckMin    *float64      `json:"per_neck_min"`
	Sold          int           `json:"sold"`
	SoldMin       float64       `json:"sold_min"`
	EarnedPerHour *money.Amount `json:"earned_per_h"`
	TrueOverhead  *money.Amount `json:"true_overhead_per_h"`
	Holes         int           `json:"holes"`
	BitsUsed      int           `json:"bits_used"`
	WornOut       int           `json:"lives_worn_out"`
	Money         *YearMoney    `json:"money"`
}

// YearMonth is one month. An entry counts in the month of its evening.
type YearMonth struct {
	Month       string  `json:"month"` // 2026-02
	Evenings    int     `json:"evenings"`
	LoggedMin   float64 `json:"logged_min"`
	PaidMin     float64 `json:"paid_min"`
	ReworkMin   float64 `json:"rework_min"`
	DecidingMin float64 `json:"deciding_min"`
	Finished    int     `json:"finished"`
}

// YearNeck is one neck. The money is null where it was not sold, by itself or by an
// accepted quote, or not finished in the year.
type YearNeck struct {
	Neck     string        `json:"neck"`
	Nickname string        `json:"nickname,omitempty"`
	Title    string        `json:"title,omitempty"`
	Paid     bool          `json:"paid"`
	Status   jobs.Status   `json:"status"`
	Finished *time.Time    `json:"finished"`
	YearMin  float64       `json:"year_min"`
	Net      *money.Amount `json:"net"`
	Bought   *money.Amount `json:"bought"` // supplies, bits and parts
	AllMin   float64       `json:"all_min"`
}

// YearCause is the rework of one cause.
type YearCause struct {
	Cause       string  `json:"cause"`
	Entries     int     `json:"entries"`
	Min         float64 `json:"rework_min"`
	CustomerMin float64 `json:"customer_min"`
}

// YearBit is the holes of one bit, and its lives that ended.
type YearBit struct {
	Bit     string `json:"bit"`
	Holes   int    `json:"holes"`
	Graded  int    `json:"graded"`
	Tests   int    `json:"test_holes"`
	Ended   int    `json:"lives_ended"`
	WornOut int    `json:"lives_worn_out"`
}

// Year sums up a year.
var Year = Define("report year", "", Long, (*Book).year)

// began gives the day of the shop's first record or work, and none before a day.
func (b *Book) began(after jobs.Day) (jobs.Day, error) {
	day := after
	for c, err := range store.Changes(b.Tx, false) {
		if err != nil {
			return day, err
		}
		day = b.Shop.Evening(c.At)
		break
	}
	if day <= after {
		return after, nil
	}
	earlier, err := b.FindEntries(store.EntryFilter{To: day}, b.Shop) // of evenings entered later
	for _, e := range earlier {
		day = min(day, b.Shop.Evening(e.From))
	}
	return max(day, after), err
}

func (b *Book) year(ask *YearAsk, res *YearResult) error {
	zone := b.Shop.Location()
	res.Year = b.Now.In(zone).Year()
	if ask.Year != "" {
		y, err := strconv.Atoi(ask.Year)
		if err != nil || y < 1900 || y > 9999 {
			return &jobs.FieldError{Field: "year", Value: ask.Year, Want: "a year, such as 2026"}
		}
		res.Year = y
	}
	first, last := jobs.Day(fmt.Sprintf("%d-01-01", res.Year)), jobs.Day(fmt.Sprintf("%d-12-31", res.Year))
	until := last
	if today := b.Shop.Evening(b.Now); today < last {
		until, res.Running = today, today >= first
	}
	from, err := b.began(first)
	if err != nil {
		return err
	}
	res.Days = max(0, from.DaysTo(until)+1)
	entries, err := b.FindEntries(store.EntryFilter{From: first, To: last}, b.Shop)
	if err != nil {
		return err
	}
	entries = b.Settled(entries)
	necks, err := store.All(b.Tx, store.Necks)
	if err != nil {
		return err
	}
	spent := b.yearMonths(res, entries, necks)
	b.yearRework(res, entries)
	if err := b.yearNecks(res, necks, spent); err != nil {
		return err
	}
	if err := b.yearBits(res, first, last); err != nil {
		return err
	}
	if err := b.yearMoney(res, necks); err != nil {
		return err
	}
	kept, err := b.KeptQuotes(func(closed time.Time) bool { return closed.In(zone).Year() == res.Year })
	if err != nil {
		return err
	}
	if len(kept) > 0 {
		c := quote.Calibrate(kept)
		res.Quotes = &c
	}
	worked, err := b.WorkedEvenings(first, last)
	if err != nil {
		return err
	}
	res.Unlogged = estimate.UnloggedFactor(worked, first, last)
	res.Overhead = quote.Absorb(b.Shop.YearlyOverhead, quote.LoggedOnNecks(entries, b.Now), b.Shop.PlannedHours, 0)
	res.Charged = b.Shop.Overhead
	if cur := b.Shop.Currency; res.LoggedMin > 0 && res.Overhead.Yearly.Sign() > 0 {
		v := perHour(cur.Line(res.Overhead.Yearly), res.LoggedMin)
		res.TrueOverhead = &v
	}
	var times OperationListResult
	err = b.operationList(nil, &times)
	res.Times = times.Operations
	return err
}

// perHour divides an amount by bench time in minutes.
func perHour(a money.Amount, min float64) money.Amount {
	return a.MulInt(60).Div(decimal.NewFromFloat(min))
}

// inYear says that a neck was finished in the year.
func (b *Book) inYear(n jobs.Neck, year int) bool {
	return n.Status == jobs.Finished && n.Closed != nil && n.Closed.In(b.Shop.Location()).Year() == year
}

// yearMonths adds up the entries by month, and gives the time on each neck.
func (b *Book) yearMonths(res *YearResult, entries []jobs.Entry, necks []jobs.Neck) map[string]time.Duration {
	paid, spent := map[string]bool{}, map[string]time.Duration{}
	var by [12]struct{ logged, paid, rework, deciding time.Duration }
	var evenings [12]map[jobs.Day]bool
	for _, n := range necks {
		paid[n.Code] = n.Paid
	}
	for _, e := range entries {
		day := b.Shop.Evening(e.From)
		m := int(day.Noon().Month()) - 1
		if evenings[m] == nil {
			evenings[m] = map[jobs.Day]bool{}
		}
		evenings[m][day] = true
		for i, part := range e.ShareOut(b.Now) {
			code := e.Shares[i].Neck
			spent[code] += part
			by[m].logged += part
			if paid[code] {
				by[m].paid += part
			}
			switch e.Class {
			case jobs.Rework:
				by[m].rework += part
			case jobs.Deciding:
				by[m].deciding += part
			}
		}
	}
	for m := range by {
		x := by[m]
		res.Months = append(res.Months, YearMonth{Month: fmt.Sprintf("%d-%02d", res.Year, m+1), Evenings: len(evenings[m]), LoggedMin: x.logged.Minutes(), PaidMin: x.paid.Minutes(),
			ReworkMin: x.rework.Minutes(), DecidingMin: x.deciding.Minutes()})
		res.Evenings += len(evenings[m])
		res.LoggedMin += x.logged.Minutes()
		res.PaidMin += x.paid.Minutes()
	}
	return spent
}

func (b *Book) yearRework(res *YearResult, entries []jobs.Entry) {
	by := map[string]*YearCause{}
	for _, e := range entries {
		if e.Class != jobs.Rework {
			continue
		}
		if by[e.Cause] == nil {
			by[e.Cause] = &YearCause{Cause: e.Cause}
		}
		c, d := by[e.Cause], e.Elapsed(b.Now).Minutes()
		c.Entries++
		c.Min += d
		if e.Payer == "customer" {
			c.CustomerMin += d
		}
	}
	res.Rework = []YearCause{}
	for _, cause := range jobs.SortedKeys(by) {
		res.Rework = append(res.Rework, *by[cause])
	}
}

// yearNecks lists the necks, and what an hour on the sold ones earned.
func (b *Book) yearNecks(res *YearResult, necks []jobs.Neck, spent map[string]time.Duration) error {
	prices, err := b.soldPrices(necks)
	if err != nil {
		return err
	}
	cur, earned := b.Shop.Currency, money.Zero
	var all float64
	res.Necks = []YearNeck{}
	for _, n := range necks {
		done := b.inYear(n, res.Year)
		if spent[n.Code] == 0 && !done {
			continue
		}
		row := YearNeck{Neck: n.Code, Nickname: n.Nickname, Title: n.Title, Paid: n.Paid, Status: n.Status, YearMin: spent[n.Code].Minutes()}
		if n.Closed != nil {
			at := b.Wall(*n.Closed)
			row.Finished = &at
		}
		if done {
			st, err := b.NeckState(n)
			if err != nil {
				return err
			}
			row.AllMin = st.Total.Minutes()
			all += row.AllMin
			res.Finished++
			res.Months[row.Finished.Month()-1].Finished++
			if n.Paid {
				res.FinishedPaid++
			}
			if price, ok := prices[n.Code]; ok {
				cost, err := b.NeckCost(n)
				if err != nil {
					return err
				}
				net, bought := cur.Line(price), cur.Line(money.Sum(cost.Supplies, cost.Bits, cost.Parts))
				row.Net, row.Bought = &net, &bought
				earned = earned.Add(net).Sub(bought)
				res.SoldMin += row.AllMin
				res.Sold++
			}
		}
		res.Necks = append(res.Necks, row)
	}
	slices.SortFunc(res.Necks, func(x, y YearNeck) int { return jobs.CompareCodes(x.Neck, y.Neck) })
	if res.Finished > 0 {
		per := all / float64(res.Finished)
		res.PerNeckMin = &per
	}
	if res.SoldMin > 0 {
		v := perHour(earned, res.SoldMin)
		res.EarnedPerHour = &v
	}
	return nil
}

// soldPrices gives the net price of every neck that was sold, by itself or by an
// accepted quote.
func (b *Book) soldPrices(necks []jobs.Neck) (map[string]money.Amount, error) {
	prices := map[string]money.Amount{}
	for _, n := range necks {
		net, sold, err := b.SoldFor(n)
		if err != nil {
			return nil, err
		}
		if sold {
			prices[n.Code] = net
		}
	}
	return prices, nil
}

func (b *Book) yearBits(res *YearResult, first, last jobs.Day) error {
	book, err := b.BitBook()
	if err != nil {
		return err
	}
	by := map[string]*YearBit{}
	at := func(code string) *YearBit {
		if code == "" {
			code = "unknown"
		}
		if by[code] == nil {
			by[code] = &YearBit{Bit: code}
		}
		return by[code]
	}
	var used []string
	for _, u := range book.Uses {
		if day := b.Shop.Evening(u.On); day < first || day > last {
			continue
		}
		x := at(u.Bit)
		if u.Test {
			x.Tests += u.Holes
			continue
		}
		x.Holes += u.Holes
		res.Holes += u.Holes
		if u.GradeIn != nil || u.GradeOut != nil {
			x.Graded += u.Holes
		}
		if u.Bit != "" && !slices.Contains(used, u.Bit) {
			used = append(used, u.Bit)
		}
	}
	res.BitsUsed = len(used)
	for _, l := range book.Lives() {
		if !l.Closed && !l.Event || l.EndedOn.In(b.Shop.Location()).Year() != res.Year {
			continue
		}
		if l.Closed {
			at(l.Bit).Ended++
		}
		if l.Event {
			at(l.Bit).WornOut++
			res.WornOut++
		}
	}
	res.Bits = []YearBit{}
	for _, code := range jobs.SortedKeys(by) {
		res.Bits = append(res.Bits, *by[code])
	}
	return nil
}
