package stock

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"bookmatch/costing/money"
	"bookmatch/jobs"

	"github.com/shopspring/decimal"
	"gonum.org/v1/gonum/stat/distuv"
)

// PlannedUse is what a step of an open neck is going to take. An empty On is
// taken as today: it may come any evening.
type PlannedUse struct {
	Neck      string    `json:"neck"`
	Step      int       `json:"step"`
	Operation string    `json:"operation"`
	Quantity  money.Qty `json:"quantity"`
	On        jobs.Day  `json:"on,omitempty"`
}

// Expiring is a lot with something left and a last good day.
type Expiring struct {
	Lot   uint64       `json:"lot"`
	Left  money.Qty    `json:"left"`
	Value money.Amount `json:"value"`
	Last  jobs.Day     `json:"expires"`
	Why   string       `json:"expires_by"`
	Past  bool         `json:"past"`
}

// Reorder says whether a supply has to be ordered, by when, and why.
type Reorder struct {
	Supply string    `json:"supply"`
	Unit   jobs.Unit `json:"unit"`
	OnHand money.Qty `json:"on_hand"`
	Used   money.Qty `json:"used"`      // over Days of history
	Days   int       `json:"used_days"` // 0: no history
	// History is how many days the records cover. A rate over fewer than leastDays
	// of them is a guess: it is divided by leastDays, and ShortHistory says so.
	History      int       `json:"history_days"`
	ShortHistory bool      `json:"short_history,omitempty"`
	PerWeek      money.Qty `json:"per_week"`
	Planned      money.Qty `json:"planned"` // by the steps of open necks
	// Point is usage x lead time + safety, or the builder's own level where that
	// is higher.
	Point   money.Qty `json:"reorder_point"`
	RunsOut jobs.Day  `json:"runs_out,omitempty"` // first day without enough
	OrderBy jobs.Day  `json:"order_by,omitempty"` // empty: nothing to order
	Now     bool      `json:"order_now"`
	// Quantity to order: whole packs where a pack is known.
	Quantity money.Qty    `json:"order_quantity,omitzero"`
	Cost     money.Amount `json:"order_cost,omitzero"` // at the last known price
	Expiring []Expiring   `json:"expiring,omitempty"`
	Reasons  []string     `json:"reasons"`
}

// historyDays is how far back the usage rate looks; leastDays the shortest
// history it divides by, so that one evening does not make a rate. Judgement.
const (
	historyDays = 365
	leastDays   = 28
	horizonDays = 400
	soonDays    = 42 // an expiry within six weeks is reported
)

// PlanReorder looks ahead day by day: stock is used up at the rate of history,
// or faster where the planned steps need more by then; a lot past its last good
// day no longer counts; the day on which less than the safety quantity would be
// left, less the lead time, is the day to order by. The classic reorder point
// (usage x lead time + safety) is the same rule without plans and expiry.
// today is the shop's.
func PlanReorder(l SupplyLedger, planned []PlannedUse, today jobs.Day) Reorder {
	s := l.Supply
	out := Reorder{Supply: s.Name, Unit: s.Unit, OnHand: l.OnHand}
	out.Used, out.Days, out.History = usedSince(l, today)
	out.ShortHistory = out.Days > out.History
	perDay := money.Qty{}
	if out.Days > 0 {
		perDay = money.Qty{Decimal: out.Used.DivRound(decimal.NewFromInt(int64(out.Days)), 9)}
		out.PerWeek = money.Qty{Decimal: out.Used.Mul(decimal.NewFromInt(7)).DivRound(decimal.NewFromInt(int64(out.Days)), 2)}
		if out.ShortHistory {
			out.reason("%s %s used in %s, a short history, so %d days are counted: %s a week", out.Used, s.Unit, jobs.CountText(out.History, "day"), out.Days, out.PerWeek)
		} else {
			out.reason("%s %s used in %d days: %s a week", out.Used, s.Unit, out.Days, out.PerWeek)
		}
	} else {
		out.reason("not used yet: no rate")
	}
	need := perLead(perDay, s.DeliveryDays).Plus(s.Safety)
	out.Point = need
	if s.Reorder.Cmp(need) > 0 {
		out.Point = s.Reorder
		out.reason("your own level is %s %s", s.Reorder, s.Unit)
	}
	byDay := planByDay(planned, today, &out)
	if out.Planned.Sign() > 0 {
		out.reason("the open necks will take %s %s", out.Planned, s.Unit)
	}
	out.expiry(l, today)
	out.project(l, perDay, byDay, today)
	out.size(l)
	if s.OnOrder != nil {
		out.OrderBy, out.Now = "", false
		out.reason("%s %s ordered: %s", s.OnOrder.Quantity, s.Unit, OnItsWay(*s.OnOrder, today))
	}
	return out
}

