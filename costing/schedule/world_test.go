package schedule

import (
	"math"
	"math/rand/v2"

	"bookmatch/jobs"
)

// The invented shops of the world files are drawn at random and live by rules of
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
	started    []bool
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
	for _, r := range jobs.SeedRoutes() {
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
	n.started, n.resumed = make([]bool, len(n.steps)), make([]int, len(n.steps))
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
