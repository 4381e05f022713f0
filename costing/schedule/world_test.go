package schedule

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"bookmatch/costing/estimate"
	"bookmatch/jobs"
)

// The invented shops of this file are drawn at random and live by rules of
// their own, written before and apart from the estimator that is measured with
// them. The truth has minutes off the standard for setup and run apart, its
// own spread, attendance with whole weeks missed, evenings of any length,
// unlogged time that differs from evening to evening, a builder who picks
// steps by habit and misjudges what fits, and evenings that end because
// nothing more can be started. Every figure is a judgement.

// world is what the estimator does not see.
type world struct {
	*rand.Rand
	ops        map[string]jobs.GraphOperation
	setup, run map[string]float64 // true minutes of an operation, run per unit
	sigma      float64            // from evening to evening
	jobSigma   float64            // common to one neck
	come       [7]float64
	weekOff    float64 // chance that a whole week is missed
	length     float64
	lengthSD   float64
	unlogged   float64
	misjudge   float64 // log spread of what the builder thinks will fit
	habit      float64 // chance that he goes by the queue
	plan       []jobs.Slot
	quiet      int // minute of the day from which it must be quiet
	start      jobs.Day
	offWeeks   map[int]bool
	starts     []Choice // what the log can tell of the builder's choices
}

// worldNeck is a neck in the world. Minutes are true ones.
type worldNeck struct {
	name       string
	steps      []Step
	quantities []float64
	setup, run []float64 // still to do
	begun      []bool
	resumed    []int
	logged     []float64
	end        []float64 // minutes from the start of the world, not-a-number while undone
	from       int       // day on which it may begin
	behind     []float64 // standard minutes and waits behind a step
}

func newWorld(i uint64) *world {
	w := &world{Rand: rand.New(rand.NewPCG(20261126, i)), ops: map[string]jobs.GraphOperation{}, setup: map[string]float64{}, run: map[string]float64{}, offWeeks: map[int]bool{}}
	w.sigma, w.jobSigma = w.between(0.2, 0.42), w.between(0.08, 0.2)
	w.length, w.lengthSD, w.unlogged = w.between(0.8, 1.1), w.between(0.05, 0.25), w.between(1.08, 1.4)
	w.misjudge, w.habit, w.weekOff = w.between(0.1, 0.4), w.between(0.5, 0.95), w.between(0, 0.06)
	pace := w.between(-0.4, 0.4)
	for _, o := range jobs.SeedGraphOperations() {
		w.ops[o.Name] = o
		w.setup[o.Name] = o.SetupMin * math.Exp(pace+0.28*w.NormFloat64())
		w.run[o.Name] = o.RunMin * math.Exp(pace+0.28*w.NormFloat64())
	}
	for d := range w.come {
		w.come[d] = w.between(0.45, 0.98)
	}
	w.plan = weekSlots("mon 19:30-22:00", "tue 19:30-22:00", "thu 19:00-22:00", "sat 09:00-12:00")
	w.Shuffle(len(w.plan), func(i, j int) { w.plan[i], w.plan[j] = w.plan[j], w.plan[i] })
	w.plan = w.plan[:2+w.IntN(3)]
	w.quiet = 21 * 60
	w.start = jobs.Day("2026-11-30").Add(w.IntN(300))
	return w
}

// weekSlots reads the evenings of a week.
func weekSlots(words ...string) []jobs.Slot {
	var out []jobs.Slot
	for _, w := range words {
		s, err := jobs.ParseSlot(w)
		if err != nil {
			panic(err)
		}
		out = append(out, s)
	}
	return out
}

func (w *world) between(a, b float64) float64 { return a + (b-a)*w.Float64() }

// neck draws a neck of the world: mostly a headstock, now and then a whole
// neck.
func (w *world) neck(name string, whole bool) *worldNeck {
	n := &worldNeck{name: name}
	q := map[string]float64{"inlay": float64(w.IntN(15)), "coats": float64(w.IntN(5)), "cm2": w.between(110, 180), "edge_cm": w.between(40, 65), "holes": []float64{4, 6, 6, 7, 8}[w.IntN(5)], "pilots": float64(4 + w.IntN(5))}
	route := "headstock"
	if whole {
		route = "neck"
		q["scarf"], q["binding"], q["markers"] = float64(w.IntN(2)), float64(2*w.IntN(2)), float64(w.IntN(2)*10)
	}
	job := w.jobSigma * w.NormFloat64()
	for _, r := range jobs.SeedGraphRoutes() {
		if r.Name != route {
			continue
		}
		for k, v := range q {
			r.Quantities[k] = v
		}
		n.steps = FromGraph(r.Steps, w.ops, r.Quantities, func(o jobs.GraphOperation, quantity float64) Minutes {
			n.quantities = append(n.quantities, quantity)
			return Minutes{}
		})
	}
	for i, s := range n.steps {
		o := w.ops[s.Operation]
		day := math.Exp(job + w.sigma*w.NormFloat64())
		n.setup = append(n.setup, w.setup[s.Operation]*day)
		n.run = append(n.run, w.run[s.Operation]*n.quantities[i]*day+o.BenchWaitMin)
	}
	n.behind = make([]float64, len(n.steps))
	row := evenings{}
	order, _ := newOutlook(n.steps, &row, Evening{Unlogged: 1, UsualMin: 1})
	for k := len(order.order) - 1; k >= 0; k-- {
		s := &n.steps[order.order[k]]
		o := w.ops[s.Operation]
		for _, nd := range s.Needs {
			n.behind[nd.Step] = max(n.behind[nd.Step], n.behind[order.order[k]]+nd.WaitMin+o.SetupMin+o.RunMin*n.quantities[order.order[k]])
		}
	}
	n.begun, n.resumed = make([]bool, len(n.steps)), make([]int, len(n.steps))
	n.logged, n.end = make([]float64, len(n.steps)), make([]float64, len(n.steps))
	for i := range n.end {
		n.end[i] = math.NaN()
	}
	return n
}

