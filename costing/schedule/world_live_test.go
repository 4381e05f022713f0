package schedule

import (
	"math"

	"bookmatch/jobs"
)

// ready says whether a step may begin at a minute.
func (w *world) ready(necks []*worldNeck, n *worldNeck, i int, at float64) bool {
	s := &n.steps[i]
	if !math.IsNaN(n.end[i]) || at < float64(n.from*dayMinutes) {
		return false
	}
	for _, nd := range s.Needs {
		if !(at >= n.end[nd.Step]+nd.WaitMin) {
			return false
		}
	}
	clamps := 0
	for _, m := range necks {
		for j := range m.steps {
			e := &m.steps[j]
			if math.IsNaN(m.end[j]) {
				continue
			}
			if at < m.end[j]+e.HandledMin {
				clamps += e.Clamps
				if e.Marks.Has(Wet) && s.Marks.Has(Dusty) {
					return false
				}
			}
			if m == n && at < m.end[j]+touch(s, e) {
				return false
			}
		}
	}
	return s.Clamps == 0 || clamps+s.Clamps <= 4
}

// couldStart is what the log can tell of the end of an evening: whether a step
// of any neck was ready that by its standard fits the time to the usual end.
func (w *world) couldStart(necks []*worldNeck, now, usual, quiet float64) bool {
	if usual-now < 15 {
		return true // it was over anyhow
	}
	for _, n := range necks {
		for i := range n.steps {
			s := &n.steps[i]
			until := usual
			if s.Marks.Has(Noisy) {
				until = min(until, quiet)
			}
			o := w.ops[s.Operation]
			need := (o.SetupMin + o.RunMin*n.quantities[i]) * 1.2
			if s.Marks.Has(Resumable) {
				need = min(need, 20)
			}
			if w.ready(necks, n, i, now) && now+need <= until {
				return true
			}
		}
	}
	return false
}

// option is a step that the builder thinks he can begin.
type option struct {
	n *worldNeck
	i int
}

// before is the rule of thumb that the log is compared with: glue-ups last,
// then the longer path behind.
func (o option) before(p option) bool {
	glue := func(o option) bool { return o.n.steps[o.i].HandledMin >= closerMin && o.n.steps[o.i].Place != Off }
	if glue(o) != glue(p) {
		return glue(p)
	}
	return o.n.behind[o.i] > p.n.behind[p.i]
}

// evening works from a minute to another. It gives what the log will say;
// usual is the planned end.
func (w *world) evening(necks []*worldNeck, from, to, usual, quiet float64) Seen {
	unlogged := w.unlogged * math.Exp(0.06*w.NormFloat64())
	now, dusty := from, false
	for now < to {
		var options []option
		for _, n := range necks {
			for i := range n.steps {
				s := &n.steps[i]
				if !w.ready(necks, n, i, now) || s.Marks.Has(Noisy) && now >= quiet || dusty && s.Marks.Has(Wet) {
					continue
				}
				thinks := (n.setup[i] + n.run[i]) * unlogged * math.Exp(w.misjudge*w.NormFloat64())
				until := to
				if s.Marks.Has(Noisy) {
					until = min(to, quiet)
				}
				fits := now+thinks <= until
				if s.Marks.Has(Resumable) {
					fits = fits || until-now >= 20
				}
				// What is longer than a whole evening is started on a fresh one.
				fits = fits || now == from && thinks > until-now
				if fits {
					options = append(options, option{n, i})
				}
			}
		}
		if len(options) == 0 {
			break
		}
		pick := options[w.IntN(len(options))]
		if w.Float64() < w.habit {
			// By habit: the first neck of the queue, and near the end a glue-up.
			first := 0
			for first < len(options) && options[first].n == options[0].n {
				first++
			}
			pick = options[w.IntN(first)]
			if to-now < 70 {
				for _, o := range options {
					if o.n.steps[o.i].HandledMin > 60 {
						pick = o
					}
				}
			}
		}
		first, own := pick, 0
		for _, o := range options {
			if o.n == pick.n {
				own++
				if o.before(first) {
					first = o
				}
			}
		}
		w.starts = append(w.starts, Choice{own, first == pick})
		n, i := pick.n, pick.i
		s := &n.steps[i]
		if n.started[i] {
			n.resumed[i]++
		}
		n.started[i] = true
		dusty = dusty || s.Marks.Has(Dusty)
		until := to + w.between(0, 15) // he stays a little to finish
		if s.Marks.Has(Noisy) && !s.Marks.Has(NoStop) {
			until = min(until, max(quiet, now+5))
		}
		if s.Marks.Has(NoStop) || s.Marks.Has(IsErrand) {
			until = math.Inf(1)
		}
		setup := n.setup[i]
		if minutes := (setup + n.run[i]) * unlogged; now+minutes > until {
			worked := (until - now) / unlogged
			n.logged[i] += worked
			n.run[i] -= max(0, worked-setup)
			now = until
			continue
		}
		n.logged[i] += setup + n.run[i]
		now += (setup + n.run[i]) * unlogged
		n.run[i] = 0
		n.end[i] = now
	}
	starved := !w.couldStart(necks, now, usual, quiet)
	return Seen{PlannedMin: usual - from, SpanMin: now - from, AtLeast: starved, Idle: now == from && starved}
}

// live walks the days from one on until all necks are finished or days are
// over, and calls after each evening with what was seen of it.
func (w *world) live(necks []*worldNeck, day, days int, done func() bool, after func(day int, slot jobs.Slot, seen Seen)) int {
	for ; day < days; day++ {
		week := (day + 7000) / 7 // days before the question are below 0
		if day%7 == 0 && w.Float64() < w.weekOff {
			w.offWeeks[week] = true
		}
		for _, s := range w.plan {
			if s.Day != w.start.Add(day).Weekday() {
				continue
			}
			if w.offWeeks[week] || w.Float64() > w.come[s.Day] {
				after(day, s, Seen{PlannedMin: float64(s.Minutes())})
				continue
			}
			from := float64(day*dayMinutes) + float64(s.From)
			to := from + float64(s.Minutes())*w.length*math.Exp(w.lengthSD*w.NormFloat64())
			seen := w.evening(necks, from, to, from+float64(s.Minutes()), float64(day*dayMinutes+w.quiet))
			after(day, s, seen)
			if done() {
				return day
			}
		}
	}
	return days
}
