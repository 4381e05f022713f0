package workshop

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"bookmatch/costing/money"
	"bookmatch/costing/quote"
	"bookmatch/jobs"
	"bookmatch/jobs/store"

	"github.com/shopspring/decimal"
)

// QuoteChangeAsk prices a change to an accepted quote, or accepts or declines
// one.
type QuoteChangeAsk struct {
	Asked
	Quote    string             `json:"quote" word:"QUOTE"`
	What     string             `json:"what,omitempty" flag:"ask" arg:"WHAT" help:"WHAT is to be different"`
	AskedBy  string             `json:"asked_by,omitempty" flag:"by" arg:"WHO" help:"who asked; the customer if not given"`
	Quantity map[string]float64 `json:"quantity,omitempty" flag:"quantity" arg:"WHAT=N" help:"new quantity for one neck, such as inlay=18"`
	Redo     []string           `json:"redo,omitempty" flag:"redo" arg:"OPERATION" help:"an OPERATION that has to be done again"`
	Undo     *float64           `json:"undo_min,omitempty" flag:"undo" arg:"MINUTES" help:"MINUTES to undo what is done"`
	Parts    []jobs.QuotePart   `json:"parts,omitempty" flag:"part" arg:"NAME=PRICE" help:"a part to buy for it, NAME=PRICE"`
	Accept   int                `json:"accept,omitempty" flag:"accept" arg:"N" help:"the customer said yes to change N"`
	Decline  int                `json:"decline,omitempty" flag:"decline" arg:"N" help:"the customer said no to change N"`
	On       *jobs.Day          `json:"on,omitempty" flag:"on" arg:"DATE" help:"DATE it was asked or answered; today if not given"`
}

// OrderPaper is one change order with what it does to the whole.
type OrderPaper struct {
	Quote      string          `json:"quote"`
	Customer   string          `json:"customer"`
	ForOutside bool            `json:"for_customer,omitempty"` // without hours and lines
	TaxPercent decimal.Decimal `json:"tax_percent"`
	// Before is the price with tax without this change, After with it.
	Before  money.Amount     `json:"gross_before"`
	After   money.Amount     `json:"gross_after"`
	Due     jobs.Day         `json:"due,omitempty"` // promised now
	Becomes []Becomes        `json:"becomes,omitempty"`
	Order   jobs.ChangeOrder `json:"order"`
}

// Becomes is a quantity that a change sets.
type Becomes struct {
	What    string `json:"what"`
	Was     string `json:"was"`
	Becomes string `json:"becomes"`
}

// QuoteChange prices a change order, or settles one.
var QuoteChange = Define("quote change", "NOT CHANGED", Writes, (*Book).quoteChange)

func (b *Book) quoteChange(ask *QuoteChangeAsk, res *QuoteResult) error {
	q, err := b.FindQuote(ask.Quote)
	if err != nil {
		return err
	}
	what := strings.TrimSpace(ask.What)
	if what == "" { // the quantities say it
		for _, name := range jobs.SortedKeys(ask.Quantity) {
			what += ", " + name + " " + jobs.NumberText(ask.Quantity[name])
		}
		what = strings.TrimPrefix(what, ", ")
	}
	settle := ask.Accept > 0 || ask.Decline > 0
	switch {
	case settle && what != "", ask.Accept > 0 && ask.Decline > 0, !settle && what == "":
		return &jobs.Refusal{Code: "usage", Class: jobs.Invalid, Why: "say what is to be different, or which change is accepted or declined",
			Type: []string{`quote change ` + q.Code + ` --ask "four more dots" --quantity inlay=18`, "quote change " + q.Code + " --accept 1", "quote change " + q.Code + " --decline 1"}}
	case q.Status == jobs.QuoteDraft:
		return quoteRefused(q, "and only what was accepted needs a change order", "quote draft "+q.Code+" --margin 25")
	case q.Status != jobs.QuoteAccepted:
		return quoteRefused(q, "and only what was accepted needs a change order", b.towardsYes(q))
	}
	var order jobs.ChangeOrder
	if settle {
		order, err = b.settleOrder(ask, &q)
	} else {
		order, err = b.newOrder(ask, &q, what)
	}
	if err != nil {
		return err
	}
	if res.Order, err = b.orderPaper(q, order); err != nil {
		return err
	}
	return store.Put(b.Tx, store.Quotes, q)
}

// orderPaper gives a change order with what the whole costs without and with it.
func (b *Book) orderPaper(q jobs.Quote, order jobs.ChangeOrder) (*OrderPaper, error) {
	o, err := b.offerOf(q, q.Agreed)
	if err != nil {
		return nil, err
	}
	p := &OrderPaper{Quote: q.Code, Customer: q.Customer, TaxPercent: o.result.Price.TaxPercent, Order: order, Due: o.promised, Before: o.result.Price.Gross}
	for _, c := range q.Changes {
		if c.Status == jobs.OrderAccepted && c.No != order.No {
			p.Before = p.Before.Add(c.Gross)
		}
	}
	p.After = p.Before.Add(order.Gross)
	before := map[string]float64{}
	maps.Copy(before, o.input.Ask.Quantities)
	for _, c := range q.Changes {
		if c.Status == jobs.OrderAccepted && c.No < order.No {
			maps.Copy(before, c.Quantities)
		}
	}
	for _, what := range jobs.SortedKeys(order.Quantities) {
		p.Becomes = append(p.Becomes, Becomes{what, jobs.NumberText(before[what]), jobs.NumberText(order.Quantities[what])})
	}
	return p, nil
}

