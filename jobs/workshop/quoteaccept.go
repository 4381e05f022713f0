package workshop

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"bookmatch/costing/quote"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// QuoteAcceptAsk notes that the customer said yes and makes the necks.
type QuoteAcceptAsk struct {
	Asked
	Quote     string    `json:"quote" word:"QUOTE"`
	DepositOn *jobs.Day `json:"deposit_on,omitempty" read:"coming" flag:"deposit-on" arg:"DATE" help:"DATE of the deposit; the time runs from it"`
	Revision  int       `json:"revision,omitempty" flag:"revision" arg:"N" help:"revision N; the newest that was sent if not given"`
	Neck      string    `json:"neck,omitempty" flag:"neck" arg:"CODE" help:"a neck that exists, or the CODE of the new one"`
	Nickname  string    `json:"nickname,omitempty" flag:"nickname" arg:"WORD" help:"the short WORD for the bench"`
	On        *jobs.Day `json:"on,omitempty" flag:"on" arg:"DATE" help:"DATE of the answer; today if not given"`
}

// QuoteAcceptResult is an accepted quote with the necks that it made.
type QuoteAcceptResult struct {
	Meta
	Quote     string           `json:"quote"`
	Revision  int              `json:"revision"`
	Status    jobs.QuoteStatus `json:"status"`
	Customer  string           `json:"customer"`
	DepositOn jobs.Day         `json:"deposit_on"`
	Deposit   string           `json:"deposit"`
	Necks     []QuotedNeck     `json:"necks"`
	Parts     []string         `json:"parts,omitempty"` // to order
}

// QuotedNeck is a neck that an accepted quote made.
type QuotedNeck struct {
	Neck     string   `json:"neck"`
	Nickname string   `json:"nickname,omitempty"`
	Steps    int      `json:"steps"`
	Starts   jobs.Day `json:"starts,omitempty"`
	Tied     bool     `json:"tied,omitempty"` // it existed before
	Due      jobs.Day `json:"due,omitempty"`
}

// QuoteAccept makes the necks of a quote.
var QuoteAccept = Define("quote accept", "NOT ACCEPTED", Writes, (*Book).quoteAccept)

func (b *Book) quoteAccept(ask *QuoteAcceptAsk, res *QuoteAcceptResult) error {
	q, err := b.FindQuote(ask.Quote)
	if err != nil {
		return err
	}
	day := b.dayOr(ask.On)
	if ask.DepositOn == nil {
		return &jobs.Refusal{Code: "deposit-on", Class: jobs.Invalid, Why: "the time of a quote runs from its deposit, so its day is needed", Type: []string{fmt.Sprintf("quote accept %s --deposit-on %s", typedOf(ask), day.Add(quote.AssumedDepositDays))}}
	}
	if q.Status == jobs.QuoteAccepted {
		return quoteRefused(q, "its neck is "+strings.Join(q.Necks, ", "), `quote change `+q.Code+` --ask "what is different"`)
	}
	r, err := b.answered(q, ask.Revision)
	if err != nil {
		return err
	}
	if r.Status != jobs.QuoteSent {
		was := q
		was.Status = r.Status
		return jobs.Refuse("not-sent", fmt.Sprintf("revision %d of quote %s is %s, not sent", r.No, q.Code, r.Status), b.towardsYes(was))
	}
	if day > r.Until {
		return jobs.Refuse("expired", fmt.Sprintf("quote %s was valid until %s, and this is %s", q.Code, r.Until, day), "quote revise "+q.Code)
	}
	if day < r.Sent {
		return &jobs.FieldError{Field: "on", Value: string(day), Want: "a date not before it was sent, such as " + string(r.Sent)}
	}
	q.DepositOn = *ask.DepositOn
	if q.DepositOn < day {
		return &jobs.FieldError{Field: "deposit-on", Value: string(q.DepositOn), Want: "a date not before it was accepted, such as " + string(day)}
	}
	if err := b.setAside(q, r.No); err != nil {
		return err
	}
	_, out, err := quote.Frozen(r)
	if err != nil {
		return err
	}
	q.Status, q.Accepted, q.Agreed, q.Revision = jobs.QuoteAccepted, day, r.No, r.No
	necks, err := b.makeNecks(ask, q, r, out)
	if err != nil {
		return err
	}
	*res = QuoteAcceptResult{Meta: res.Meta, Quote: q.Code, Revision: q.Agreed, Status: q.Status, Customer: q.Customer, DepositOn: q.DepositOn, Deposit: b.Shop.Currency.Print(out.Price.Deposit)}
	for _, n := range necks {
		q.Necks = append(q.Necks, n.Code)
		res.Necks = append(res.Necks, QuotedNeck{Neck: n.Code, Nickname: n.Nickname, Steps: len(n.Steps), Starts: n.Starts, Due: n.Due, Tied: n.Added.Before(b.Now)})
	}
	for _, p := range r.Ask.Parts {
		res.Parts = append(res.Parts, p.Name)
	}
	r.Status = jobs.QuoteAccepted
	if err := store.Put(b.Tx, store.Revisions, r); err != nil {
		return err
	}
	return store.Put(b.Tx, store.Quotes, q)
}

