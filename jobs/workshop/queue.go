package workshop

import (
	"cmp"
	"slices"

	"bookmatch/costing/estimate"
	"bookmatch/costing/schedule"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// Queue gives the necks on the bench with what is left of each, in the order in
// which they are promised: priority, due date, code. Held necks, those with
// nothing left and the ones named are left out.
func (b *Book) Queue(without ...string) ([]schedule.QueueNeck, error) {
	necks, err := b.NecksOf(jobs.Open)
	if err != nil {
		return nil, err
	}
	necks = slices.DeleteFunc(necks, func(n jobs.Neck) bool { return slices.Contains(without, n.Code) })
	slices.SortStableFunc(necks, func(a, b jobs.Neck) int {
		due := func(n jobs.Neck) string { return cmp.Or(string(n.Due), "9999") }
		return cmp.Or(cmp.Compare(b.Priority, a.Priority), cmp.Compare(due(a), due(b)), cmp.Compare(a.Code, b.Code))
	})
	var out []schedule.QueueNeck
	for _, n := range necks {
		q, err := b.queueNeck(n)
		if err != nil {
			return nil, err
		}
		if len(q.Steps) > 0 {
			out = append(out, q)
		}
	}
	return out, nil
}

// queueNeck gives a neck with its open steps, and those whose cures still run;
// no step at all when nothing is left to do.
func (b *Book) queueNeck(n jobs.Neck) (schedule.QueueNeck, error) {
	q := schedule.QueueNeck{Name: n.Name(), Starts: n.Starts}
	st, err := b.NeckState(n)
	if err != nil {
		return q, err
	}
	now := b.Wall(b.Now)
	steps, views, err := b.planSteps(st, now)
	if err != nil {
		return q, err
	}
	place, left := map[int]int{}, 0
	for i, s := range steps {
		if views[i].State == jobs.On { // what runs is still to do
			s.Done = false
		}
		if s.Done && s.DoneMin+max(s.HandledMin, s.CuredMin) <= 0 && !b.waitedFor(steps, i) {
			continue
		}
		w := estimate.Work{Name: s.Operation}
		if !s.Done {
			left++
			o := b.Operations[jobs.PresentName(views[i].Operation, b.Operations)]
			e, _, err := b.stepLeft(views[i], o)
			if err != nil {
				return q, err
			}
			w.Estimate, w.Rework = e.Brief(), o.ReworkChance
		}
		place[i] = len(q.Steps)
		q.Steps, q.Works = append(q.Steps, s), append(q.Works, w)
	}
	if left == 0 {
		return schedule.QueueNeck{}, nil
	}
	orders := false
	for i := range q.Steps {
		s := &q.Steps[i]
		var needs []schedule.Need
		for _, need := range s.Needs {
			if k, kept := place[need.Step]; kept {
				needs = append(needs, schedule.Need{Step: k, WaitMin: need.WaitMin})
			}
		}
		s.Needs = needs
	}
	for _, v := range views {
		orders = orders || v.Operation == orderParts
	}
	if !orders { // else the errand carries their lead time
		parts, err := store.By(b.Tx, store.Parts, store.PartsByNeck, n.Code)
		if err != nil {
			return q, err
		}
		q.Parts = jobs.Expected(parts, b.today())
	}
	return q, nil
}

// waitedFor says that an open step still waits for hours after a step that is
// done.
func (b *Book) waitedFor(steps []schedule.Step, done int) bool {
	for _, s := range steps {
		for _, n := range s.Needs {
			if n.Step == done && !s.Done && steps[done].DoneMin+n.WaitMin > 0 {
				return true
			}
		}
	}
	return false
}
