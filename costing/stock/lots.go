package stock

import (
	"time"

	"bookmatch/costing/money"
	"bookmatch/jobs"
)

// stock walks through the records of one supply. It keeps lots in the order
// in which they came and, by index, the issues that still wait for a lot:
// while one waits every lot is used up.
type stock struct {
	supply  jobs.Supply
	zone    *time.Location
	lots    []LotState
	issues  []Issue
	first   int // lots before it are used up
	waiting []int
	last    money.Amount // price of one unit of the last lot that had one
	ahead   money.Amount // of the first lot that has one, for what comes before it
	known   bool
	warn    []string
}

func (st *stock) receive(l jobs.Lot) {
	if l.Quantity.Sign() <= 0 {
		return
	}
	unit := l.Price.Div(l.Quantity.Decimal)
	if !l.Price.IsZero() && !l.Source.Returns() {
		st.last, st.known = unit, true
		st.reprice()
	}
	day, why := l.Expires(st.supply.OpenLifeDays, st.zone)
	st.lots = append(st.lots, LotState{Lot: l, Left: l.Quantity, Unit: unit, LastDay: day, Why: why})
	if l.Source.Returns() {
		back := jobs.SupplyUse{Supply: l.Supply, Kind: jobs.UseIssue, On: l.Received, Neck: l.Neck, Quantity: l.Quantity, Note: l.Note}
		st.issues = append(st.issues, Issue{Use: back, Account: ToNeck, Back: l.ID,
			Quantity: money.Qty{Decimal: l.Quantity.Neg()}, Value: l.Price.Neg(), Replacement: l.Price.Neg()})
	}
	st.settle(len(st.lots) - 1)
}

// reprice counts what waits for a lot at the price that was just learned: a lot
// that is too small to settle it all still says what the rest will cost.
func (st *stock) reprice() {
	for _, i := range st.waiting {
		is := &st.issues[i]
		value := st.last.Mul(is.Short.Decimal)
		is.Value = is.Value.Sub(is.ShortValue).Add(value)
		is.Replacement = is.Replacement.Sub(is.shortReplacement).Add(value)
		is.ShortValue, is.shortReplacement = value, value
	}
}

// settle gives a new lot to the issues that wait for one, in the order of use.
func (st *stock) settle(lot int) {
	for len(st.waiting) > 0 {
		is := &st.issues[st.waiting[0]]
		q := money.Least(is.Short, st.lots[lot].Left)
		if q.Sign() == 0 {
			return
		}
		is.Value, is.Replacement = is.Value.Sub(is.ShortValue), is.Replacement.Sub(is.shortReplacement)
		rest := is.Short.Minus(q)
		is.ShortValue = partOf(is.ShortValue, rest, is.Short)
		is.shortReplacement = partOf(is.shortReplacement, rest, is.Short)
		is.Short = rest
		is.Value, is.Replacement = is.Value.Add(is.ShortValue), is.Replacement.Add(is.shortReplacement)
		st.take(is, lot, q, true)
		if rest.Sign() == 0 {
			st.waiting = st.waiting[1:]
		}
	}
}

// partOf is amount x part/whole to 18 digits; nothing of nothing.
func partOf(amount money.Amount, part, whole money.Qty) money.Amount {
	if part.Sign() == 0 || whole.Sign() == 0 {
		return money.Zero
	}
	return amount.Mul(part.Decimal).Div(whole.Decimal)
}

// take moves q from a lot to an issue; q is at most what the lot has left.
func (st *stock) take(is *Issue, lot int, q money.Qty, settled bool) {
	if q.Sign() <= 0 {
		return
	}
	l := &st.lots[lot]
	l.taken, l.Left = l.taken.Plus(q), l.Left.Minus(q)
	upTo := partOf(l.Price, l.taken, l.Quantity)
	if l.taken.Cmp(l.Quantity) == 0 {
		upTo = l.Price
	}
	v := upTo.Sub(l.takenFor)
	l.takenFor = upTo
	is.Value = is.Value.Add(v)
	replacement := v
	switch {
	case !l.Replacement.IsZero():
		replacement = partOf(l.Replacement, q, l.Quantity)
	case l.Source == jobs.SourceGift:
		replacement = st.supply.Replacement.Mul(q.Decimal)
	}
	is.Replacement = is.Replacement.Add(replacement)
	is.Takes = append(is.Takes, Take{l.ID, q, v, st.expired(lot, is.Use.On), settled})
}

// expired says whether a lot is past its last good day at t.
func (st *stock) expired(lot int, t time.Time) bool {
	last := st.lots[lot].LastDay
	return last != "" && jobs.DayOf(t.In(st.zone)) > last
}

// issue takes a use or a write-off out of the stock.
func (st *stock) issue(u jobs.SupplyUse) {
	is := Issue{Use: u, Account: ToNeck, Quantity: u.Quantity}
	switch {
	case u.Kind == jobs.UseWriteOff:
		is.Account = WrittenOff
	case u.Neck == "":
		is.Account = ToOverhead
	}
	st.draw(is, u.Kind == jobs.UseWriteOff)
}

