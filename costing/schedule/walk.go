package schedule

import (
	"math"
	"math/rand/v2"
	"slices"

	"bookmatch/costing/estimate"
	"bookmatch/jobs"
)

// QueueNeck is a neck with the steps it still needs, over its graph.
type QueueNeck struct {
	Name  string `json:"name"`
	Steps []Step `json:"steps"`
	// Works hold, by step, how long what is left of it may take. Those of done
	// steps are not used.
	Works  []estimate.Work `json:"works"`
	Starts jobs.Day        `json:"starts,omitempty"` // first day on which it may be worked on, empty is at once
	Parts  *jobs.Arrival   `json:"parts,omitempty"`  // when bought parts come, nil when they are there or not ordered
}

// graphWalk holds what all draws of a question share, and the state of one draw.
type graphWalk struct {
	Question
	set      estimate.Settings
	slots    [7][]jobs.Slot
	off      map[int]bool // days from today
	today    int          // weekday of day 0
	nowMin   float64
	quiet    float64 // minute of the day
	necks    []walkNeck
	holds    []hold  // clamp sets in use
	wetUntil float64 // minute until which a film is wet
	dusty    bool    // dust was made this evening
	unlogged float64
	choice   *rand.Rand // what the builder takes
}

// walkNeck is a neck of the walk. Instants are minutes from midnight of day 0.
type walkNeck struct {
	QueueNeck
	draws  []estimate.Drawer
	behind []float64 // longest path behind a step, in minutes
	after  [][]Need  // by step, the steps that need it
	setup  []float64 // share of a step that is its setup
	starts float64
	// One draw:
	run, set     []float64
	ready        []float64 // when the needs done so far let it begin
	waits        []int     // needs not done
	can          []int     // steps to do whose needs are done, in order
	started      []bool
	resumed      []int
	touched      float64 // no touching before
	shaken       float64 // no shaking before
	parts        float64
	left         int
	worked, cost float64 // minutes, and their cost times 60
	last         float64
}

func newGraphWalk(q Question, set estimate.Settings) *graphWalk {
	day := jobs.DayOf(q.Now)
	w := &graphWalk{Question: q, set: set, off: map[int]bool{}, today: int(day.Weekday()), nowMin: float64(q.Now.Hour()*60 + q.Now.Minute()), quiet: math.Inf(1)}
	if q.Calendar.QuietAfter > 0 {
		w.quiet = float64(q.Calendar.QuietAfter)
	}
	for _, s := range q.Calendar.Slots {
		w.slots[s.Day] = append(w.slots[s.Day], s)
	}
	for _, h := range q.Calendar.Holidays {
		w.off[day.DaysTo(h)] = true
	}
	for _, q := range slices.Concat(q.Before, q.Own) {
		n := walkNeck{QueueNeck: q, starts: math.Inf(-1), behind: make([]float64, len(q.Steps)), after: make([][]Need, len(q.Steps))}
		if q.Starts != "" {
			n.starts = float64(day.DaysTo(q.Starts) * dayMinutes)
		}
		for i, s := range q.Steps {
			n.draws = append(n.draws, estimate.NewDrawer(q.Works[i], set))
			n.setup = append(n.setup, s.MeanSetupMin/max(s.MeanSetupMin+s.MeanRunMin, 1e-9))
			for _, nd := range s.Needs {
				n.after[nd.Step] = append(n.after[nd.Step], Need{i, nd.WaitMin})
			}
		}
		if o, ok := newOutlook(q.Steps, &evenings{}, Evening{Unlogged: 1, UsualMin: 1}); ok {
			n.behind = o.behind()
		}
		n.run, n.set = make([]float64, len(q.Steps)), make([]float64, len(q.Steps))
		n.ready, n.waits = make([]float64, len(q.Steps)), make([]int, len(q.Steps))
		n.started, n.resumed = make([]bool, len(q.Steps)), make([]int, len(q.Steps))
		w.necks = append(w.necks, n)
	}
	return w
}

// own gives the necks that are asked for.
func (w *graphWalk) own() []walkNeck { return w.necks[len(w.Before):] }

