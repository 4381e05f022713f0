package schedule

import (
	"math"
	"math/rand/v2"
	"sort"
	"time"

	"bookmatch/costing/estimate"
	"bookmatch/jobs"
)

// scenario is one question to the calendar.
type scenario struct {
	now    time.Time
	own    Job
	before []Job
	cal    Calendar
	missed float64 // share of the evenings, else worked, that fall out
}

// finish gives, sorted, in how many days from today each draw finishes.
func (s scenario) finish(set estimate.Settings, draws int) []int {
	w := newWalker(s, set)
	days := make([]int, draws)
	for i := range days {
		days[i] = w.draw(set.Seed, uint64(i))
	}
	sort.Ints(days)
	return days
}

// Rules of thumb of an evening, in minutes (judgement).
const (
	worthStarting = 15 // a step that may be left midway is not begun for less
	dayMinutes    = 24 * 60
)

// walker holds the parts of a scenario that all draws share and the state of
// one draw.
type walker struct {
	cal        Calendar
	keep       float64 // share of the evenings that would be worked and are
	slots      [7]*jobs.Slot
	off        map[int]bool // days from today
	today      int          // weekday of day 0
	nowMin     float64
	jobs       []walkJob
	quietAfter float64
}

type walkJob struct {
	tasks   []walkTask
	starts  int     // day
	ready   float64 // minute from midnight of day 0
	parts   bool
	partMu  float64 // ln of days from now, likely
	partSD  float64
	pos     int
	readyAt float64
	partsOn int
	left    []float64 // bench minutes of each task
}

type walkTask struct {
	estimate.Drawer
	safe, setup, cure, done float64
	noStop, noise, hardware bool
}

func newWalker(s scenario, set estimate.Settings) *walker {
	today := jobs.DayOf(s.now)
	w := &walker{cal: s.cal, keep: 1 - s.missed, off: map[int]bool{}, today: int(today.Weekday()), nowMin: float64(s.now.Hour()*60 + s.now.Minute()), quietAfter: math.Inf(1)}
	if s.cal.QuietAfter > 0 {
		w.quietAfter = float64(s.cal.QuietAfter)
	}
	for i := range s.cal.Slots {
		w.slots[s.cal.Slots[i].Day] = &s.cal.Slots[i]
	}
	for _, h := range s.cal.Holidays {
		w.off[today.DaysTo(h)] = true
	}
	for _, j := range append(append([]Job(nil), s.before...), s.own) {
		wj := walkJob{starts: math.MinInt, left: make([]float64, len(j.Tasks))}
		if j.Starts != "" {
			wj.starts = today.DaysTo(j.Starts)
		}
		if !j.Ready.IsZero() {
			wj.ready = w.nowMin + j.Ready.Sub(s.now).Minutes()
		}
		if j.Parts != nil {
			wj.parts = true
			likely := math.Max(float64(today.DaysTo(j.Parts.Likely)), 0.5)
			safe := math.Max(float64(today.DaysTo(j.Parts.Safe)), likely)
			wj.partMu = math.Log(likely)
			wj.partSD = math.Log(safe/likely) / 0.8416212335729143 // the normal's P80
		}
		for _, t := range j.Tasks {
			wj.tasks = append(wj.tasks, walkTask{estimate.NewDrawer(t.Work, set), t.Estimate.SafeMin, t.SetupMin, t.CureMin, t.DoneMin, t.NoStop, t.Noise, t.Hardware})
		}
		w.jobs = append(w.jobs, wj)
	}
	return w
}

// draw walks one future. Work and calendar draw from two streams, so that a
// changed scenario meets the same evenings.
func (w *walker) draw(seed, i uint64) int {
	work := rand.New(rand.NewPCG(seed, 2*i))
	days := rand.New(rand.NewPCG(seed, 2*i+1))
	common := estimate.DrawShared(work)
	for k := range w.jobs {
		j := &w.jobs[k]
		j.pos, j.readyAt, j.partsOn = 0, j.ready, math.MinInt
		common.Job = work.NormFloat64()
		for n := range j.tasks {
			t := j.tasks[n].Draw(work, common)
			j.left[n] = math.Max(t-j.tasks[n].done, 0.1*t)
		}
		if z := work.NormFloat64(); j.parts {
			j.partsOn = int(math.Ceil(math.Exp(j.partMu + float64(j.partSD*z))))
		}
	}
	var come [7]float64
	for d := range come {
		come[d] = 1
		if b := w.cal.Attendance[d]; b.A > 0 && b.B > 0 {
			come[d] = estimate.DrawBeta(days, b.A, b.B)
		}
	}
	own := &w.jobs[len(w.jobs)-1]
	if len(own.tasks) == 0 {
		return 0
	}
	for day := range promiseHorizon {
		weekday := (w.today + day) % 7
		slot := w.slots[weekday]
		if slot == nil {
			continue
		}
		u, z := days.Float64(), days.NormFloat64()
		if w.off[day] || u >= come[weekday]*w.keep {
			continue
		}
		from := float64(slot.From)
		to := from + float64(slot.Minutes())*w.cal.Length*math.Exp(float64(w.cal.LengthSpread*z))
		if day == 0 {
			from = math.Max(from, w.nowMin)
		}
		if w.evening(day, from, to) {
			return int(math.Max(own.readyAt, 0) / dayMinutes)
		}
	}
	return promiseHorizon
}

// evening works from wall minute t to end of a day and says whether the last
// neck was finished.
func (w *walker) evening(day int, t, end float64) bool {
	unlogged := math.Max(w.cal.Unlogged, 1)
	midnight := float64(day * dayMinutes)
	fresh := true
	last := len(w.jobs) - 1
	for {
		moved, next := false, math.Inf(1)
		for k := range w.jobs {
			j := &w.jobs[k]
			if j.starts > day {
				continue
			}
			for j.pos < len(j.tasks) && t < end {
				task := &j.tasks[j.pos]
				if j.readyAt > midnight+t {
					next = math.Min(next, j.readyAt-midnight)
					break
				}
				if task.hardware && j.partsOn > day || task.noise && t >= w.quietAfter {
					break
				}
				room := (end - t) / unlogged
				if task.noStop && task.safe > room && !fresh || room < math.Min(worthStarting, task.safe) {
					break
				}
				do := j.left[j.pos]
				if !task.noStop {
					do = math.Min(do, room)
					if task.noise {
						do = math.Min(do, (w.quietAfter-t)/unlogged)
					}
				}
				t += do * unlogged
				fresh, moved = false, true
				j.left[j.pos] -= do
				if j.left[j.pos] > 1e-9 {
					// Left midway: the setup comes again, at this step's own pace.
					j.left[j.pos] += task.setup
					break
				}
				j.pos++
				j.readyAt = midnight + t + task.cure
			}
		}
		if w.jobs[last].pos == len(w.jobs[last].tasks) {
			return true
		}
		if t >= end {
			return false
		}
		if !moved {
			if next >= end {
				return false
			}
			t = math.Max(t, next)
		}
	}
}
