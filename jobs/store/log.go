package store

import (
	"bytes"
	"slices"
	"sort"
	"time"

	"bookmatch/costing/estimate"
	"bookmatch/jobs"
)

// How much of the log the estimates read: with a half-life of eight samples an
// older one no longer moves them, and a long log must not slow the bench down.
const (
	operationDepth = 64  // entries of one operation
	paceDepth      = 128 // entries of all operations
)

// NeckEntries gives the entries of a neck in order of time.
func (tx *Tx) NeckEntries(code string) ([]jobs.Entry, error) {
	return By(tx, Entries, EntriesByNeck, code)
}

// EntriesBetween gives the entries that began in [from, to), in order of time.
func (tx *Tx) EntriesBetween(from, to time.Time) ([]jobs.Entry, error) {
	var out []jobs.Entry
	var err error
	cur := tx.bucket(EntriesByTime).Cursor()
	end := timeKey(to)
	for k, rec := cur.Seek(timeKey(from)); k != nil && bytes.Compare(k[:8], end) < 0; k, rec = cur.Next() {
		if out, err = addTo(tx, Entries, rec, out); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// LatestEntries gives the newest n entries of the whole log, oldest first.
func (tx *Tx) LatestEntries(n int) ([]jobs.Entry, error) {
	out := make([]jobs.Entry, 0, n)
	var err error
	cur := tx.bucket(EntriesByTime).Cursor()
	for k, rec := cur.Last(); k != nil && len(out) < n; k, rec = cur.Prev() {
		if out, err = addTo(tx, Entries, rec, out); err != nil {
			return nil, err
		}
	}
	slices.Reverse(out)
	return out, nil
}

// Evening gives the entries that belong to a shop day, in order of time.
func (tx *Tx) Evening(shop jobs.Shop, day jobs.Day) ([]jobs.Entry, error) {
	noon, zone := day.Noon(), shop.Location()
	near, err := tx.EntriesBetween(noon.Add(-48*time.Hour), noon.Add(48*time.Hour))
	if err != nil {
		return nil, err
	}
	return slices.DeleteFunc(near, func(e jobs.Entry) bool { return jobs.EveningOf(e.From, zone, shop.Turns) != day }), nil
}

// RunningEntry gives the entry that is on, if any.
func (tx *Tx) RunningEntry() (jobs.Entry, bool, error) {
	on, err := By(tx, Entries, EntriesRunning, "on")
	if err != nil || len(on) == 0 {
		return jobs.Entry{}, false, err
	}
	return on[len(on)-1], true, nil
}

// NeckState derives the state of one neck.
func (tx *Tx) NeckState(n jobs.Neck, operations map[string]jobs.Operation, shop jobs.Shop) (jobs.NeckState, error) {
	entries, err := tx.NeckEntries(n.Code)
	if err != nil {
		return jobs.NeckState{}, err
	}
	return jobs.Derive(n, tx.settleView(entries, operations, shop), operations, shop, tx.Now), nil
}

// OperationEntries gives the newest entries of an operation, oldest first, with those
// logged under names it had before.
func (tx *Tx) OperationEntries(operation string, operations map[string]jobs.Operation) ([]jobs.Entry, error) {
	operation = jobs.PresentName(operation, operations)
	entries, err := Latest(tx, Entries, EntriesByOperation, operation, operationDepth)
	if err != nil {
		return nil, err
	}
	slices.Reverse(entries)
	for _, was := range operations[operation].Was {
		if len(entries) >= operationDepth {
			break
		}
		old, err := Latest(tx, Entries, EntriesByOperation, was, operationDepth-len(entries))
		if err != nil {
			return nil, err
		}
		entries = append(entries, old...)
	}
	byTime(entries)
	return entries, nil
}

// OperationSamples gives the samples of an operation, oldest first, and the shop's pace.
func (tx *Tx) OperationSamples(operation string, operations map[string]jobs.Operation, shop jobs.Shop) ([]estimate.Sample, error) {
	entries, err := tx.OperationEntries(operation, operations)
	if err != nil {
		return nil, err
	}
	return tx.samples(jobs.Passes(entries, shop, tx.Now), operations)
}

// samples turns passes into samples whose expected time holds the difficulty
// that their necks' steps were given, so that a hard inlay does not teach that
// all inlays are slow.
func (tx *Tx) samples(passes []jobs.Pass, operations map[string]jobs.Operation) ([]estimate.Sample, error) {
	out := make([]estimate.Sample, 0, len(passes))
	for _, p := range passes {
		k, ok := operations[p.Operation]
		if !ok {
			continue
		}
		s := estimate.SampleOf(p, k)
		sum, weight := 0.0, 0.0
		for _, share := range p.Shares {
			n, err := tx.difficultiesOf(share.Neck)
			if err != nil {
				return nil, err
			}
			w, d := max(share.Count, 1), 1.0
			if step, ok := n.Step(share.Step); ok && step.Difficulty > 0 {
				d = step.Difficulty
			}
			sum, weight = sum+w*d, weight+w
		}
		if weight > 0 && sum != weight {
			s.Difficulty = sum / weight
			s.StandardMin = estimate.StandardOf(k).Expected(s)
		}
		out = append(out, s)
	}
	return out, nil
}

// difficultiesOf gives a neck for the difficulties of its steps. The samples of
// many operations ask for the same few necks, so each is read once a transaction, and
// only if a difficulty was given on it at all: few have one.
func (tx *Tx) difficultiesOf(code string) (n jobs.Neck, err error) {
	if n, ok := tx.necks[code]; ok {
		return n, nil
	}
	value := tx.bucket(Necks.bucket).Get([]byte(code))
	if doc, sound := unseal([]byte(code), value); !sound || bytes.Contains(doc, []byte(`"difficulty":`)) {
		if n, _, err = Get(tx, Necks, code); err != nil {
			return n, err
		}
	}
	if tx.necks == nil {
		tx.necks = map[string]jobs.Neck{}
	}
	tx.necks[code] = n
	return n, nil
}

// Pace gives the shop's pace from the newest entries of all operations.
func (tx *Tx) Pace(operations map[string]jobs.Operation, shop jobs.Shop) (estimate.Pace, error) {
	entries, err := tx.LatestEntries(paceDepth)
	if err != nil {
		return estimate.Pace{}, err
	}
	samples, err := tx.samples(jobs.Passes(entries, shop, tx.Now), operations)
	if err != nil {
		return estimate.Pace{}, err
	}
	return estimate.ShopPace(samples, estimate.Settings{}), nil
}

// Estimator answers for any operation and quantity from the log as it stands in this
// transaction; each operation's samples are read once.
type Estimator struct {
	tx         *Tx
	operations map[string]jobs.Operation
	shop       jobs.Shop
	pace       *estimate.Pace
	samples    map[string][]estimate.Sample
}

// NewEstimator prepares estimates of operations.
func (tx *Tx) NewEstimator(operations map[string]jobs.Operation, shop jobs.Shop) *Estimator {
	return &Estimator{tx: tx, operations: operations, shop: shop, samples: map[string][]estimate.Sample{}}
}

// Pace of the shop, read once.
func (x *Estimator) Pace() (estimate.Pace, error) {
	if x.pace == nil {
		p, err := x.tx.Pace(x.operations, x.shop)
		if err != nil {
			return p, err
		}
		x.pace = &p
	}
	return *x.pace, nil
}

// Samples of an operation, read once.
func (x *Estimator) Samples(operation string) ([]estimate.Sample, error) {
	if s, ok := x.samples[operation]; ok {
		return s, nil
	}
	s, err := x.tx.OperationSamples(operation, x.operations, x.shop)
	if err == nil {
		x.samples[operation] = s
	}
	return s, err
}

// Step estimates q units of an operation; an operation without a record gives the
// zero estimate with its warning.
func (x *Estimator) Step(operation string, q float64) (estimate.Estimate, error) {
	operation = jobs.PresentName(operation, x.operations)
	s, err := x.Samples(operation)
	if err != nil {
		return estimate.Estimate{}, err
	}
	p, err := x.Pace()
	if err != nil {
		return estimate.Estimate{}, err
	}
	return estimate.ForStep(estimate.StandardOf(x.operations[operation]), q, s, p, estimate.Settings{}), nil
}

// settleView gives entries with forgotten ends assumed, without writing: what
// a reader shows before the next bench word settles it.
func (tx *Tx) settleView(entries []jobs.Entry, operations map[string]jobs.Operation, shop jobs.Shop) []jobs.Entry {
	for i, e := range entries {
		if !jobs.Forgotten(e, shop, tx.Now) {
			continue
		}
		if done, _, err := tx.assume(e, operations, shop); err == nil {
			entries = slices.Clone(entries)
			entries[i] = done
		}
	}
	return entries
}

// Settled gives entries with forgotten ends assumed, for readers outside this
// package.
func (tx *Tx) Settled(entries []jobs.Entry, operations map[string]jobs.Operation, shop jobs.Shop) []jobs.Entry {
	return tx.settleView(entries, operations, shop)
}

// assume works out the assumed end of a forgotten entry.
func (tx *Tx) assume(e jobs.Entry, operations map[string]jobs.Operation, shop jobs.Shop) (jobs.Entry, string, error) {
	after, err := tx.EntriesBetween(e.From.Add(time.Second), tx.Now.Add(time.Second))
	if err != nil {
		return e, "", err
	}
	var next *time.Time
	for _, f := range after {
		if f.ID != e.ID && f.SpentSec == 0 && (next == nil || f.From.Before(*next)) {
			next = &f.From
		}
	}
	log, err := tx.EntriesBetween(e.From.AddDate(0, 0, -120), e.From)
	if err != nil {
		return e, "", err
	}
	operation := operations[e.Operation]
	q := 0.0
	var states []jobs.NeckState
	for _, s := range e.Shares {
		n, ok, err := Get(tx, Necks, s.Neck)
		if err != nil {
			return e, "", err
		}
		st := jobs.NeckState{Neck: n}
		if step, has := n.Step(s.Step); ok && has {
			q += step.Quantity
			st.Steps = []jobs.StepView{{Step: step}}
		}
		states = append(states, st)
	}
	est, err := tx.NewEstimator(operations, shop).Step(e.Operation, max(q, 1))
	if err != nil {
		return e, "", err
	}
	p95 := time.Duration(est.Quantile(0.95) * float64(time.Minute))
	if p95 <= 0 {
		p95 = time.Hour
	}
	end, why := jobs.AssumedEnd(e, next, jobs.UsualEnd(e.From, log, shop), p95, tx.Now)
	e = jobs.Stop(e, operation, states, end)
	e.To, e.Assumed = &end, true
	return e, why, nil
}

// byTime orders entries by start, then number.
func byTime(es []jobs.Entry) {
	sort.SliceStable(es, func(i, j int) bool {
		if !es[i].From.Equal(es[j].From) {
			return es[i].From.Before(es[j].From)
		}
		return es[i].ID < es[j].ID
	})
}
