package schedule

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"bookmatch/costing/estimate"
	"bookmatch/jobs"
)

// sure gives habits without doubt: every evening worked, all of it logged, the
// rule followed.
func sure(words ...string) Habits {
	return Habits{Calendar: Calendar{Slots: weekSlots(words...), Length: 1, Unlogged: 1}, Follows: 1}
}

// sureWork is an estimate of exactly so many minutes.
func sureWork(minutes float64) estimate.Work {
	return estimate.Work{Estimate: estimate.Estimate{StandardMin: minutes, LikelyMin: minutes, SafeMin: minutes, MeanMin: minutes, Centre: math.Log(minutes)}}
}

// sureNeck gives a neck of seeded steps that take their mean minutes.
func sureNeck(steps []Step) QueueNeck {
	n := QueueNeck{Name: "own", Steps: steps}
	for _, s := range steps {
		n.Works = append(n.Works, sureWork(s.MeanSetupMin+s.MeanRunMin))
	}
	return n
}

// walkAnswer is what a walk finds and what is made of it.
type walkAnswer struct {
	Promise
	Hours estimate.Hours
}

func promised(now time.Time, own QueueNeck, before []QueueNeck, cal Habits, set estimate.Settings) walkAnswer {
	q := Question{Now: now, Own: []QueueNeck{own}, Before: before, Calendar: cal, Bench: Bench{ClampSets: 4}, Settings: set}
	w := q.Walk()
	return walkAnswer{q.Promise(w, ""), w.Hours}
}

func sureSet() estimate.Settings { return estimate.Settings{Draws: 20, Seed: 1} }

// TestWalkByHand walks necks whose days can be counted by hand, from Monday
// 30 November 2026, with evenings of 2 h on Tuesday and Thursday.
func TestWalkByHand(t *testing.T) {
	now := time.Date(2026, 11, 30, 9, 0, 0, 0, time.UTC)
	step := func(name string, minutes float64, marks Marks, cureH float64, needs ...Need) Step {
		return Step{Name: name, Operation: name, Place: Light, Marks: marks, MeanSetupMin: 10, MeanRunMin: minutes - 10, SafeSetupMin: 10, SafeRunMin: int(minutes) - 10, Left: 1, HandledMin: cureH * 60, CuredMin: cureH * 60, Needs: needs}
	}
	for _, c := range []struct {
		name  string
		steps []Step
		want  jobs.Day
		hours float64
	}{
		{"one evening", []Step{step("a", 60, 0, 0), step("b", 50, 0, 0, Need{0, 0})}, "2026-12-01", 110.0 / 60},
		{"what does not fit waits", []Step{step("a", 80, 0, 0), step("b", 50, 0, 0, Need{0, 0})}, "2026-12-03", 130.0 / 60},
		{"a cure of 72 h misses Thursday", []Step{step("glue", 30, NoStop, 72), step("b", 20, 0, 0, Need{0, 72 * 60})}, "2026-12-08", 50.0 / 60},
		{"a cure of 24 h is over by Thursday", []Step{step("glue", 30, NoStop, 24), step("b", 20, 0, 0, Need{0, 24 * 60})}, "2026-12-03", 50.0 / 60},
		{"a glue-up goes last and leaves the bench", []Step{step("glue", 30, NoStop, 24), step("b", 80, 0, 0)}, "2026-12-01", 110.0 / 60},
		{"a step taken up again makes its setup again", []Step{step("cut", 200, Resumable, 0)}, "2026-12-03", 210.0 / 60},
	} {
		out := promised(now, sureNeck(c.steps), nil, sure("tue 19:00-21:00", "thu 19:00-21:00"), sureSet())
		if out.Likely != c.want || out.Safe != c.want {
			t.Errorf("%s: likely %s, safe %s, want %s", c.name, out.Likely, out.Safe, c.want)
		}
		if math.Abs(out.Hours.P50-c.hours) > 1e-6 || math.Abs(out.Hours.Mean-c.hours) > 1e-6 {
			t.Errorf("%s: %.3f h, mean %.3f, want %.3f", c.name, out.Hours.P50, out.Hours.Mean, c.hours)
		}
	}
}