func (r *Reorder) reason(format string, args ...any) {
	r.Reasons = append(r.Reasons, fmt.Sprintf(format, args...))
}

func perLead(perDay money.Qty, days int) money.Qty {
	return money.Qty{Decimal: perDay.Mul(decimal.NewFromInt(int64(days))).Round(3)}
}

// usedSince adds what was used and what a stock count found missing in the year
// before today, and counts the days to divide by and those that the records cover.
func usedSince(l SupplyLedger, today jobs.Day) (used money.Qty, days, history int) {
	from := today.Add(-historyDays)
	first := jobs.Day("")
	for _, lot := range l.Lots {
		if d := l.dayOf(lot.Received); first == "" || d < first {
			first = d
		}
	}
	any := false
	for _, is := range l.Issues {
		d := l.dayOf(is.Use.On)
		if first == "" || d < first {
			first = d
		}
		// An evening runs past midnight into the next calendar day.
		if d < from || d > today.Add(1) || is.Use.Kind == jobs.UseWriteOff {
			continue
		}
		used = used.Plus(is.Quantity)
		any = any || is.Quantity.Sign() > 0
	}
	if !any || used.Sign() <= 0 {
		return money.Qty{}, 0, 0
	}
	history = min(historyDays, max(first.DaysTo(today), 1))
	return used, max(leastDays, history), history
}

// planByDay adds up the planned uses by the day on which they fall.
func planByDay(planned []PlannedUse, today jobs.Day, out *Reorder) map[jobs.Day]money.Qty {
	by := map[jobs.Day]money.Qty{}
	for _, p := range planned {
		on := max(p.On, today)
		by[on] = by[on].Plus(p.Quantity)
		out.Planned = out.Planned.Plus(p.Quantity)
	}
	return by
}

// expiry lists lots with something left that end soon, soonest first.
func (r *Reorder) expiry(l SupplyLedger, today jobs.Day) {
	for _, lot := range l.Lots {
		if lot.Left.Sign() <= 0 || lot.LastDay == "" || today.DaysTo(lot.LastDay) > soonDays {
			continue
		}
		value := lot.Value
		if lot.Expired {
			value = lot.Lost
		}
		r.Expiring = append(r.Expiring, Expiring{lot.ID, lot.Left, value, lot.LastDay, lot.Why, lot.LastDay < today})
	}
	slices.SortFunc(r.Expiring, func(a, b Expiring) int {
		return cmp.Or(strings.Compare(string(a.Last), string(b.Last)), cmp.Compare(a.Lot, b.Lot))
	})
}

// project walks ahead until less than the safety quantity is left.
func (r *Reorder) project(l SupplyLedger, perDay money.Qty, byDay map[jobs.Day]money.Qty, today jobs.Day) {
	s := l.Supply
	shelf := shelfOf(l.Lots)
	debt := money.Qty{}
	for _, is := range l.Issues {
		debt = debt.Plus(is.Short)
	}
	planned, taken := money.Qty{}, money.Qty{}
	level := jobs.Day("") // when the shop's own level is reached
	for n := range horizonDays {
		day := today.Add(n)
		planned = planned.Plus(byDay[day])
		want := money.Qty{Decimal: perDay.Mul(decimal.NewFromInt(int64(n)))}
		if planned.Cmp(want) > 0 {
			want = planned
		}
		rest := want.Minus(taken)
		if rest.Sign() < 0 {
			rest = money.Qty{}
		}
		taken = taken.Plus(rest)
		shelf.expire(day)
		debt = debt.Plus(shelf.take(rest))
		stock := shelf.all.Minus(debt)
		if level == "" && s.Reorder.Sign() > 0 && stock.Cmp(s.Reorder) <= 0 {
			level = day
		}
		// Safety is for the unforeseen: without any demand it asks for nothing.
		if want.Sign() == 0 && debt.Sign() == 0 {
			if perDay.Sign() == 0 && len(byDay) == 0 {
				break
			}
			continue
		}
		if stock.Cmp(s.Safety) < 0 {
			r.RunsOut = day
			r.OrderBy = day.Add(-s.DeliveryDays)
			if s.Safety.Sign() > 0 {
				r.reason("below the safety quantity of %s %s on %s; %d days to deliver", s.Safety, s.Unit, day, s.DeliveryDays)
			} else {
				r.reason("not enough on %s; %d days to deliver", day, s.DeliveryDays)
			}
			break
		}
	}
	switch {
	case level > today && (r.OrderBy == "" || level < r.OrderBy):
		r.OrderBy = level
		r.reason("reaches your level of %s %s on %s", s.Reorder, s.Unit, level)
	case s.Reorder.Sign() > 0 && r.OnHand.Cmp(s.Reorder) <= 0:
		r.OrderBy = today
		r.reason("%s %s on hand is at or below your level of %s", r.OnHand, s.Unit, s.Reorder)
	}
	if r.OrderBy != "" && r.OrderBy <= today {
		r.OrderBy, r.Now = today, true
	}
}

