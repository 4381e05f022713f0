package jobs

import (
	"fmt"
	"time"

	"bookmatch/costing/money"

	"github.com/shopspring/decimal"
)

// Class of an entry: first passes teach the standards, rework and decisions do
// not.
type Class string

// The classes of logged work.
const (
	First    Class = "first"
	Rework   Class = "rework"
	Deciding Class = "decide"
)

// Causes of rework, and who can pay for it.
var (
	ReworkCauses = []string{"bit", "glue", "marking", "wood", "customer", "other"}
	Payers       = []string{"shop", "customer"}
)

// Span is a stretch of time; a zero To has not ended.
type Span struct {
	From time.Time  `json:"from"`
	To   *time.Time `json:"to,omitempty"`
}

// Share is one neck's part in an entry.
type Share struct {
	Neck  string  `json:"neck"`           // code
	Step  int     `json:"step,omitempty"` // 0: work outside the neck's route
	Count float64 `json:"count"`          // units done in this entry; 0 is not recorded
	Done  bool    `json:"done,omitempty"` // this entry ended the step
	// Left says that the neck dropped out of the session midway: its counts stay,
	// its step stays open.
	Left bool `json:"left,omitempty"`
	// Grade is the worst rim on this neck of several. On a neck alone it is that of
	// the entry.
	Grade *int `json:"grade,omitempty"`
}

// Entry is one stretch of logged work on one or more necks.
type Entry struct {
	ID        uint64     `json:"id"`
	Operation string     `json:"operation"`
	Class     Class      `json:"class"`
	Shares    []Share    `json:"necks"`
	From      time.Time  `json:"from"`
	To        *time.Time `json:"to,omitempty"` // nil: on now
	Away      []Span     `json:"away,omitempty"`
	Go        *time.Time `json:"go,omitempty"` // where setup ended and the run began
	// SpentSec is work logged without a clock; From and To then both say when it was
	// logged or when the evening was.
	SpentSec int64 `json:"spent_s,omitempty"`
	// SetupPart is the proportion of setup in the standard when the entry ended:
	// a copy, so that a later standard does not move what was shared out.
	SetupPart float64   `json:"setup_part,omitempty"`
	Assumed   bool      `json:"assumed,omitempty"`    // the end was not clocked: costed, never a past job
	Late      bool      `json:"late,omitempty"`       // the neck was closed when this was written
	ClockBack bool      `json:"clock_back,omitempty"` // the machine's clock stood before the last record
	Cause     string    `json:"cause,omitempty"`
	Payer     string    `json:"payer,omitempty"`
	Person    string    `json:"person,omitempty"` // other than the builder: costed, never a past job
	Grade     *int      `json:"grade,omitempty"`
	Bit       string    `json:"bit,omitempty"` // in the chuck when drilling began
	TempC     *float64  `json:"temp_c,omitempty"`
	Anyway    string    `json:"anyway,omitempty"` // why a warning was passed over
	Note      string    `json:"note,omitempty"`
	Written   time.Time `json:"written"` // when the record was made
}

// GradeOn gives the worst rim on a neck of the entry, nil where nobody said. A grade
// of the entry above 0 says nothing of which neck it was, where there are several.
func (e Entry) GradeOn(s Share) *int {
	if s.Grade != nil || e.Grade == nil {
		return s.Grade
	}
	if len(e.Shares) == 1 || *e.Grade == 0 {
		return e.Grade
	}
	return nil
}

// GradedNecks puts the grades of the necks into the entry: the worst of them, or
// that of the only neck.
func (e *Entry) GradedNecks() {
	var worst *int
	for _, s := range e.Shares {
		if s.Grade != nil && (worst == nil || *s.Grade > *worst) {
			worst = s.Grade
		}
	}
	if worst != nil {
		e.Grade = worst
	}
	if len(e.Shares) == 1 {
		e.Shares[0].Grade = nil
	}
}

// Running says that the entry has not ended.
func (e Entry) Running() bool { return e.To == nil }

// End gives the end, or now for a running entry; never before the start.
func (e Entry) End(now time.Time) time.Time {
	end := now
	if e.To != nil {
		end = *e.To
	}
	if end.Before(e.From) {
		return e.From
	}
	return end
}

