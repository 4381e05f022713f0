package workshop

import (
	"cmp"
	"fmt"

	"bookmatch/costing/money"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// NeckHoldAsk puts a neck on hold.
type NeckHoldAsk struct {
	Asked
	Neck string `json:"neck" word:"NECK"`
	Why  string `json:"why,omitempty" flag:"why" arg:"WHY" help:"the reason"`
}

func (a *NeckHoldAsk) why() string { return a.Why }

// NeckResumeAsk opens a neck again.
type NeckResumeAsk struct {
	Asked
	Neck string `json:"neck" word:"NECK"`
}

// NeckFinishAsk hands a neck over. On a finished neck it says how it left the
// bench, later.
type NeckFinishAsk struct {
	Asked
	Neck   string        `json:"neck" word:"NECK"`
	Price  *money.Amount `json:"price,omitempty" flag:"price" arg:"PRICE" help:"sold for PRICE, tax included"`
	Gift   bool          `json:"gift,omitempty" flag:"gift" help:"given away"`
	Keep   bool          `json:"keep,omitempty" flag:"keep" help:"you keep it"`
	On     jobs.Day      `json:"on,omitempty" flag:"on" arg:"DATE" help:"the DATE of the sale, if not today"`
	Anyway string        `json:"anyway,omitempty" flag:"anyway" arg:"WHY" help:"finish with steps left, and why"`
}

func (a *NeckFinishAsk) why() string { return a.Anyway }

// NeckScrapAsk gives a neck up.
type NeckScrapAsk struct {
	Asked
	Neck string `json:"neck" word:"NECK"`
	Why  string `json:"why" flag:"why" arg:"WHY" help:"the reason"`
}

func (a *NeckScrapAsk) why() string { return a.Why }

// The verbs that change the status of a neck.
var (
	NeckHold   = Define("neck hold", "NOT CHANGED", Writes, (*Book).neckHold)
	NeckResume = Define("neck resume", "NOT CHANGED", Writes, (*Book).neckResume)
	NeckFinish = Define("neck finish", "NOT FINISHED", Writes, (*Book).neckFinish)
	NeckScrap  = Define("neck scrap", "NOT CHANGED", Writes, (*Book).neckScrap)
)

func (b *Book) neckHold(ask *NeckHoldAsk, res *NeckResult) error {
	return b.turnNeck(ask.Neck, jobs.Held, ask.Why, "", nil, res)
}

func (b *Book) neckResume(ask *NeckResumeAsk, res *NeckResult) error {
	return b.turnNeck(ask.Neck, jobs.Open, "", "", nil, res)
}

func (b *Book) neckScrap(ask *NeckScrapAsk, res *NeckResult) error {
	return b.turnNeck(ask.Neck, jobs.Scrapped, ask.Why, "", nil, res)
}

func (b *Book) neckFinish(ask *NeckFinishAsk, res *NeckResult) error {
	sale, err := b.saleOf(ask)
	if err != nil {
		return err
	}
	n, err := b.FindNeck(ask.Neck)
	if err != nil {
		return err
	}
	if sale != nil && sale.How == jobs.Sold && n.Sale == nil && ask.Anyway == "" {
		if net, sold, err := b.SoldFor(n); err != nil {
			return err
		} else if sold {
			r := jobs.Refuse("sold", fmt.Sprintf("%s is sold by quote %s, for %s before tax. A price of its own would take the place of that", n.Name(), n.Quote, b.Shop.Currency.Print(b.Shop.Currency.Line(net))),
				"quote show "+n.Quote, fmt.Sprintf("neck finish %s --price %s --anyway \"a new price\"", n.Name(), sale.Price))
			r.Anyway = true
			return r
		}
	}
	if n.Status != jobs.Finished || sale == nil {
		return b.turnNeck(ask.Neck, jobs.Finished, "", ask.Anyway, sale, res)
	}
	if paid := jobs.Paid(n.Payments); paid.Sign() > 0 && sale.How != jobs.Sold && ask.Anyway == "" {
		r := jobs.Refuse("paid", fmt.Sprintf("%s was paid for %s. A gift or a kept neck has no price", b.Shop.Currency.Print(paid), n.Name()), fmt.Sprintf("neck finish %s %s --anyway \"paid back\"", n.Name(), map[bool]string{true: "--gift", false: "--keep"}[sale.How != jobs.Kept]))
		r.Anyway = true
		return r
	}
	if n.Sale != nil { // sold later, or corrected
		res.Changed = append(res.Changed, Change{"sale", b.saleText(*n.Sale), b.saleText(*sale)})
	}
	n.Sale = sale
	if err := store.Put(b.Tx, store.Necks, n); err != nil {
		return err
	}
	b.tradeRules(n)
	return b.neckNow(n, res)
}

func (b *Book) saleText(s jobs.Sale) string {
	if s.How == jobs.Sold {
		return fmt.Sprintf("sold on %s for %s", s.On, b.Shop.Currency.Print(s.Price))
	}
	return fmt.Sprintf("%s on %s", s.How, s.On)
}

// saleOf reads how the neck leaves the bench. Nil when nothing was said.
func (b *Book) saleOf(ask *NeckFinishAsk) (*jobs.Sale, error) {
	said := 0
	s := jobs.Sale{}
	for _, x := range []struct {
		yes bool
		how jobs.Delivery
	}{{ask.Price != nil, jobs.Sold}, {ask.Gift, jobs.Gift}, {ask.Keep, jobs.Kept}} {
		if x.yes {
			said++
			s.How = x.how
		}
	}
	switch {
	case said == 0:
		return nil, nil
	case said > 1:
		return nil, &jobs.Refusal{Code: "usage", Class: jobs.Invalid, Why: "a neck is sold, given away or kept, one of them", Type: []string{"neck finish " + ask.Neck + " --keep"}}
	case ask.Price != nil:
		s.Price, s.TaxPercent = b.Shop.Currency.Line(*ask.Price), b.Shop.Tax
	}
	var err error
	if s.On, err = b.dayUpToNow("on", ask.On); err != nil {
		return nil, err
	}
	return &s, s.Validate()
}

// tradeRules warns before a neck leaves the shop without papers for its woods.
func (b *Book) tradeRules(n jobs.Neck) {
	if n.Papers == "" && (n.Sale == nil || n.Sale.How != jobs.Kept) {
		b.Warnf("trade", "Before a sale or a journey abroad, check current trade rules for the woods and shell used.")
	}
}

// turnNeck changes the status of a neck.
func (b *Book) turnNeck(word string, to jobs.Status, why, anyway string, sale *jobs.Sale, res *NeckResult) error {
	n, err := b.FindNeck(word)
	if err != nil {
		return err
	}
	st, err := b.NeckState(n)
	if err != nil {
		return err
	}
	was := n.Status
	if n, err = jobs.ChangeStatus(st, to, why, anyway, b.Now); err != nil {
		return err
	}
	if to == jobs.Finished {
		if sale != nil {
			n.Sale = sale
		}
		b.tradeRules(n)
	}
	if err := store.Put(b.Tx, store.Necks, n); err != nil {
		return err
	}
	res.Changed = append(res.Changed, Change{"status", string(was), string(n.Status)})
	return b.neckNow(n, res)
}

// NeckStepAsk changes a step, skips it, or adds one.
type NeckStepAsk struct {
	Asked
	Neck       string   `json:"neck" word:"NECK"`
	Step       string   `json:"step" word:"STEP"`
	Quantity   *float64 `json:"quantity,omitempty" flag:"quantity" arg:"N" help:"how many units"`
	Difficulty *float64 `json:"difficulty,omitempty" flag:"difficulty" arg:"FACTOR" help:"factor on its time, such as 1.3"`
	Skip       string   `json:"skip,omitempty" flag:"skip" arg:"WHY" help:"it falls away, and why"`
	Unskip     bool     `json:"unskip,omitempty" flag:"unskip" help:"it is to be done after all"`
	Add        bool     `json:"add,omitempty" flag:"add" help:"add a step of that operation"`
	Note       string   `json:"note,omitempty" flag:"note" help:"a remark"`
	After      []string `json:"after,omitempty" flag:"after" arg:"STEP" help:"steps it needs; +STEP adds, -STEP takes away, - none"`
	Why        string   `json:"why,omitempty" flag:"why" help:"why it is worked in another order"`
}

func (a *NeckStepAsk) why() string { return cmp.Or(a.Why, a.Skip) }

// NeckStepResult is a step as it is now.
type NeckStepResult struct {
	Meta
	Neck         string   `json:"neck"`
	Name         string   `json:"name"`
	Step         int      `json:"step"`
	Operation    string   `json:"operation"`
	Quantity     float64  `json:"quantity"`
	QuantityText string   `json:"quantity_text"`
	Difficulty   float64  `json:"difficulty,omitempty"`
	Skip         string   `json:"skip,omitempty"`
	Note         string   `json:"note,omitempty"`
	Added        bool     `json:"added,omitempty"`
	After        []string `json:"after"`
	Moved        bool     `json:"needs_changed,omitempty"`
}

// NeckStepChange changes, skips or adds a step.
var NeckStepChange = Define("neck step", "NOT CHANGED", Writes, (*Book).neckStep)

func (b *Book) neckStep(ask *NeckStepAsk, res *NeckStepResult) error {
	n, err := b.FindNeck(ask.Neck)
	if err != nil {
		return err
	}
	st, err := b.NeckState(n)
	if err != nil {
		return err
	}
	if q := ask.Quantity; q != nil && !(*q >= 0 && *q <= 1e6) {
		return &jobs.FieldError{Field: "quantity", Value: jobs.NumberText(*q), Want: "a quantity from 0 to 1000000 such as 6"}
	}
	n, s, err := jobs.StepChange{Word: ask.Step, Add: ask.Add, Skip: ask.Skip, Unskip: ask.Unskip, Note: ask.Note, Quantity: ask.Quantity, Difficulty: ask.Difficulty, After: splitNeeds(ask.After)}.Apply(st, b.Operations)
	if err != nil {
		return err
	}
	k := b.Operations[jobs.PresentName(s.Operation, b.Operations)]
	*res = NeckStepResult{Meta: res.Meta, Neck: n.Code, Name: n.Name(), Step: s.No, Operation: s.Operation, Quantity: s.Quantity, QuantityText: jobs.UnitText(s.Quantity, k),
		Difficulty: s.Difficulty, Skip: s.Skip, Note: s.Note, Added: ask.Add, After: []string{}, Moved: len(ask.After) > 0}
	for _, need := range s.After {
		res.After = append(res.After, need.String())
	}
	return store.Put(b.Tx, store.Necks, n)
}