// TestWalkIsNeverUnderR walks seeded necks without doubt: no neck is finished
// before its remaining evenings are over.
func TestWalkIsNeverUnderR(t *testing.T) {
	now := time.Date(2026, 11, 30, 9, 0, 0, 0, time.UTC)
	cal := sure("tue 19:30-22:00", "thu 19:30-22:00")
	cal.Unlogged = 1.16
	for _, c := range []struct {
		route  string
		change map[string]float64
	}{{"headstock", nil}, {"headstock", map[string]float64{"inlay": 14, "coats": 6}}, {"neck", nil}} {
		own := sureNeck(seedSteps(t, c.route, c.change))
		out := promised(now, own, nil, cal, sureSet())
		// Evening k of the calendar is day 1, 3, 8, 10 ...
		evenings := 0
		for d := jobs.DayOf(now); d <= out.Likely; d = d.Add(1) {
			if d.Weekday() == time.Tuesday || d.Weekday() == time.Thursday {
				evenings++
			}
		}
		if float64(evenings) < out.Shortest-1e-9 || float64(evenings) > 1.4*out.Shortest+1 {
			t.Errorf("%s %v: %d evenings, R %.2f", c.route, c.change, evenings, out.Shortest)
		}
		if len(out.Path) == 0 || out.Path[len(out.Path)-1] == "" {
			t.Errorf("%s: path %v", c.route, out.Path)
		}
	}
}

func TestWalkMovesAndQueue(t *testing.T) {
	now := time.Date(2026, 11, 30, 9, 0, 0, 0, time.UTC)
	cal := sure("tue 19:30-22:00", "thu 19:30-22:00")
	cal.Unlogged = 1.16
	own := sureNeck(seedSteps(t, "headstock", nil))
	alone := promised(now, own, nil, cal, sureSet())
	behind := promised(now, own, []QueueNeck{sureNeck(seedSteps(t, "neck", nil)), sureNeck(seedSteps(t, "headstock", map[string]float64{"inlay": 10}))}, cal, sureSet())
	if behind.Likely < alone.Likely {
		t.Errorf("behind two others likely %s, alone %s", behind.Likely, alone.Likely)
	}
	again := promised(now, own, nil, cal, sureSet())
	if again.Safe != alone.Safe || again.Hours.P80 != alone.Hours.P80 {
		t.Errorf("the same question has another answer: %s and %s", again.Safe, alone.Safe)
	}
	// The tuners are ordered late here: to order them now moves the date.
	if !slices.ContainsFunc(alone.Moves, func(m Move) bool { return strings.HasPrefix(m.What, "order-parts") && m.Days < 0 }) {
		t.Errorf("moves %+v", alone.Moves)
	}
	held := sureNeck(seedSteps(t, "headstock", nil))
	held.Starts = "2027-01-10"
	if out := promised(now, held, nil, cal, sureSet()); out.Likely < "2027-01-10" {
		t.Errorf("a neck that starts on 10 January is finished on %s", out.Likely)
	}
	if out := promised(now, own, nil, sure(), sureSet()); out.Likely != "" || len(out.Moves) != 0 {
		t.Errorf("without evenings: %+v", out.Likely)
	}
}

func TestLearnFollows(t *testing.T) {
	starts := func(n, first int) (out []Choice) {
		for i := range n {
			out = append(out, Choice{4, i < first})
		}
		return out
	}
	for _, c := range []struct {
		starts   []Choice
		low, top float64
	}{{nil, 0.7, 0.7}, {starts(400, 100), 0, 0.05}, {starts(400, 400), 0.95, 1}, {[]Choice{{1, true}, {1, true}}, 0.7, 0.7}} {
		if got := LearnFollows(c.starts); got < c.low-1e-9 || got > c.top+1e-9 {
			t.Errorf("%d starts: %.3f, want %.2f to %.2f", len(c.starts), got, c.low, c.top)
		}
	}
}