// showOrder is one change order on paper: for the customer, or from the inside.
func (b *Book) showOrder(q jobs.Quote, ask *QuoteShowAsk, res *QuoteResult) error {
	i := slices.IndexFunc(q.Changes, func(c jobs.ChangeOrder) bool { return c.No == ask.Order })
	if i < 0 {
		return noChange(q, ask.Order)
	}
	p, err := b.orderPaper(q, q.Changes[i])
	if err != nil {
		return err
	}
	if ask.Customer {
		p.ForOutside = true
		o := &p.Order
		o.Lines, o.Hours, o.Cost, o.Notes = nil, 0, money.Zero, nil
		o.ChangeAsk = jobs.ChangeAsk{Parts: slices.Clone(o.Parts)}
		for k := range p.Order.Parts {
			p.Order.Parts[k].Price = money.Zero
		}
	}
	res.Order = p
	return nil
}

func noChange(q jobs.Quote, no int) error {
	return &jobs.Refusal{Code: "missing", Class: jobs.Missing, Why: fmt.Sprintf("quote %s has no change %d", q.Code, no), Type: []string{"quote show " + q.Code}}
}

func (b *Book) newOrder(ask *QuoteChangeAsk, q *jobs.Quote, what string) (jobs.ChangeOrder, error) {
	o, err := b.offerOf(*q, q.Agreed)
	if err != nil {
		return jobs.ChangeOrder{}, err
	}
	in := o.input
	change := jobs.ChangeAsk{Redo: ask.Redo, Parts: ask.Parts}
	if change.Quantities, err = jobs.KnownQuantities(ask.Quantity); err != nil {
		return jobs.ChangeOrder{}, err
	}
	if err := quote.CheckNewQuantities(in, change.Quantities); err != nil {
		return jobs.ChangeOrder{}, err
	}
	if ask.Undo != nil {
		if *ask.Undo < 1 || *ask.Undo > 1e5 {
			return jobs.ChangeOrder{}, &jobs.FieldError{Field: "undo", Value: jobs.NumberText(*ask.Undo), Want: "minutes such as 30"}
		}
		change.UndoMin = *ask.Undo
	}
	done, err := b.stepsDone(*q)
	if err != nil {
		return jobs.ChangeOrder{}, err
	}
	order, err := quote.PriceChange(in, acceptedQuantities(*q), change, done)
	if err != nil {
		return order, err
	}
	order.No, order.What, order.AskedBy, order.Asked = len(q.Changes)+1, what, ask.AskedBy, b.dayOr(ask.On)
	if order.AskedBy == "" {
		order.AskedBy = "customer"
	}
	order.Hours = jobs.Round2(order.Hours)
	q.Changes = append(q.Changes, order)
	return order, nil
}

// acceptedQuantities gives what the accepted changes set, in their order.
func acceptedQuantities(q jobs.Quote) map[string]float64 {
	out := map[string]float64{}
	for _, c := range q.Changes {
		if c.Status == jobs.OrderAccepted {
			maps.Copy(out, c.Quantities)
		}
	}
	return out
}

// stepsDone says how far the necks of a quote are with each of its steps.
func (b *Book) stepsDone(q jobs.Quote) (map[quote.StepKey]quote.StepDone, error) {
	out := map[quote.StepKey]quote.StepDone{}
	for _, code := range q.Necks {
		states, err := b.States([]string{code})
		if err != nil {
			return nil, err
		}
		nth := map[string]int{}
		for _, v := range states[0].Steps {
			if leftOutByChange(v.Step) {
				continue
			}
			nth[v.Operation]++
			key := quote.StepKey{Operation: v.Operation, Nth: nth[v.Operation]}
			d := out[key]
			d.Done = d.Done || v.DoneAt != nil
			d.Started = d.Started || v.Actual > 0
			out[key] = d
		}
	}
	return out, nil
}

// settleOrder accepts or declines a change order. An accepted one changes the
// quantities of the necks' steps that are not done.
func (b *Book) settleOrder(ask *QuoteChangeAsk, q *jobs.Quote) (jobs.ChangeOrder, error) {
	no, status := ask.Accept, jobs.OrderAccepted
	if no == 0 {
		no, status = ask.Decline, jobs.OrderDeclined
	}
	if no > len(q.Changes) {
		return jobs.ChangeOrder{}, noChange(*q, no)
	}
	order := &q.Changes[no-1]
	if order.Status != jobs.OrderOpen {
		return *order, jobs.Refuse("settled", fmt.Sprintf("change %d of quote %s is %s since %s", no, q.Code, order.Status, order.Decided), `quote change `+q.Code+` --ask "what is different"`)
	}
	order.Status, order.Decided = status, b.dayOr(ask.On)
	if status == jobs.OrderDeclined {
		return *order, nil
	}
	o, err := b.offerOf(*q, q.Agreed)
	if err != nil {
		return *order, err
	}
	needs := map[string]string{}
	for _, s := range o.input.Steps {
		needs[s.Operation] = s.Needs
	}
	for _, code := range q.Necks {
		states, err := b.States([]string{code})
		if err != nil {
			return *order, err
		}
		n := followOrder(states[0], order.Quantities, needs, fmt.Sprintf("change %d of %s", order.No, q.Code), b.Operations)
		if n.Due != "" {
			n.Due = n.Due.Add(order.Days)
		}
		if err := store.Put(b.Tx, store.Necks, n); err != nil {
			return *order, err
		}
		if err := b.quotedParts(n, order.Parts, fmt.Sprintf("change %d of %s", order.No, q.Code)); err != nil {
			return *order, err
		}
	}
	return *order, nil
}
