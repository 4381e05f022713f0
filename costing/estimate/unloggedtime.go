package estimate

import (
	"sort"
	"time"

	"bookmatch/jobs"
)

// UnloggedDays is how far back unlogged time is measured: ten weeks.
const UnloggedDays = 70

// sittingGap parts two sessions of one evening: what is between them is not
// unlogged bench time. Judgement: supper takes longer than sweeping.
const sessionGap = 90 * time.Minute

// WorkedEvenings measures the evenings of a log, in order of days: from the
// first start to the last end of what was clocked, and the work in it. Gaps
// above an hour and a half and breaks that were said (away) are taken out of
// the length. Work logged without a clock, or still on, or by another person,
// says nothing of an evening's length; an evening with an assumed end is left
// out whole.
func WorkedEvenings(log []jobs.Entry, shop jobs.Shop) []Worked {
	byDay := map[jobs.Day][]jobs.Entry{}
	unsure := map[jobs.Day]bool{}
	zone := shop.Location()
	for _, e := range log {
		day := jobs.EveningOf(e.From, zone, shop.DayEnds)
		if e.Assumed || e.ClockBack {
			unsure[day] = true
		}
		if e.To == nil || e.SpentSec > 0 || e.Person != "" {
			continue
		}
		byDay[day] = append(byDay[day], e)
	}
	var out []Worked
	for _, day := range sortedDays(byDay) {
		if unsure[day] {
			continue
		}
		es := byDay[day]
		sort.SliceStable(es, func(i, j int) bool { return es[i].From.Before(es[j].From) })
		var span, logged time.Duration
		end := es[0].From
		for _, e := range es {
			gap := e.From.Sub(end)
			if gap > 0 && gap <= sessionGap {
				span += gap
			}
			work := e.Elapsed(*e.To)
			span += work
			logged += work
			if e.To.After(end) {
				end = *e.To
			}
		}
		out = append(out, Worked{Day: day, SpanMin: span.Minutes(), LoggedMin: logged.Minutes()})
	}
	return out
}

func sortedDays(m map[jobs.Day][]jobs.Entry) []jobs.Day {
	days := make([]jobs.Day, 0, len(m))
	for d := range m {
		days = append(days, d)
	}
	sort.Slice(days, func(i, j int) bool { return days[i] < days[j] })
	return days
}

// UnloggedLately measures the unlogged time of the ten weeks before an evening;
// that evening itself, which may not be over, does not count. It enters a quote
// or a date once, and where it is it is named.
func UnloggedLately(log []jobs.Entry, shop jobs.Shop, tonight jobs.Day) Unlogged {
	return UnloggedFactor(WorkedEvenings(log, shop), tonight.Add(-UnloggedDays), tonight.Add(-1))
}
