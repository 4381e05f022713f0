package workshop

import (
	"fmt"
	"math"
	"strings"
	"time"

	"bookmatch/costing/schedule"
	"bookmatch/jobs"
)

// What tonight counts with where the records say nothing. Judgement.
const (
	usualEveningMin = 150
	laterWeeks      = 12
	longestUntil    = 18 * time.Hour
)

// clockOrHour reads a time; 22 is 22:00.
func clockOrHour(field, v string) (jobs.Clock, error) {
	if h := strings.TrimSpace(v); len(h) <= 2 && h != "" && strings.Trim(h, "0123456789") == "" {
		if c, err := jobs.ParseClock(field, h+":00"); err == nil {
			return c, nil
		}
	}
	return jobs.ParseClock(field, v)
}

// tonightHours gives from and until: what was asked for, else the plan of the
// evening, else the usual end. Long before a planned evening the plan's start
// counts. A step that runs takes its safe time first.
func (b *Book) tonightHours(ask *TonightAsk) (from, until time.Time, err error) {
	zone := b.Shop.Location()
	day := b.Tonight()
	slot, planned := b.Shop.SlotOn(day)
	if from, err = b.tonightFrom(ask, day, slot, planned); err != nil {
		return from, until, err
	}
	if ask.Until != "" {
		clock, err := clockOrHour("until", ask.Until)
		if err != nil {
			return from, until, err
		}
		if until, err = jobs.NextWall(b.Now, clock, zone, ""); err != nil {
			return from, until, err
		}
		if until.Sub(b.Now) > longestUntil {
			return from, until, &jobs.FieldError{Field: "until", Value: ask.Until, Want: "a time still to come, it is " + b.Clock(b.Now) + ", such as " + b.Clock(b.Now.Add(time.Hour))}
		}
	} else if until, err = b.tonightEnd(day, slot, planned); err != nil {
		return from, until, err
	}
	if !from.Before(until) {
		if ask.From != "" {
			return from, until, &jobs.FieldError{Field: "from", Value: ask.From, Want: fmt.Sprintf("a time still to come, before %s, such as %s", b.Clock(until), b.Clock(b.Now))}
		}
		from = b.Now // the plan starts later than the hour given ends
	}
	return from, until, nil
}

func (b *Book) tonightFrom(ask *TonightAsk, day jobs.Day, slot jobs.Slot, planned bool) (time.Time, error) {
	zone := b.Shop.Location()
	if ask.From != "" {
		clock, err := clockOrHour("from", ask.From)
		if err != nil {
			return b.Now, err
		}
		return jobs.NextWall(b.Now.Add(-time.Second), clock, zone, "")
	}
	if planned {
		if at, err := jobs.WallTime(day, slot.From, zone, ""); err == nil && at.Sub(b.Now) > 2*time.Hour {
			return at, nil
		}
	}
	return b.Now, nil
}

// tonightEnd is when the evening is planned to end, until that is over, else
// when evenings usually end.
func (b *Book) tonightEnd(day jobs.Day, slot jobs.Slot, planned bool) (time.Time, error) {
	log, err := b.EntriesBetween(b.Now.AddDate(0, 0, -120), b.Now)
	if err != nil {
		return b.Now, err
	}
	until := jobs.UsualEnd(b.Now, log, b.Shop)
	if planned {
		at, err := jobs.NextWall(day.Noon().Add(-6*time.Hour), slot.To, b.Shop.Location(), "")
		if err == nil && (at.After(b.Now) || at.After(until)) {
			until = at
		}
	}
	if !until.After(b.Now) {
		return until, jobs.Refuse("late", fmt.Sprintf("it is %s, and the evening usually ends at %s", b.Clock(b.Now), b.Clock(until)), "tonight --until "+b.Clock(b.Now.Add(time.Hour)))
	}
	return until, nil
}

// runsUntil is when the step that runs is safely over; zero when nothing runs.
func (b *Book) runsUntil() (jobs.Entry, time.Time, error) {
	on, running, err := b.RunningEntry()
	if err != nil || !running || jobs.Forgotten(on, b.Shop, b.Now) {
		return on, time.Time{}, err
	}
	states, err := b.ShareStates(on)
	if err != nil {
		return on, time.Time{}, err
	}
	est, err := b.Est().Step(on.Operation, PlannedOf(on, states))
	return on, on.From.Add(time.Duration(math.Ceil(est.SafeMin)) * time.Minute), err
}

// evening gives tonight and the planned evenings after it for the search.
// Without planned evenings the same hours every third day are assumed.
func (b *Book) evening(from, until time.Time, unlogged float64) (schedule.Evening, error) {
	e := schedule.Evening{Minutes: int(until.Sub(from).Minutes()), ClampSets: b.Shop.Clamps, DustFreeRoom: b.Shop.DustFree, Unlogged: max(unlogged, 1)}
	e.NoiseUntil, e.MachinesUntil = e.Minutes, e.Minutes
	day := b.Tonight()
	if b.Shop.QuietAfter > 0 {
		if at, err := b.quietAt(day); err == nil {
			e.NoiseUntil = min(e.NoiseUntil, int(math.Floor(at.Sub(from).Minutes())))
		}
	}
	began, err := b.eveningBegan(from)
	if err != nil {
		return e, err
	}
	if b.Shop.TiredAfterH > 0 {
		e.MachinesUntil = min(e.MachinesUntil, int(began.Add(time.Duration(b.Shop.TiredAfterH*float64(time.Hour))).Sub(from).Minutes()))
	}
	for i := 1; i <= laterWeeks*7; i++ {
		if slot, ok := b.Shop.SlotOn(day.Add(i)); ok {
			if at, err := jobs.WallTime(day.Add(i), slot.From, b.Shop.Location(), ""); err == nil {
				m := at.Sub(from).Minutes()
				e.Later = append(e.Later, schedule.Window{FromMin: m, ToMin: m + float64(slot.Minutes())})
				e.UsualMin += float64(slot.Minutes())
			}
		}
	}
	for i := 3; len(b.Shop.Evenings) == 0 && i <= laterWeeks*7; i += 3 {
		e.Later = append(e.Later, schedule.Window{FromMin: float64(i) * 24 * 60, ToMin: float64(i)*24*60 + usualEveningMin})
		e.UsualMin += usualEveningMin
	}
	if n := len(e.Later); n > 0 {
		e.UsualMin /= float64(n)
	} else {
		e.UsualMin = usualEveningMin
	}
	return e, nil
}

// eveningBegan is when the first work of tonight began, else from.
func (b *Book) eveningBegan(from time.Time) (time.Time, error) {
	entries, err := b.Evening(b.Shop, b.Tonight())
	for _, e := range entries {
		if e.SpentSec == 0 && e.From.Before(from) {
			from = e.From
		}
	}
	return from, err
}
