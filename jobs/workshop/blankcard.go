package workshop

import (
	"bookmatch/jobs"
	"errors"
	"time"
)

// BlankCard is the sheet to write on when the bench has no screen: for which
// evening, and what each neck waits for.
type BlankCard struct {
	Evening jobs.Day   `json:"evening,omitempty"` // empty: to be written in
	Necks   []CardNeck `json:"necks"`
	// Plan is that of tonight, where it was asked for and there is one.
	Plan []TonightLine `json:"plan,omitempty"`
}

// CardNeck is what one neck needs next.
type CardNeck struct {
	Neck      string     `json:"neck"`
	Name      string     `json:"name"`
	Operation string     `json:"operation"`
	Quantity  float64    `json:"quantity"`
	State     string     `json:"state"`
	Held      string     `json:"held,omitempty"`     // why the neck is on hold
	ReadyAt   *time.Time `json:"ready_at,omitempty"` // while something cures
}

func (b *Book) blankCard(ask *EveningAsk, res *EveningResult) error {
	res.Card = &BlankCard{Evening: ask.Evening, Necks: []CardNeck{}}
	if today := b.Tonight(); ask.Planned && (ask.Evening == "" || ask.Evening == today) {
		res.Card.Evening = today
		var plan TonightResult
		var no *jobs.Refusal
		err := b.tonight(&TonightAsk{}, &plan)
		if err != nil && !errors.As(err, &no) {
			return err
		}
		res.Card.Plan = plan.Plan
	}
	necks, err := b.BenchNecks()
	if err != nil {
		return err
	}
	for _, n := range necks {
		st, err := b.NeckState(n)
		if err != nil {
			return err
		}
		if c, ok := b.cardNeck(st); ok {
			res.Card.Necks = append(res.Card.Necks, c)
		}
	}
	return nil
}

// cardNeck gives the first step of a neck that is neither over nor curing.
func (b *Book) cardNeck(st jobs.NeckState) (CardNeck, bool) {
	for _, v := range st.Steps {
		if v.State == jobs.Done || v.State == jobs.Skipped || v.State == jobs.Curing {
			continue
		}
		c := CardNeck{Neck: st.Neck.Code, Name: st.Neck.Name(), Operation: v.Operation, Quantity: v.Quantity, State: string(v.State)}
		if st.Neck.Status == jobs.Held {
			c.Held = st.Neck.Why
		} else if v.ReadyAt != nil && v.State == jobs.Waiting {
			ready := b.Wall(*v.ReadyAt)
			c.ReadyAt = &ready
		}
		return c, true
	}
	return CardNeck{}, false
}