// draw takes is.Quantity from the stock: from the lot it names, then in order
// from lots that are good, then from expired ones (the other way round for a
// write-off), and leaves the rest short.
func (st *stock) draw(is Issue, expiredFirst bool) {
	rest := is.Quantity
	for st.first < len(st.lots) && st.lots[st.first].Left.Sign() == 0 {
		st.first++
	}
	pick := func(want func(int) bool) {
		for i := st.first; i < len(st.lots) && rest.Sign() > 0; i++ {
			if q := money.Least(rest, st.lots[i].Left); q.Sign() > 0 && want(i) {
				st.take(&is, i, q, false)
				rest = rest.Minus(q)
			}
		}
	}
	on := is.Use.On
	if is.Use.Lot != 0 {
		pick(func(i int) bool { return st.lots[i].ID == is.Use.Lot })
		if rest.Sign() > 0 {
			jobs.Warnf(&st.warn, "use %d of %s on %s: lot %d did not have %s %s, the rest is taken from other lots", is.Use.ID, st.supply.Name, st.day(on), is.Use.Lot, is.Quantity, st.supply.Unit)
		}
	}
	pick(func(i int) bool { return st.expired(i, on) == expiredFirst })
	pick(func(i int) bool { return true })
	if rest.Sign() > 0 {
		price, _ := st.price()
		is.Short = rest
		is.ShortValue = price.Mul(rest.Decimal)
		is.shortReplacement = is.ShortValue
		is.Value, is.Replacement = is.Value.Add(is.ShortValue), is.Replacement.Add(is.ShortValue)
		st.waiting = append(st.waiting, len(st.issues))
	}
	st.issues = append(st.issues, is)
}

// price is the last known price of one unit: of the last lot, else the one set for
// the supply, else of the first lot that will have one.
func (st *stock) price() (money.Amount, bool) {
	if st.known {
		return st.last, true
	}
	if !st.supply.Replacement.IsZero() {
		return st.supply.Replacement, true
	}
	return st.ahead, !st.ahead.IsZero()
}

// count compares a stock count with what should be there: the usable stock less
// what waits for a lot, or one lot where the record names it.
func (st *stock) count(u jobs.SupplyUse) {
	expected := money.Qty{}
	for i := st.first; i < len(st.lots); i++ {
		if u.Lot == 0 && !st.expired(i, u.On) || u.Lot != 0 && st.lots[i].ID == u.Lot {
			expected = expected.Plus(st.lots[i].Left)
		}
	}
	if u.Lot == 0 {
		for _, i := range st.waiting {
			expected = expected.Minus(st.issues[i].Short)
		}
	}
	missing := expected.Minus(u.Quantity)
	is := Issue{Use: u, Account: WrittenOff, Quantity: missing}
	if missing.Sign() >= 0 {
		st.draw(is, false)
		return
	}
	price, ok := st.price()
	if !ok {
		jobs.Warnf(&st.warn, "stock count %d of %s found %s %s of unknown price, worth nothing until a lot comes", u.ID, st.supply.Name, missing.Neg(), st.supply.Unit)
	}
	found := money.Qty{Decimal: missing.Neg()}
	value := price.Mul(found.Decimal)
	is.Value, is.Replacement = value.Neg(), value.Neg()
	st.issues = append(st.issues, is)
	l := jobs.Lot{Supply: u.Supply, Received: u.On, Quantity: found, Price: value, Note: "found at a stock count"}
	state := LotState{Lot: l, Left: found, Found: u.ID, Unit: price}
	for _, counted := range st.lots {
		if u.Lot != 0 && counted.ID == u.Lot {
			state.LastDay, state.Why = counted.LastDay, counted.Why
		}
	}
	st.lots = append(st.lots, state)
	st.settle(len(st.lots) - 1)
}

func (st *stock) day(t time.Time) jobs.Day { return jobs.DayOf(t.In(st.zone)) }

// close adds everything up as of an instant.
func (st *stock) close(asOf time.Time) SupplyLedger {
	for _, is := range st.issues {
		if is.Short.Sign() > 0 && is.ShortValue.IsZero() {
			jobs.Warnf(&st.warn, "use %d of %s on %s: no price is known yet, it counts as nothing until a lot comes", is.Use.ID, st.supply.Name, st.day(is.Use.On))
		}
	}
	out := SupplyLedger{Supply: st.supply, Issues: st.issues, Warnings: st.warn, zone: st.zone}
	out.LastPrice, out.Known = st.price()
	for i := range st.lots {
		l := &st.lots[i]
		if l.Found == 0 && !l.Source.Returns() {
			out.ValueIn = out.ValueIn.Add(l.Price)
		}
		l.Value = l.Price.Sub(l.takenFor)
		if l.Expired = st.expired(i, asOf); l.Expired {
			l.Lost, l.Value = l.Value, money.Zero
			out.Expired = out.Expired.Plus(l.Left)
			out.Lost = out.Lost.Add(l.Lost)
			continue
		}
		out.OnHand = out.OnHand.Plus(l.Left)
		out.Value = out.Value.Add(l.Value)
	}
	out.Lots = st.lots
	out.WrittenOff = out.Lost
	for _, is := range st.issues {
		if is.Short.Sign() != 0 {
			out.OnHand = out.OnHand.Minus(is.Short)
			out.Value = out.Value.Sub(is.ShortValue)
		}
		switch is.Account {
		case WrittenOff:
			out.WrittenOff = out.WrittenOff.Add(is.Value)
		case ToNeck:
			out.ToNecks = out.ToNecks.Add(is.Value)
			fallthrough
		default:
			out.Issued = out.Issued.Add(is.Value)
		}
		if is.Short.Sign() > 0 {
			jobs.Warnf(&out.Warnings, "use %d of %s on %s goes %s %s beyond the stock: priced at the last known price until a lot comes", is.Use.ID, st.supply.Name, st.day(is.Use.On), is.Short, st.supply.Unit)
		}
		for _, t := range is.Takes {
			if t.Expired && is.Account != WrittenOff {
				jobs.Warnf(&out.Warnings, "use %d of %s on %s took from lot %d past its date: mark the joint", is.Use.ID, st.supply.Name, st.day(is.Use.On), t.Lot)
			}
		}
	}
	return out
}