// Elapsed is the true working time until now: breaks are taken out, whole
// seconds, never negative.
func (e Entry) Elapsed(now time.Time) time.Duration {
	if e.SpentSec > 0 {
		return time.Duration(e.SpentSec) * time.Second
	}
	end := e.End(now)
	span := end.Sub(e.From)
	for _, a := range e.Away {
		to := end
		if a.To != nil && a.To.Before(end) {
			to = *a.To
		}
		from := a.From
		if from.Before(e.From) {
			from = e.From
		}
		if to.After(from) {
			span -= to.Sub(from)
		}
	}
	return max(span.Truncate(time.Second), 0)
}

// SetupSpan gives the setup part of the elapsed time: up to the `go` mark
// where there is one, else the standard's proportion.
func (e Entry) SetupSpan(now time.Time) time.Duration {
	all := e.Elapsed(now)
	if e.Go != nil {
		cut := e
		cut.To = e.Go
		return min(cut.Elapsed(now), all)
	}
	return min(time.Duration(float64(all)*e.SetupPart), all)
}

// ShareOut gives each neck's part of the elapsed time in whole seconds: the
// setup part equally, the run by counts (equally where none is recorded). The
// parts add exactly to the whole.
func (e Entry) ShareOut(now time.Time) []time.Duration {
	n := len(e.Shares)
	if n == 0 {
		return nil
	}
	total := int64(e.Elapsed(now) / time.Second)
	if n == 1 {
		return []time.Duration{time.Duration(total) * time.Second}
	}
	setup := decimal.NewFromFloat(e.SetupSpan(now).Seconds())
	run := decimal.NewFromInt(total).Sub(setup)
	counts := decimal.Zero
	for _, s := range e.Shares {
		counts = counts.Add(decimal.NewFromFloat(s.Count))
	}
	weights := make([]decimal.Decimal, n)
	even := decimal.NewFromInt(1).DivRound(decimal.NewFromInt(int64(n)), 18)
	for i, s := range e.Shares {
		part := even
		if counts.Sign() > 0 {
			part = decimal.NewFromFloat(s.Count).DivRound(counts, 18)
		}
		weights[i] = setup.Mul(even).Add(run.Mul(part))
	}
	out := make([]time.Duration, n)
	for i, sec := range money.SplitInt(total, weights) {
		out[i] = time.Duration(sec) * time.Second
	}
	return out
}

// ShareOf gives the index of a neck's share, or -1.
func (e Entry) ShareOf(neck string) int {
	for i, s := range e.Shares {
		if s.Neck == neck {
			return i
		}
	}
	return -1
}

// TotalCount is the whole quantity of the entry over its necks.
func (e Entry) TotalCount() float64 {
	q := 0.0
	for _, s := range e.Shares {
		q += s.Count
	}
	return q
}

// Overlaps says that two entries with a clock claim the same time.
func (e Entry) Overlaps(f Entry, now time.Time) bool {
	if e.SpentSec > 0 || f.SpentSec > 0 || e.ID == f.ID {
		return false
	}
	return e.From.Before(f.End(now)) && f.From.Before(e.End(now))
}

// Validate says what is wrong with an entry, if anything.
func (e Entry) Validate() error {
	switch {
	case len(e.Shares) == 0:
		return &FieldError{"neck", "", "at least one neck"}
	case e.To != nil && e.To.Before(e.From):
		return &FieldError{"end", e.To.Format(time.RFC3339), "an end after the start " + e.From.Format(time.RFC3339)}
	case e.Grade != nil && (*e.Grade < 0 || *e.Grade > 3):
		return &FieldError{"grade", fmt.Sprint(*e.Grade), "0 clean, 1 fuzz, 2 chip that hardware hides, 3 chip it does not"}
	case e.SpentSec < 0:
		return &FieldError{"minutes", fmt.Sprint(e.SpentSec / 60), "minutes above zero"}
	}
	for i, s := range e.Shares {
		if !(s.Count >= 0 && s.Count <= 1e6) {
			return &FieldError{"count", fmt.Sprint(s.Count), "a count from 0 to 1000000"}
		}
		for _, t := range e.Shares[:i] {
			if t.Neck == s.Neck {
				return &FieldError{"neck", s.Neck, "each neck once in a session"}
			}
		}
	}
	return nil
}
