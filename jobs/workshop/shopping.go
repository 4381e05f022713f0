package workshop

import (
	"fmt"
	"slices"
	"strings"

	"bookmatch/costing/bitlife"
	"bookmatch/costing/money"
	"bookmatch/costing/stock"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// ShoppingAsk asks what to order by when.
type ShoppingAsk struct{ Asked }

// ShoppingResult is what to order, then what is on its way, by supplier and date.
// Cost adds up what is to be ordered at the last known prices. Later is the first
// day after the list on which something must be ordered, empty where none is
// known.
type ShoppingResult struct {
	Meta
	Headline string       `json:"headline"`
	Items    []stock.Item `json:"items"`
	Cost     money.Amount `json:"cost"`
	UseUp    []UseUp      `json:"use_up"`
	Later    jobs.Day     `json:"later,omitempty"`
}

// UseUp is a lot that ends soon and should be used first.
type UseUp struct {
	Supply string    `json:"supply"`
	Unit   jobs.Unit `json:"unit"`
	stock.Expiring
}

// Shopping lists what to order by when.
var Shopping = Define("shopping", "", Long, (*Book).shopping)

func (b *Book) shopping(_ *ShoppingAsk, res *ShoppingResult) error {
	res.Items, res.UseUp = []stock.Item{}, []UseUp{}
	if err := b.suppliesToBuy(res); err != nil {
		return err
	}
	states, err := b.benchStates()
	if err != nil {
		return err
	}
	likely, err := b.likelyEnds()
	if err != nil {
		return err
	}
	if err := b.partsToBuy(res, states, likely); err != nil {
		return err
	}
	if err := b.bitsToBuy(res, states, likely); err != nil {
		return err
	}
	res.Cost = b.Shop.Currency.Line(money.Zero)
	for i := range res.Items {
		x := &res.Items[i]
		x.Cost = b.Shop.Currency.Line(x.Cost)
		if x.OrderBy != "" {
			res.Cost = res.Cost.Add(x.Cost)
		}
	}
	stock.SortItems(res.Items)
	res.Headline = shoppingHeadline(res)
	return nil
}

// shoppingHeadline says how much there is to order and what is late.
func shoppingHeadline(r *ShoppingResult) string {
	order, free, late := 0, 0, []string{}
	for _, x := range r.Items {
		if x.OrderBy != "" {
			order++
			if x.Cost.IsZero() {
				free++
			}
		}
		if x.Overdue > 0 {
			late = append(late, fmt.Sprintf("%s for %s overdue %s", x.What, x.For, jobs.CountText(x.Overdue, "day")))
		}
	}
	var line string
	switch {
	case order > 0 && free == order:
		line = fmt.Sprintf("%s to order, without a price on record.", jobs.CountText(order, "thing"))
	case order > 0:
		line = fmt.Sprintf("%s to order, about %s %s.", jobs.CountText(order, "thing"), r.Currency, money.Currency(r.Currency).Print(r.Cost))
		if free > 0 {
			line = strings.TrimSuffix(line, ".") + fmt.Sprintf(" and %d without a price.", free)
		}
	case r.Later != "":
		line = fmt.Sprintf("Nothing to order before %s.", r.Later.Noon().Format("2 Jan 2006"))
	default:
		line = "Nothing to order."
	}
	if len(late) > 0 {
		line += " Late: " + strings.Join(late, ", ") + "."
	}
	return line
}

func (b *Book) suppliesToBuy(res *ShoppingResult) error {
	ledgers, err := b.SupplyLedgers()
	if err != nil {
		return err
	}
	planned, err := b.PlannedUses()
	if err != nil {
		return err
	}
	today := b.Tonight()
	for _, l := range ledgers {
		o := stock.PlanReorder(l, planned[l.Supply.Name], today)
		for _, x := range o.Expiring {
			x.Value = b.Shop.Currency.Line(x.Value)
			res.UseUp = append(res.UseUp, UseUp{l.Supply.Name, l.Supply.Unit, x})
		}
		x, ok, later := stock.SupplyItem(l, o, today)
		if ok {
			res.Items = append(res.Items, x)
		}
		if later != "" && (res.Later == "" || later < res.Later) {
			res.Later = later
		}
	}
	return nil
}

// benchStates gives the state of every neck that is open or on hold.
func (b *Book) benchStates() ([]jobs.NeckState, error) {
	necks, err := b.BenchNecks()
	if err != nil {
		return nil, err
	}
	states := make([]jobs.NeckState, len(necks))
	for i, n := range necks {
		if states[i], err = b.NeckState(n); err != nil {
			return nil, err
		}
	}
	return states, nil
}

// partsToBuy lists the parts of the open necks that are not here.
func (b *Book) partsToBuy(res *ShoppingResult, states []jobs.NeckState, likely map[string]jobs.Day) error {
	today := b.today()
	needed := map[string]jobs.Day{}
	stock.EachStep(states, likely, b.Shop, today, func(n jobs.Neck, v jobs.StepView, on jobs.Day) {
		if b.Operations[v.Operation].Hardware && (needed[n.Code] == "" || on < needed[n.Code]) {
			needed[n.Code] = on
		}
	})
	for _, st := range states {
		parts, err := store.By(b.Tx, store.Parts, store.PartsByNeck, st.Neck.Code)
		if err != nil {
			return err
		}
		for _, p := range parts {
			if x, ok := stock.PartItem(p, st.Neck.Name(), needed[st.Neck.Code], today); ok {
				res.Items = append(res.Items, x)
			}
		}
	}
	return nil
}

// bitsToBuy lists the next bit of each class that is kept for show holes.
func (b *Book) bitsToBuy(res *ShoppingResult, states []jobs.NeckState, likely map[string]jobs.Day) error {
	today := b.Tonight()
	var drillings []jobs.Day
	stock.EachStep(states, likely, b.Shop, today, func(_ jobs.Neck, v jobs.StepView, on jobs.Day) {
		if b.Operations[v.Operation].Drills == jobs.DrillsPosts {
			drillings = append(drillings, on)
		}
	})
	slices.Sort(drillings)
	classes, err := b.showClasses()
	if err != nil {
		return err
	}
	for _, c := range classes {
		if x, ok := stock.BitItem(c, drillings, today); ok {
			res.Items = append(res.Items, x)
		}
	}
	return nil
}

// showClasses adds up by class how many headstocks are left on the bits kept for show
// holes, or were. The bit named is one of those kept, the one with the most left.
func (b *Book) showClasses() ([]stock.BitStock, error) {
	book, err := b.BitBook()
	if err != nil {
		return nil, err
	}
	job, err := b.PlainJob()
	if err != nil {
		return nil, err
	}
	a := b.AdvisorOn(book, false)
	var out []stock.BitStock
	best := map[string]int{} // what is left on the bit that is named, below zero without end
	for _, bit := range book.Bits {
		v, err := a.Verdict(bit.Code, job)
		if err != nil {
			return nil, err
		}
		kept := v.Keep == jobs.KeepShow
		if !kept && bit.Keep != jobs.KeepShow {
			continue
		}
		left := 0
		switch {
		case !kept || v.Verdict == bitlife.VerdictRetire:
		case v.Verdict == bitlife.VerdictLast:
			left = 1
		case v.HeadstocksLeft == nil:
			left = -1
		default:
			left = *v.HeadstocksLeft
		}
		class := bit.Class().String()
		i := slices.IndexFunc(out, func(c stock.BitStock) bool { return c.Class == class })
		if i < 0 {
			out, i = append(out, stock.BitStock{Class: class}), len(out)
		}
		c := &out[i]
		switch {
		case c.Bit.OnOrder != nil: // it says when the next one comes
		case c.Bit.Code == "" || bit.OnOrder != nil || kept && !c.Kept || kept == c.Kept && left >= best[class]:
			c.Bit, best[class] = bit, left
		}
		c.Kept = c.Kept || kept
		if left < 0 || c.Left < 0 {
			c.Left = -1
		} else {
			c.Left += left
		}
	}
	return out, nil
}