// answered gives the revision that a customer says yes to: the one named, else
// the newest that was sent. The customer never saw a later draft.
func (b *Book) answered(q jobs.Quote, no int) (jobs.Revision, error) {
	if no > 0 {
		return b.Revision(q, no)
	}
	for no = q.Revision; no > 1; no-- {
		r, err := b.Revision(q, no)
		if err != nil || r.Status == jobs.QuoteSent {
			return r, err
		}
	}
	r, err := b.Revision(q, no)
	if err == nil && r.Status != jobs.QuoteSent {
		return b.Revision(q, 0)
	}
	return r, err
}

// setAside freezes drafts behind the accepted revision as superseded.
func (b *Book) setAside(q jobs.Quote, agreed int) error {
	for no := agreed + 1; no <= q.Revision; no++ {
		o, err := b.offerOf(q, no)
		if err != nil {
			return err
		}
		if err := quote.Freeze(&o.revision, o.input, o.result); err != nil {
			return err
		}
		o.revision.Status = jobs.QuoteSuperseded
		if err := store.Put(b.Tx, store.Revisions, o.revision); err != nil {
			return err
		}
	}
	return nil
}

// makeNecks stores the necks of an accepted quote with their steps, and puts the
// quoted parts on their lists as to order.
func (b *Book) makeNecks(ask *QuoteAcceptAsk, q jobs.Quote, r jobs.Revision, quoted quote.Quoted) ([]jobs.Neck, error) {
	wish := r.Ask
	route, ok, err := store.Get(b.Tx, store.Routes, wish.Route)
	if err != nil {
		return nil, err
	}
	if !ok {
		return nil, &jobs.NotFoundError{Noun: "route", Value: wish.Route}
	}
	weeks := int(math.Ceil(quoted.Promise.SafeWeeks))
	if n, err := b.FindNeck(ask.Neck); ask.Neck != "" && err == nil {
		if weeks > 0 {
			n.Due = q.DepositOn.Add(7 * weeks)
		}
		n, err = b.tie(ask, n, q, wish)
		return []jobs.Neck{n}, err
	}
	var out []jobs.Neck
	for i := range max(wish.Necks, 1) {
		code := ask.Neck
		if code == "" || i > 0 {
			if code, err = b.nextNeckCode(); err != nil {
				return nil, err
			}
		}
		n := jobs.Neck{Code: code, Title: q.Title, Customer: q.Customer, Wood: wish.Wood, Veneer: wish.Veneer, Route: wish.Route, Status: jobs.Open, Added: b.Now, Quote: q.Code, Starts: q.DepositOn, Paid: true}
		if i == 0 {
			n.Nickname = ask.Nickname
		}
		if weeks > 0 {
			n.Due = q.DepositOn.Add(7 * weeks)
		}
		if n.Steps, n.Quantities, err = jobs.PlanSteps(route, b.Operations, wish.Quantities); err != nil {
			return nil, err
		}
		for k, s := range n.Steps {
			n.Steps[k].Difficulty = wish.Difficulty[s.Operation]
		}
		if err := n.Validate(); err != nil {
			return nil, err
		}
		if err := b.FreeNeckName(n); err != nil {
			return nil, err
		}
		if err := store.Put(b.Tx, store.Necks, n); err != nil {
			return nil, err
		}
		if err := b.quotedParts(n, wish.Parts, q.Code); err != nil {
			return nil, err
		}
		out = append(out, n)
	}
	return out, nil
}

func (b *Book) quotedParts(n jobs.Neck, parts []jobs.QuotePart, from string) error {
	for _, p := range parts {
		id, err := store.NextID(b.Tx, store.Parts)
		if err != nil {
			return err
		}
		if err := store.Put(b.Tx, store.Parts, jobs.Part{ID: id, Neck: n.Code, Name: p.Name, Quantity: 1, Price: p.Price, Note: "as quoted in " + from}); err != nil {
			return err
		}
	}
	return nil
}

// nextNeckCode gives N and the number after the highest that necks have.
func (b *Book) nextNeckCode() (string, error) {
	most := 0
	for n, err := range store.Each(b.Tx, store.Necks) {
		if err != nil {
			return "", err
		}
		if digits, ok := strings.CutPrefix(n.Code, "N"); ok {
			if k, err := strconv.Atoi(digits); err == nil {
				most = max(most, k)
			}
		}
	}
	return fmt.Sprintf("N%d", most+1), nil
}
