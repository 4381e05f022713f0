package workshop

import (
	"cmp"
	"slices"
	"time"

	"bookmatch/costing/estimate"
	"bookmatch/costing/schedule"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// How far back the calendar reads the log.
const (
	calendarWeeks = 26 // of which evenings were worked
	unloggedWeeks = 10 // of unlogged time
)

// Calendar gives what the log says of the shop's evenings, and its unlogged
// time over the last ten weeks. Days before the log began are not missed
// evenings, and tonight is not judged yet.
func (b *Book) Calendar() (schedule.Calendar, estimate.Unlogged, error) {
	tonight := b.Shop.Evening(b.Now)
	worked, err := b.WorkedEvenings(tonight.Add(-7*calendarWeeks), tonight.Add(-1))
	if err != nil {
		return schedule.Calendar{}, estimate.Unlogged{}, err
	}
	cal := schedule.NewCalendar(b.Shop)
	unlogged := estimate.UnloggedFactor(worked, tonight.Add(-7*unloggedWeeks), tonight.Add(-1))
	if len(worked) > 0 {
		cal = cal.Learn(worked, worked[0].Day, tonight.Add(-1))
	}
	cal.Unlogged = unlogged.Factor
	return cal, unlogged, nil
}

// WorkedEvenings gives the evenings of the log from first to last, in order.
// Work logged without a clock, or with an assumed end, makes an evening worked
// but says nothing of its length.
func (b *Book) WorkedEvenings(first, last jobs.Day) ([]estimate.Worked, error) {
	entries, err := b.EntriesBetween(first.Noon().Add(-24*time.Hour), last.Noon().Add(48*time.Hour))
	if err != nil {
		return nil, err
	}
	entries = b.settleView(entries)
	out := estimate.WorkedEvenings(entries, b.Shop)
	known := map[jobs.Day]bool{}
	for _, w := range out {
		known[w.Day] = true
	}
	for _, e := range entries {
		if day := b.Shop.Evening(e.From); !known[day] && e.Person == "" {
			known[day] = true
			out = append(out, estimate.Worked{Day: day})
		}
	}
	out = slices.DeleteFunc(out, func(w estimate.Worked) bool { return w.Day < first || w.Day > last })
	slices.SortFunc(out, func(a, b estimate.Worked) int { return cmp.Compare(a.Day, b.Day) })
	return out, nil
}

// OpenJobs gives the necks on the bench with what is left of each, in the
// order in which they are promised: priority, due date, code. Held necks and
// the ones named are left out.
func (b *Book) OpenJobs(without ...string) ([]schedule.Job, error) {
	necks, err := b.NecksOf(jobs.Open)
	if err != nil {
		return nil, err
	}
	necks = slices.DeleteFunc(necks, func(n jobs.Neck) bool { return slices.Contains(without, n.Code) })
	slices.SortStableFunc(necks, func(a, b jobs.Neck) int {
		due := func(n jobs.Neck) string { return cmp.Or(string(n.Due), "9999") }
		return cmp.Or(cmp.Compare(b.Priority, a.Priority), cmp.Compare(due(a), due(b)), cmp.Compare(a.Code, b.Code))
	})
	est := b.NewEstimator()
	var out []schedule.Job
	for _, n := range necks {
		j, err := b.openJob(n, est)
		if err != nil {
			return nil, err
		}
		if len(j.Tasks) > 0 {
			out = append(out, j)
		}
	}
	return out, nil
}

func (b *Book) openJob(n jobs.Neck, est *Estimator) (schedule.Job, error) {
	j := schedule.Job{Name: n.Name(), Starts: n.Starts}
	st, err := b.NeckState(n)
	if err != nil {
		return j, err
	}
	for _, v := range st.Steps {
		if v.State == jobs.Skipped {
			continue
		}
		if v.DoneAt != nil {
			if v.ReadyAt != nil && v.ReadyAt.After(b.Now) && v.ReadyAt.After(j.Ready) {
				j.Ready = *v.ReadyAt
			}
			continue
		}
		k := b.Operations[v.Operation]
		e, err := est.Step(v.Operation, v.Quantity)
		if err != nil {
			return j, err
		}
		e = e.Brief().Times(v.Difficulty)
		j.Tasks = append(j.Tasks, schedule.Task{Work: estimate.Work{Name: v.Operation, Estimate: e, Rework: k.ReworkChance}, SetupMin: k.SetupMin * e.Pace, CureMin: k.CureMin,
			NoStop: k.NoStop, Noise: k.Noise, Hardware: k.Hardware, DoneMin: v.Actual.Minutes()})
	}
	parts, err := store.By(b.Tx, store.Parts, store.PartsByNeck, n.Code)
	if err != nil {
		return j, err
	}
	j.Parts = jobs.Expected(parts, b.today())
	return j, nil
}
