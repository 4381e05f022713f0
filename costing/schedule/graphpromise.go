package schedule

import (
	"math"
	"sort"
	"time"

	"bookmatch/costing/estimate"
	"bookmatch/jobs"
)

// Forecast is when a neck will be finished and the hours it will take, from one
// walk over its graph.
type Forecast struct {
	Likely jobs.Day // as likely before as after
	Safe   jobs.Day // with 80 %
	P90    jobs.Day
	Hours  WalkHours
	// Shortest is R: how many evenings it takes at least, with the bench to itself.
	Shortest float64
	Path     []string // the steps of the longest path
	Moves    []Move   // what moves the safe date most
	Draws    int
	Seed     uint64
}

// WalkHours are hours at the bench, without unlogged time. Setups that come
// again when a step is resumed on another evening are in them.
type WalkHours struct {
	P50, P80, P90, Mean float64
	// ResumedMin are the minutes of those setups on average, Resumed how often
	// each step is taken up again.
	ResumedMin float64
	Resumed    []float64 // by step
}

// Bench is what a walk must know of the room.
type Bench struct {
	ClampSets    int
	DustFreeRoom bool
}

// WalkGraph simulates the evenings from now until own is finished, with the
// necks before it: which planned evenings are worked, which steps are ready,
// what fits, what cures. One walk gives dates and hours. Wall-clock minutes are
// walked: an hour gained or lost at a clock change does not move a date.
func WalkGraph(now time.Time, own QueueNeck, before []QueueNeck, cal Habits, bench Bench, set estimate.Settings) Forecast {
	set = set.WithDefaults()
	out := Forecast{Draws: set.DateDraws, Seed: set.Seed}
	base := future{now: now, necks: append(append([]QueueNeck(nil), before...), own), cal: cal, clamps: bench.ClampSets, dustFree: bench.DustFreeRoom}
	w := newGraphWalk(base, set)
	days, hours, resumed := w.run(set.DateDraws)
	today := jobs.DayOf(now)
	date := func(n int) jobs.Day {
		if n >= promiseHorizon {
			return ""
		}
		return today.Add(n)
	}
	out.Likely, out.Safe, out.P90 = date(middleDay(days)), date(dayFor(days, 0.8)), date(dayFor(days, 0.9))
	out.Hours = walkHours(own, hours, resumed)
	out.Shortest, out.Path = shortest(own, now, cal)
	if len(cal.Slots) > 0 {
		out.Moves = graphMoves(base, set)
	}
	return out
}

// run walks so many draws. It gives, sorted, the days until the last neck is
// finished and its hours, and how often each of its steps is resumed on average.
func (w *graphWalk) run(draws int) (days []int, hours, resumed []float64) {
	own := &w.necks[len(w.necks)-1]
	resumed = make([]float64, len(own.Steps))
	for i := range draws {
		days = append(days, w.draw(uint64(i)))
		hours = append(hours, own.worked/60)
		for k, n := range own.resumed {
			resumed[k] += float64(n) / float64(draws)
		}
	}
	sort.Ints(days)
	sort.Float64s(hours)
	return days, hours, resumed
}

// walkHours puts the hours together. The mean is that of the estimates, which
// add, with the setups that come again.
func walkHours(own QueueNeck, hours, resumed []float64) WalkHours {
	at := func(p float64) float64 { return hours[max(int(math.Ceil(p*float64(len(hours))))-1, 0)] }
	h := WalkHours{P50: at(0.5), P80: at(0.8), P90: at(0.9), Resumed: resumed}
	for i, s := range own.Steps {
		if s.Done {
			continue
		}
		e := own.Works[i].Estimate
		mean := e.MeanMin * (1 + own.Works[i].Rework)
		again := mean * s.MeanSetupMin / max(s.MeanSetupMin+s.MeanRunMin, 1e-9) * resumed[i]
		h.Mean += (mean + again) / 60
		h.ResumedMin += again
	}
	return h
}

// ResumptionsWithout gives how often a step that may be left midway is resumed
// where there is no calendar: from its run minutes and the usable minutes of an
// evening. The line fits simulated shops (computed).
func ResumptionsWithout(runMin, usableMin float64) float64 {
	if usableMin <= 0 {
		return 0
	}
	return max(0, 1.2*(runMin/usableMin-0.15))
}

// shortest counts the evenings a neck takes at least and names its longest
// path.
func shortest(own QueueNeck, now time.Time, cal Habits) (float64, []string) {
	day := jobs.DayOf(now)
	minute := float64(now.Hour()*60 + now.Minute())
	off := map[jobs.Day]bool{}
	for _, h := range cal.Holidays {
		off[h] = true
	}
	e := Evening{Unlogged: cal.Unlogged}
	for d := 0; d < 12*7; d++ {
		for _, s := range cal.Slots {
			from := float64(d*dayMinutes+int(s.From)) - minute
			if s.Day == day.Add(d).Weekday() && !off[day.Add(d)] && from >= 0 {
				e.Later = append(e.Later, Window{from, from + float64(s.Minutes())*cal.Length})
				e.UsualMin += float64(s.Minutes()) * cal.Length
			}
		}
	}
	if len(e.Later) == 0 {
		return 0, nil
	}
	e.UsualMin /= float64(len(e.Later))
	sort.Slice(e.Later, func(i, j int) bool { return e.Later[i].FromMin < e.Later[j].FromMin })
	row := newEvenings(e.Later)
	o, ok := newOutlook(own.Steps, &row, e)
	if !ok {
		return 0, nil
	}
	r := o.evenings(o.now(), 1)
	return r, o.path()
}

// path gives the names of the longest path of the last count, first step
// first: from the step that ends last, each time the need that lets it begin.
func (o *outlook) path() (names []string) {
	last := -1
	for _, i := range o.order {
		if !o.steps[i].Done && (last < 0 || o.finish[i] > o.finish[last]) {
			last = i
		}
	}
	for last >= 0 {
		names = append([]string{o.steps[last].Name}, names...)
		best, at := -1, math.Inf(-1)
		for _, n := range o.steps[last].Needs {
			if o.steps[n.Step].Done {
				continue
			}
			ready := o.finish[n.Step]
			if n.WaitMin > 0 {
				ready = o.row.position(o.row.moment(ready) + n.WaitMin)
			}
			if ready > at {
				best, at = n.Step, ready
			}
		}
		last = best
	}
	return names
}
