package workshop

import (
	"cmp"
	"slices"

	"bookmatch/costing/estimate"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// How much of the log the estimates read. With a half-life of eight past jobs an
// older one no longer moves them, and a long log must not slow the bench down.
const (
	operationDepth = 64  // entries of one operation
	paceDepth      = 128 // entries of all operations
)

// Estimator answers for any operation and quantity from the log as the book has
// it. The past jobs of each operation are read once.
type Estimator struct {
	book     *Book
	pace     *estimate.Pace
	pastJobs map[string][]estimate.PastJob
}

// NewEstimator prepares estimates.
func (b *Book) NewEstimator() *Estimator {
	return &Estimator{book: b, pastJobs: map[string][]estimate.PastJob{}}
}

// Pace of the shop over all operations, from the newest entries.
func (x *Estimator) Pace() (estimate.Pace, error) {
	if x.pace == nil {
		entries, err := x.book.LatestEntries(paceDepth)
		if err != nil {
			return estimate.Pace{}, err
		}
		pastJobs, err := x.book.pastJobsOf(entries)
		if err != nil {
			return estimate.Pace{}, err
		}
		p := estimate.ShopPace(pastJobs, estimate.Settings{})
		x.pace = &p
	}
	return *x.pace, nil
}

// PastJobs gives those of an operation, oldest first.
func (x *Estimator) PastJobs(operation string) ([]estimate.PastJob, error) {
	if s, ok := x.pastJobs[operation]; ok {
		return s, nil
	}
	entries, err := x.book.OperationEntries(operation)
	if err != nil {
		return nil, err
	}
	s, err := x.book.pastJobsOf(entries)
	if err == nil {
		x.pastJobs[operation] = s
	}
	return s, err
}

// Step estimates q units of an operation. An operation without a record gives
// the zero estimate with its warning.
func (x *Estimator) Step(operation string, q float64) (estimate.Estimate, error) {
	operation = jobs.PresentName(operation, x.book.Operations)
	s, err := x.PastJobs(operation)
	if err != nil {
		return estimate.Estimate{}, err
	}
	p, err := x.Pace()
	if err != nil {
		return estimate.Estimate{}, err
	}
	return estimate.ForStep(estimate.StandardOf(x.book.Operations[operation]), q, s, p, estimate.Settings{}), nil
}

// OperationEntries gives the newest entries of an operation, oldest first, with
// those logged under names that it had before.
func (b *Book) OperationEntries(operation string) ([]jobs.Entry, error) {
	operation = jobs.PresentName(operation, b.Operations)
	entries, err := store.Latest(b.Tx, store.Entries, store.EntriesByOperation, operation, operationDepth)
	if err != nil {
		return nil, err
	}
	for _, was := range b.Operations[operation].Was {
		if len(entries) >= operationDepth {
			break
		}
		old, err := store.Latest(b.Tx, store.Entries, store.EntriesByOperation, was, operationDepth-len(entries))
		if err != nil {
			return nil, err
		}
		entries = append(entries, old...)
	}
	slices.SortStableFunc(entries, func(a, c jobs.Entry) int { return cmp.Or(a.From.Compare(c.From), cmp.Compare(a.ID, c.ID)) })
	return entries, nil
}

// samplesOf turns entries into past jobs whose expected time holds the difficulty
// that their necks' steps were given, so that a hard inlay does not teach that
// all inlays are slow.
func (b *Book) pastJobsOf(entries []jobs.Entry) ([]estimate.PastJob, error) {
	passes := jobs.Passes(entries, b.Shop, b.Now)
	out := make([]estimate.PastJob, 0, len(passes))
	for _, p := range passes {
		operation, ok := b.Operations[p.Operation]
		if !ok {
			continue
		}
		s := estimate.PastJobOf(p, operation)
		sum, weight := 0.0, 0.0
		for _, share := range p.Shares {
			n, err := b.Neck(share.Neck)
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
			s.StandardMin = estimate.StandardOf(operation).Expected(s)
		}
		out = append(out, s)
	}
	return out, nil
}
