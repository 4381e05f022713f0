package estimate

import "bookmatch/jobs"

// PastJobOf turns a pass into a past job of its operation. A pass that teaches nothing
// keeps the reason, and so does one that ended before the operation was restarted
// with `from here`: it stays visible and does not count.
func PastJobOf(p jobs.Pass, k jobs.Operation) PastJob {
	s := PastJob{Operation: p.Operation, Quantity: p.Quantity(), SetupsResumed: p.Resumed(), Minutes: p.Elapsed.Minutes(),
		When: p.To, Necks: p.Necks(), Own: k.Own, Excluded: p.Excluded()}
	if n := len(p.Evenings); n > 0 {
		s.Evening = string(p.Evenings[n-1])
	}
	if s.Excluded == "" && k.From != nil && p.To.Before(*k.From) {
		s.Excluded = "before from here"
	}
	s.StandardMin = StandardOf(k).Expected(s)
	return s
}
