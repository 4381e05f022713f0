package store

import "bookmatch/jobs"

// CurrentPlan gives the newest version of a neck's layout plan, if it has one.
func (tx *Tx) CurrentPlan(neck string) (jobs.Plan, bool, error) {
	var last jobs.Plan
	found := false
	for p, err := range EachOf(tx, Plans, neck) {
		if err != nil {
			return last, false, err
		}
		last, found = p, true
	}
	return last, found, nil
}