// shelf is what is left of the lots, in the order in which they are used up. A
// day asks only for what changes on it: a long history has many lots.
type shelf struct {
	lots []shelfLot
	all  money.Qty
	next jobs.Day // the first last good day; empty: none
}

type shelfLot struct {
	left money.Qty
	last jobs.Day
}

func shelfOf(lots []LotState) *shelf {
	s := &shelf{}
	for _, l := range lots {
		if !l.Expired && l.Left.Sign() > 0 {
			s.lots = append(s.lots, shelfLot{l.Left, l.LastDay})
			s.all = s.all.Plus(l.Left)
		}
	}
	s.look()
	return s
}

func (s *shelf) look() {
	s.next = ""
	for _, l := range s.lots {
		if l.last != "" && (s.next == "" || l.last < s.next) {
			s.next = l.last
		}
	}
}

// expire takes the lots away whose last good day is past.
func (s *shelf) expire(day jobs.Day) {
	if s.next == "" || s.next >= day {
		return
	}
	s.lots = slices.DeleteFunc(s.lots, func(l shelfLot) bool {
		past := l.last != "" && l.last < day
		if past {
			s.all = s.all.Minus(l.left)
		}
		return past
	})
	s.look()
}

// take uses q up and gives what was not there.
func (s *shelf) take(q money.Qty) money.Qty {
	for len(s.lots) > 0 && q.Sign() > 0 {
		l := &s.lots[0]
		got := money.Least(q, l.left)
		l.left, s.all, q = l.left.Minus(got), s.all.Minus(got), q.Minus(got)
		if l.left.Sign() > 0 {
			break
		}
		s.lots = s.lots[1:]
	}
	return q
}

// size says how much to order: enough for the planned steps and back over the
// reorder point, in whole packs (the pack of the supply, else what was bought
// last).
func (r *Reorder) size(l SupplyLedger) {
	if r.OrderBy == "" {
		return
	}
	want := r.Point.Plus(r.Planned).Minus(r.OnHand)
	pack := l.Supply.Pack
	for i := len(l.Lots) - 1; i >= 0 && pack.Sign() == 0; i-- {
		if l.Lots[i].Source == jobs.SourceBought {
			pack = l.Lots[i].Quantity
		}
	}
	switch {
	case pack.Sign() > 0 && want.Sign() > 0:
		r.Quantity = money.Qty{Decimal: want.Div(pack.Decimal).Ceil().Mul(pack.Decimal)}
	case pack.Sign() > 0:
		r.Quantity = pack
	case want.Sign() > 0:
		r.Quantity = money.Qty{Decimal: want.Ceil()}
	}
	if l.Known {
		r.Cost = l.LastPrice.Mul(r.Quantity.Decimal)
	}
}

// SafetyStock is the textbook quantity to keep against uneven use: z x standard
// deviation of a week x sqrt(lead time in weeks), for the given chance of not
// running out during the lead time. It is a suggestion, computed in floats: no
// amount is derived from it.
func SafetyStock(weekly []float64, leadDays int, service float64) (quantity, sd float64) {
	if len(weekly) < 2 || service <= 0.5 || service >= 1 {
		return 0, 0
	}
	mean, ss := 0.0, 0.0
	for _, w := range weekly {
		mean += w / float64(len(weekly))
	}
	for _, w := range weekly {
		ss += (w - mean) * (w - mean)
	}
	sd = math.Sqrt(ss / float64(len(weekly)-1))
	return SafetyOf(sd, float64(leadDays)/7, service), sd
}

// SafetyOf is SafetyStock for a known standard deviation of a week.
func SafetyOf(sdWeek, leadWeeks, service float64) float64 {
	return distuv.UnitNormal.Quantile(service) * sdWeek * math.Sqrt(leadWeeks)
}

// Weekly gives what was used in each of the last n whole weeks before today,
// oldest first.
func Weekly(l SupplyLedger, today jobs.Day, n int) []float64 {
	out := make([]float64, n)
	for _, is := range l.Issues {
		back := l.dayOf(is.Use.On).DaysTo(today)
		if is.Account == WrittenOff || back < 0 || back >= n*7 {
			continue
		}
		f, _ := is.Quantity.Float64()
		out[n-1-back/7] += f
	}
	return out
}
