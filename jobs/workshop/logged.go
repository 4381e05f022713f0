package workshop

import (
	"slices"
	"time"

	"bookmatch/costing/estimate"
	"bookmatch/costing/schedule"
	"bookmatch/jobs"
)

// loggedTime is the log of the last months with the necks it speaks of, to tell what
// could have been started at a moment of it.
type loggedTime struct {
	*Book
	first, last jobs.Day
	entries     []jobs.Entry // clocked by the builder, in order
	necks       []loggedNeck
}

// loggedNeck is a neck as it is now: minutes count from now.
type loggedNeck struct {
	neck  jobs.Neck
	steps []schedule.Step
	views []jobs.StepView
}

// overMin: an evening that ends so near to its planned end was not cut short by
// a lack of work (judgement).
const overMin = 15

// logged reads the log from first to last and the necks in it, with those open now.
func (b *Book) logged(first, last jobs.Day) (*loggedTime, error) {
	p := &loggedTime{Book: b, first: first, last: last}
	entries, err := b.EntriesBetween(first.Noon().Add(-24*time.Hour), last.Noon().Add(48*time.Hour))
	if err != nil {
		return nil, err
	}
	necks, err := b.BenchNecks()
	if err != nil {
		return nil, err
	}
	known := map[string]bool{}
	for _, n := range necks {
		known[n.Code] = true
	}
	for _, e := range b.settleView(entries) {
		if e.To == nil || e.SpentSec > 0 || e.Person != "" {
			continue
		}
		p.entries = append(p.entries, e)
		for _, s := range e.Shares {
			if known[s.Neck] {
				continue
			}
			known[s.Neck] = true
			n, err := b.Neck(s.Neck)
			if err != nil {
				return nil, err
			}
			necks = append(necks, n)
		}
	}
	slices.SortStableFunc(p.entries, func(x, y jobs.Entry) int { return x.From.Compare(y.From) })
	for _, n := range necks {
		st, err := b.NeckState(n)
		if err != nil {
			return nil, err
		}
		x := loggedNeck{neck: n}
		if x.steps, x.views, err = b.planSteps(st, b.Now); err != nil {
			return nil, err
		}
		p.necks = append(p.necks, x)
	}
	return p, nil
}

// at gives the necks that were on the bench at a moment, with the steps as they
// were then, and which neck of the log each is.
func (p *loggedTime) at(t time.Time) (out []schedule.Neck, which []int) {
	ago := t.Sub(p.Now).Minutes()
	for k, x := range p.necks {
		if x.neck.Added.After(t) || x.neck.Closed != nil && !x.neck.Closed.After(t) {
			continue
		}
		n := schedule.Neck{Code: x.neck.Code, Steps: slices.Clone(x.steps)}
		for i := range n.Steps {
			s := &n.Steps[i]
			s.Done = s.Done && s.DoneMin <= ago && x.views[i].State != jobs.On
			s.DoneMin -= ago
		}
		out, which = append(out, n), append(which, k)
	}
	return out, which
}

// room is the evening from a moment to its planned end.
func (p *loggedTime) room(t, until time.Time) schedule.Evening {
	e := schedule.Evening{Minutes: int(until.Sub(t).Minutes()), ClampSets: p.Shop.Clamps, DustFreeRoom: p.Shop.DustFree}
	e.NoiseUntil, e.MachinesUntil = e.Minutes, e.Minutes
	if p.Shop.QuietAfter > 0 {
		if quiet, err := p.quietAt(p.Shop.Evening(t)); err == nil {
			e.NoiseUntil = min(e.NoiseUntil, int(quiet.Sub(t).Minutes()))
		}
	}
	return e
}

// nothing says that no step of any neck could be started at a moment and fit the
// time to the planned end.
func (p *loggedTime) nothing(t, until time.Time) bool {
	necks, _ := p.at(t)
	e := p.room(t, until)
	for k := range necks {
		if len(schedule.Startable(necks, k, e)) > 0 {
			return false
		}
	}
	return true
}

// evenings gives every planned evening and what the log shows of it.
func (p *loggedTime) evenings(worked []estimate.Worked) (days []jobs.Day, seen []schedule.Seen) {
	spans, ends := map[jobs.Day]float64{}, map[jobs.Day]time.Time{}
	for _, w := range worked {
		spans[w.Day] = max(w.SpanMin, 1) // work without a clock says that somebody came
	}
	for _, e := range p.entries {
		if day := p.Shop.Evening(e.From); e.To.After(ends[day]) {
			ends[day] = *e.To
		}
	}
	for day := p.first; day <= p.last; day = day.Add(1) {
		slot, planned := p.Shop.SlotOn(day)
		if !planned {
			continue
		}
		from, err := jobs.WallTime(day, slot.From, p.Shop.Location(), "")
		if err != nil {
			continue
		}
		until := from.Add(time.Duration(slot.Minutes()) * time.Minute)
		s := schedule.Seen{PlannedMin: float64(slot.Minutes()), SpanMin: spans[day]}
		end, clocked := ends[day]
		switch {
		case s.SpanMin == 0:
			s.Idle = p.nothing(from, until)
		case clocked && until.Sub(end) >= overMin*time.Minute:
			s.AtLeast = p.nothing(end, until)
		}
		days, seen = append(days, day), append(seen, s)
	}
	return days, seen
}

// starts gives what the builder began of what a neck offered.
func (p *loggedTime) starts() (out []schedule.Choice) {
	for _, e := range p.entries {
		if e.Class != jobs.First || len(e.Shares) != 1 || e.From.Before(p.first.Noon().Add(-12*time.Hour)) {
			continue
		}
		necks, which := p.at(e.From)
		for k, w := range which {
			x := p.necks[w]
			if x.neck.Code != e.Shares[0].Neck {
				continue
			}
			can := schedule.Startable(necks, k, p.room(e.From, e.From.Add(4*time.Hour)))
			i := slices.IndexFunc(x.views, func(v jobs.StepView) bool { return v.No == e.Shares[0].Step })
			if slices.Contains(can, i) {
				out = append(out, schedule.Choice{Options: len(can), First: can[0] == i})
			}
		}
	}
	return out
}