// deal draws the minutes of every step and sets the necks back to now.
func (w *graphWalk) deal(r *rand.Rand) {
	common := estimate.DrawShared(r)
	w.holds, w.wetUntil = w.holds[:0], math.Inf(-1)
	for k := range w.necks {
		n := &w.necks[k]
		common.Job = r.NormFloat64()
		n.touched, n.shaken, n.parts = math.Inf(-1), math.Inf(-1), math.Inf(-1)
		n.left, n.worked, n.cost, n.last = 0, 0, 0, 0
		n.can = n.can[:0]
		for i := range n.Steps {
			s := &n.Steps[i]
			t := n.draws[i].Draw(r, common)
			n.set[i], n.run[i] = t*n.setup[i], t*(1-n.setup[i])
			n.started[i], n.resumed[i], n.ready[i], n.waits[i] = false, 0, 0, 0
			if s.Done {
				continue
			}
			n.left++
			if s.Shut != nil && s.Shut.LiftsMin > 0 {
				n.ready[i] = w.nowMin + s.Shut.LiftsMin
			}
			for _, nd := range s.Needs {
				if e := &n.Steps[nd.Step]; e.Done {
					n.ready[i] = max(n.ready[i], w.nowMin+e.DoneMin+nd.WaitMin)
				} else {
					n.waits[i]++
				}
			}
			if n.waits[i] == 0 {
				n.can = append(n.can, i)
			}
		}
		for i := range n.Steps {
			if s := &n.Steps[i]; s.Done {
				w.cure(n, s, w.nowMin+s.DoneMin)
			}
		}
		if z := r.NormFloat64(); n.Parts != nil {
			day := jobs.DayOf(w.Now)
			likely := math.Max(float64(day.DaysTo(n.Parts.Likely)), 0.5)
			safe := math.Max(float64(day.DaysTo(n.Parts.Safe)), likely)
			n.parts = dayMinutes * math.Ceil(likely*math.Exp(math.Log(safe/likely)/normalP80*z))
		}
	}
}

// dayMinutes is the minutes of a day.
const dayMinutes = 24 * 60

// normalP80 is the 80 % quantile of the standard normal.
const normalP80 = 0.8416212335729143

// cure notes what the end of a step blocks.
func (w *graphWalk) cure(n *walkNeck, s *Step, end float64) {
	if s.Place != Off {
		n.touched = max(n.touched, end+s.HandledMin)
		n.shaken = max(n.shaken, end+max(s.HandledMin, s.CuredMin))
	}
	if s.Clamps > 0 && s.HandledMin > 0 {
		w.holds = append(w.holds, hold{int(end + s.HandledMin), s.Clamps})
	}
	if s.Marks.Has(Wet) && !w.Bench.DustFreeRoom {
		w.wetUntil = max(w.wetUntil, end+s.HandledMin)
	}
}

// draw walks one future. It gives the day on which the last neck is finished.
// Work and calendar draw from two streams, so that a changed future meets the
// same evenings.
func (w *graphWalk) draw(i uint64) int {
	work := rand.New(rand.NewPCG(w.set.Seed, 2*i))
	days := rand.New(rand.NewPCG(w.set.Seed, 2*i+1))
	w.deal(work)
	w.choice = work
	var come [7]float64
	for d := range come {
		come[d] = 1
		if b := w.Calendar.Attendance[d]; b.A > 0 && b.B > 0 {
			come[d] = estimate.DrawBeta(days, b.A, b.B)
		}
	}
	// What is learned from few evenings is not known well.
	length := w.Calendar.Length * math.Exp(float64(w.Calendar.LengthError*days.NormFloat64()))
	w.unlogged = math.Max(1, w.Calendar.Unlogged*math.Exp(float64(w.Calendar.UnloggedError*days.NormFloat64())))
	for day := range promiseHorizon {
		left, last := 0, 0.0
		for _, n := range w.own() {
			left, last = left+n.left, max(last, n.last)
		}
		if left == 0 {
			return int(last / dayMinutes)
		}
		weekday := (w.today + day) % 7
		for _, slot := range w.slots[weekday] {
			u, z := days.Float64(), days.NormFloat64()
			if w.off[day] || u >= come[weekday]*(1-w.missed) {
				continue
			}
			from := float64(slot.From)
			to := from + float64(slot.Minutes())*length*math.Exp(float64(w.Calendar.LengthSpread*z))
			if day == 0 {
				from = math.Max(from, w.nowMin)
			}
			w.evening(float64(day*dayMinutes), from, to)
		}
	}
	return promiseHorizon
}
