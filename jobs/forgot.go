package jobs

import (
	"slices"
	"time"
)

// AssumedEnd gives the end to assume for an entry that was left on: the
// earliest of the next event, the usual end of that evening and the start plus
// p95 (the time that 19 of 20 such operations take, breaks not counted); never
// after now, and never before what was clocked: who said back or go at 20:50 was
// at the bench then. why names which it was.
func AssumedEnd(e Entry, next *time.Time, usual time.Time, p95 time.Duration, now time.Time) (end time.Time, why string) {
	seen := e.From
	breaks := time.Duration(0)
	for _, a := range e.Away {
		seen = later(seen, a.From)
		if a.To != nil {
			seen = later(seen, *a.To)
			breaks += max(a.To.Sub(a.From), 0)
		}
	}
	if e.Go != nil {
		seen = later(seen, *e.Go)
	}
	end, why = e.From.Add(p95+breaks), "what 19 of 20 take"
	if usual.After(e.From) && usual.Before(end) {
		end, why = usual, "the usual end of the evening"
	}
	if next != nil && !next.Before(e.From) && next.Before(end) {
		end, why = *next, "the next record"
	}
	if end.Before(seen) && seen.After(e.From) {
		end, why = seen, "the last word clocked"
	}
	if n := len(e.Away); n > 0 && e.Away[n-1].To == nil {
		end, why = seen, "going away"
	}
	if end.After(now) {
		end, why = now, "now"
	}
	if end.Before(e.From) {
		end = e.From
	}
	return end.UTC().Truncate(time.Second), why
}

func later(a, b time.Time) time.Time {
	if b.After(a) {
		return b
	}
	return a
}

// Forgotten says that an entry was left on: it runs, and the evening on which
// it began is over.
func Forgotten(e Entry, shop Shop, now time.Time) bool {
	return e.Running() && shop.Evening(e.From) < shop.Evening(now)
}

// UsualEnd gives when the evening of an instant usually ends: the median of
// the last clocked end of past evenings (the same weekday when three or more of
// those are in the log, else any), else the planned slot, else 22:30.
func UsualEnd(at time.Time, log []Entry, shop Shop) time.Time {
	zone := shop.Location()
	day := EveningOf(at, zone, shop.DayEnds)
	last := map[Day]time.Time{}
	for _, e := range log {
		if e.To == nil || e.Assumed || e.SpentSec > 0 {
			continue
		}
		d := EveningOf(e.From, zone, shop.DayEnds)
		if d < day && e.To.After(last[d]) {
			last[d] = *e.To
		}
	}
	base := noon(day, zone)
	var same, all []time.Duration
	for d, t := range last {
		off := t.Sub(noon(d, zone)) // clocks change before noon, so this is what the wall shows
		all = append(all, off)
		if d.Weekday() == day.Weekday() {
			same = append(same, off)
		}
	}
	if len(same) >= 3 {
		all = same
	}
	if len(all) >= 3 {
		slices.Sort(all)
		return base.Add(all[(len(all)-1)/2])
	}
	if slot, ok := shop.SlotOn(day); ok {
		return base.Add(time.Duration(int(slot.From)+slot.Minutes()-12*60) * time.Minute)
	}
	return base.Add(10*time.Hour + 30*time.Minute)
}

func noon(d Day, zone *time.Location) time.Time {
	y, m, date := d.Noon().Date()
	return time.Date(y, m, date, 12, 0, 0, 0, zone)
}
