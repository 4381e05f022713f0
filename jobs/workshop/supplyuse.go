package workshop

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"bookmatch/costing/stock"
	"bookmatch/jobs"
)

// SupplyUseAsk books a use to a neck, or without one to overhead.
type SupplyUseAsk struct {
	Asked
	Supply   string `json:"supply" word:"NAME"`
	Quantity string `json:"quantity" word:"QUANTITY"`
	Neck     string `json:"neck,omitempty" flag:"neck" arg:"NECK" help:"NECK that is charged; else overhead"`
	Step     int    `json:"step,omitempty" flag:"step" arg:"N" help:"step N of the neck"`
	Rework   string `json:"rework,omitempty" flag:"rework" arg:"CAUSE" help:"used to redo a step: CAUSE is bit, glue, marking, wood ..."`
	TakeAsk
}

// TakeAsk is what a use, a count and a write-off may say next to their quantity.
type TakeAsk struct {
	Lot uint64 `json:"lot,omitempty" flag:"lot" arg:"N" help:"lot N; else first in, first out"`
	LateAsk
	Why  string `json:"why,omitempty" flag:"why" help:"why, where it is out of the ordinary"`
	Note string `json:"note,omitempty" flag:"note" help:"a remark"`
}

func (x TakeAsk) why() string { return x.Why }

// SupplyCountAsk enters a stock count, or writes off what was lost.
type SupplyCountAsk struct {
	Asked
	Supply   string `json:"supply" word:"NAME"`
	Quantity string `json:"quantity" word:"QUANTITY"`
	TakeAsk
}

// SupplyUse books a use, SupplyCount a stock count, SupplyWriteOff a loss.
var (
	SupplyUse      = Define("supply use", "NOT LOGGED", Writes, (*Book).supplyUse)
	SupplyCount    = Define("supply count", "NOT LOGGED", Writes, (*Book).supplyCount)
	SupplyWriteOff = Define("supply write-off", "NOT LOGGED", Writes, (*Book).supplyWriteOff)
)

func (b *Book) supplyUse(ask *SupplyUseAsk, res *StockChanged) error {
	s, u, err := b.taken(ask.Supply, ask.Quantity, ask.TakeAsk)
	if err != nil {
		return err
	}
	u.Kind, u.Step, u.Cause = jobs.UseIssue, ask.Step, ask.Rework
	if u.Cause != "" && !slices.Contains(jobs.ReworkCauses, u.Cause) {
		return &jobs.FieldError{Field: "rework", Value: u.Cause, Want: strings.Join(jobs.ReworkCauses, ", ") + ", such as " + jobs.ReworkCauses[0]}
	}
	if ask.Neck != "" {
		n, err := b.FindNeck(ask.Neck)
		if err != nil {
			return err
		}
		if _, ok := n.Step(u.Step); u.Step != 0 && !ok {
			return &jobs.FieldError{Field: "step", Value: strconv.Itoa(u.Step), Want: fmt.Sprintf("a step of %s from 1 to %d, such as 1", n.Name(), len(n.Steps))}
		}
		u.Neck = n.Code
		if n.IsClosed() {
			b.Warnf("closed-neck", "%s is %s. Its cost changes after closing.", n.Name(), n.Status)
		}
	}
	return b.recordUse(res, s, u)
}

func (b *Book) supplyCount(ask *SupplyCountAsk, res *StockChanged) error {
	s, u, err := b.taken(ask.Supply, ask.Quantity, ask.TakeAsk)
	if err != nil {
		return err
	}
	u.Kind = jobs.UseCount
	res.Counted = &u.Quantity
	return b.recordUse(res, s, u)
}

func (b *Book) supplyWriteOff(ask *SupplyCountAsk, res *StockChanged) error {
	s, u, err := b.taken(ask.Supply, ask.Quantity, ask.TakeAsk)
	if err != nil {
		return err
	}
	u.Kind = jobs.UseWriteOff
	l, err := b.SupplyLedger(s)
	if err != nil {
		return err
	}
	if there := l.OnHand.Plus(l.Expired); u.Quantity.Cmp(there) > 0 {
		return jobs.Refuse("too-much", fmt.Sprintf("only %s %s of %s are there, and %s cannot be written off", there, s.Unit, s.Name, u.Quantity), "supply count "+s.Name+" 0")
	}
	return b.recordUse(res, s, u)
}

// taken reads what a use, a count and a write-off have in common.
func (b *Book) taken(name, quantity string, t TakeAsk) (s jobs.Supply, u jobs.SupplyUse, err error) {
	if s, u.Quantity, err = b.supplyOf(name, quantity); err != nil {
		return s, u, err
	}
	u.Supply, u.Lot, u.Reason, u.Note = s.Name, t.Lot, t.Why, t.Note
	u.On, err = b.stamp(t.On, true)
	return s, u, err
}

// recordUse keeps a record and prices it.
func (b *Book) recordUse(res *StockChanged, s jobs.Supply, u jobs.SupplyUse) (err error) {
	if u, err = b.RecordUse(u); err != nil {
		return err
	}
	ledger, err := b.SupplyLedger(s)
	if err != nil {
		return err
	}
	if u.Kind != jobs.UseCount {
		b.warnCounted(ledger, u.On, slices.IndexFunc(ledger.Issues, func(is stock.Issue) bool { return is.Back == 0 && is.Use.ID == u.ID }))
	}
	is, _ := ledger.Find(u.ID)
	cur := b.Shop.Currency
	res.What, res.ID, res.Quantity, res.Value, res.Beyond = string(u.Kind), u.ID, is.Quantity, cur.Line(is.Value), is.Short
	if u.Neck != "" {
		res.Neck = b.NameOf(u.Neck)
	}
	b.stockNow(res, ledger)
	for _, t := range is.Takes {
		res.Lots = append(res.Lots, TakenLot{t.Lot, t.Quantity, cur.Line(t.Value), t.Expired})
		if t.Expired && u.Kind == jobs.UseIssue {
			b.Warn(jobs.Warning{Code: "expired-lot", Text: fmt.Sprintf("Lot %d of %s is past its date. Mark the joint.", t.Lot, s.Name), Hint: fmt.Sprintf("supply lot %d", t.Lot)})
		}
	}
	return nil
}
