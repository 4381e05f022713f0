package workshop

import (
	"cmp"
	"slices"
	"time"

	"bookmatch/costing/estimate"
	"bookmatch/costing/schedule"
	"bookmatch/jobs"
)

// How far back the calendar reads the log.
const (
	calendarWeeks = 26 // of which evenings were worked
	unloggedWeeks = 10 // of unlogged time
)

// Calendar gives what the log says of the shop's evenings, and its unlogged
// time over the last ten weeks. Days before the log began are not missed
// evenings, and tonight is not judged yet.
func (b *Book) Calendar() (schedule.Habits, estimate.Unlogged, error) {
	tonight := b.Shop.Evening(b.Now)
	last := tonight.Add(-1)
	worked, err := b.WorkedEvenings(tonight.Add(-7*calendarWeeks), last)
	if err != nil {
		return schedule.Habits{}, estimate.Unlogged{}, err
	}
	var days []jobs.Day
	var seen []schedule.Seen
	var starts []schedule.Choice
	if len(worked) > 0 && len(b.Shop.Evenings) > 0 {
		p, err := b.logged(worked[0].Day, last)
		if err != nil {
			return schedule.Habits{}, estimate.Unlogged{}, err
		}
		days, seen = p.evenings(worked)
		starts = p.starts()
	}
	cal := schedule.LearnHabits(b.Shop, days, seen, worked, starts)
	unlogged := estimate.UnloggedFactor(worked, tonight.Add(-7*unloggedWeeks), last)
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