func (n *worldNeck) finished() bool {
	for _, end := range n.end {
		if math.IsNaN(end) {
			return false
		}
	}
	return true
}

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
				if e.Marks.Has(Film) && s.Marks.Has(Dusty) {
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
				if !w.ready(necks, n, i, now) || s.Marks.Has(Noisy) && now >= quiet || dusty && s.Marks.Has(Film) {
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
				// What is longer than a whole evening is begun on a fresh one.
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
		if n.begun[i] {
			n.resumed[i]++
		}
		n.begun[i] = true
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

// record is what a shop has logged when it asks for hours and a date.
type record struct {
	samples  map[string][]estimate.Sample
	all      []estimate.Sample
	evenings []Seen
	days     []jobs.Day // of the evenings
	worked   []estimate.Worked
}

// history lets the shop finish so many necks, two at a time, before day 0.
func (w *world) history(finish int) *record {
	h := &record{samples: map[string][]estimate.Sample{}}
	if finish == 0 {
		return h
	}
	const longAgo = -4000
	var bench []*worldNeck
	day := longAgo
	var log []Seen
	var dates []int
	var logged []float64
	sum := func() (total float64) {
		for _, n := range bench {
			for _, m := range n.logged {
				total += m
			}
		}
		return total
	}
	for begun, finished := 0, 0; finished < finish; {
		for begun < finish && len(bench)-finished < 2 {
			bench = append(bench, w.neck("past", w.IntN(6) == 0))
			bench[begun].from = day
			begun++
		}
		before := sum()
		count := func() (n int) {
			for _, b := range bench {
				if b.finished() {
					n++
				}
			}
			return n
		}
		was := finished
		day = 1 + w.live(bench, day, 0, func() bool { return count() > was }, func(d int, s jobs.Slot, seen Seen) {
			log, dates, logged = append(log, seen), append(dates, d), append(logged, sum()-before)
			before = sum()
		})
		finished = count()
		if day >= 0 {
			break
		}
	}
	for _, n := range bench {
		for i, s := range n.steps {
			if math.IsNaN(n.end[i]) || s.Marks.Has(IsErrand) {
				continue
			}
			o := w.ops[s.Operation]
			x := estimate.Sample{Operation: o.Name, Quantity: n.quantities[i], Minutes: n.logged[i], SetupsResumed: n.resumed[i], Necks: []string{n.name},
				When: w.start.Noon().Add(time.Duration(n.end[i]-float64(day*dayMinutes)) * time.Minute)}
			x.StandardMin = standardOf(o).Expected(x)
			h.samples[o.Name] = append(h.samples[o.Name], x)
			h.all = append(h.all, x)
		}
	}
	// The log ends on the day before the question.
	for k, seen := range log {
		d := w.start.Add(dates[k] - day)
		h.evenings, h.days = append(h.evenings, seen), append(h.days, d)
		if seen.SpanMin > 0 {
			h.worked = append(h.worked, estimate.Worked{Day: d, SpanMin: seen.SpanMin, LoggedMin: logged[k]})
		}
	}
	return h
}

func standardOf(o jobs.GraphOperation) estimate.Standard {
	return estimate.Standard{SetupMin: o.SetupMin, RunMin: o.RunMin, Per: o.Per}
}

// queue gives necks before a new one, each somewhere in its work, and the new
// one last.
func (w *world) queue(before int) []*worldNeck {
	var out []*worldNeck
	for range before {
		n := w.neck("before", w.IntN(6) == 0)
		for range w.IntN(len(n.steps)) {
			var can []int
			for i := range n.steps {
				ok := math.IsNaN(n.end[i])
				for _, nd := range n.steps[i].Needs {
					ok = ok && !math.IsNaN(n.end[nd.Step])
				}
				if ok {
					can = append(can, i)
				}
			}
			if len(can) > 0 {
				n.end[can[w.IntN(len(can))]] = -20000
			}
		}
		out = append(out, n)
	}
	return append(out, w.neck("own", w.IntN(6) == 0))
}

// TestWorld checks that the process itself is sound: needs are kept, evenings
// end for want of work in some shops, and steps are resumed.
func TestWorld(t *testing.T) {
	starved, evenings, resumed, steps, finished := 0, 0, 0, 0, 0
	for i := range uint64(40) {
		w := newWorld(i)
		necks := w.queue([]int{0, 2}[i%2])
		own := necks[len(necks)-1]
		w.live(necks, 0, 2000, own.finished, func(_ int, _ jobs.Slot, seen Seen) {
			if seen.SpanMin > 0 {
				evenings++
				if seen.AtLeast {
					starved++
				}
			}
		})
		if own.finished() {
			finished++
		}
		for i, s := range own.steps {
			steps++
			resumed += own.resumed[i]
			for _, nd := range s.Needs {
				if own.end[i] < own.end[nd.Step]+nd.WaitMin {
					t.Errorf("%s ends before its need %s is over", s.Name, own.steps[nd.Step].Name)
				}
			}
		}
	}
	t.Logf("%d of 40 finished; %d of %d evenings ended for want of work; %.2f resumptions a step", finished, starved, evenings, float64(resumed)/float64(steps))
	if finished < 40 || starved == 0 || starved == evenings || resumed == 0 {
		t.Errorf("the process does not hold what it should")
	}
}
