package schedule

import (
	"math"
	"testing"
	"time"

	"bookmatch/costing/estimate"
	"bookmatch/jobs"

	"gonum.org/v1/gonum/mathext"
)

var monday = time.Date(2026, 11, 30, 9, 0, 0, 0, time.UTC)

func slots(words ...string) []jobs.Slot {
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

// exact is a step that takes minutes, no more and no less, and cures for hours.
func exact(minutes, cureH float64) Step {
	return Step{Name: "step", Operation: "step", Place: Light, SafeRunMin: int(minutes), MeanRunMin: minutes, Left: 1, HandledMin: cureH * 60, CuredMin: cureH * 60}
}

// chain makes a neck of steps that follow each other, each after the cure of the
// one before.
func chain(steps ...Step) QueueNeck {
	for i := 1; i < len(steps); i++ {
		steps[i].Needs = []Need{{i - 1, steps[i-1].CuredMin}}
	}
	return sureNeck(steps)
}

// marked is a step with marks, and with a setup.
func marked(s Step, m Marks, setup float64) Step {
	s.Marks, s.MeanSetupMin = m, setup
	s.MeanRunMin -= setup
	return s
}

// seededNeck is a headstock of the seed with 14 inlays and 3 coats, without past
// jobs.
func seededNeck(name string) QueueNeck {
	n := QueueNeck{Name: name}
	operations, graph := map[string]jobs.Operation{}, map[string]jobs.GraphOperation{}
	for _, k := range jobs.SeedOperations() {
		operations[k.Name], graph[k.Name] = k, k.Graph()
	}
	r := jobs.SeedRoutes()[0]
	r.Quantities["inlay"], r.Quantities["coats"] = 14, 3
	n.Steps = FromGraph(r.Steps, graph, r.Quantities, func(o jobs.GraphOperation, quantity float64) Minutes {
		k := operations[o.Name]
		e := estimate.ForStep(estimate.StandardOf(k), quantity, nil, estimate.Pace{}, estimate.Settings{})
		n.Works = append(n.Works, estimate.Work{Name: k.Name, Estimate: e, Rework: k.ReworkChance})
		share := k.SetupMin / max(e.StandardMin, 1e-9)
		return Minutes{e.SafeMin * share, e.SafeMin * (1 - share), e.MeanMin * share, e.MeanMin * (1 - share)}
	})
	return n
}

// habits is a calendar of which nothing was learned.
func habits(cal Calendar) Habits { return Habits{Calendar: cal, Follows: 1} }

// The limit is 500 ms for the promised date over 8 open necks, with what moves
// it.
func BenchmarkPromiseOver8Necks(b *testing.B) {
	cal := habits(NewCalendar(jobs.Shop{Evenings: slots("mon 19:30-22:00", "tue 19:30-22:00", "thu 19:30-22:00"), QuietAfter: 21 * 60}))
	var before []QueueNeck
	for range 7 {
		before = append(before, seededNeck("other"))
	}
	for b.Loop() {
		promised(monday, seededNeck("own"), before, cal, estimate.Settings{})
	}
	b.ReportMetric(500, "limit-ms")
}

// With nothing left to chance the date can be counted on the fingers.
func TestPromiseByHand(t *testing.T) {
	night := 10.0
	tue, both := sure("tue 20:00-22:00"), sure("tue 20:00-22:00", "thu 20:00-22:00")
	with := func(h Habits, change func(*Habits)) Habits { change(&h); return h }
	later := func(n QueueNeck, day jobs.Day) QueueNeck { n.Starts = day; return n }
	parts := chain(marked(exact(30, 0), NeedsParts, 0))
	parts.Parts = &jobs.Arrival{Likely: "2026-12-20", Safe: "2026-12-20"}
	running := chain(exact(10, 48), exact(10, 0))
	running.Steps[0].Done = true
	for _, c := range []struct {
		name   string
		own    QueueNeck
		before []QueueNeck
		cal    Habits
		want   jobs.Day
	}{
		{"one evening", chain(exact(100, 0)), nil, tue, "2026-12-01"},
		{"two evenings of work", chain(exact(200, 0)), nil, tue, "2026-12-08"},
		{"unlogged time halves the evening", chain(exact(100, 0)), nil, with(tue, func(h *Habits) { h.Unlogged = 2 }), "2026-12-08"},
		{"three glue-ups cost three evenings, though an hour would do", chain(exact(10, night), exact(10, night), exact(10, 0)), nil, both, "2026-12-08"},
		{"a neck before it takes the evening", chain(exact(60, 0)), []QueueNeck{chain(exact(110, 0))}, tue, "2026-12-08"},
		{"a cure of the one before gives it away again", chain(exact(60, 0)), []QueueNeck{chain(exact(20, night), exact(110, 0))}, tue, "2026-12-01"},
		{"a holiday", chain(exact(60, 0)), nil, with(tue, func(h *Habits) { h.Holidays = []jobs.Day{"2026-12-01", "2026-12-08"} }), "2026-12-15"},
		{"the deposit", later(chain(exact(60, 0)), "2027-01-15"), nil, tue, "2027-01-19"},
		{"parts", parts, nil, tue, "2026-12-22"},
		{"one go does not fit beside the first", chain(exact(60, 0), marked(exact(90, 0), NoStop, 0)), nil, tue, "2026-12-08"},
		{"one go longer than an evening becomes a long evening", chain(marked(exact(200, 0), NoStop, 0)), nil, tue, "2026-12-01"},
		{"noise ends at the quiet hour", chain(marked(exact(90, 0), Noisy, 0)), nil, with(tue, func(h *Habits) { h.QuietAfter = 21 * 60 }), "2026-12-08"},
		{"a setup comes again", chain(marked(exact(230, 0), Resumable, 20)), nil, tue, "2026-12-15"},
		{"a cure running now", running, nil, tue, "2026-12-08"},
		{"a short cure is waited for", chain(exact(10, 0.2), exact(10, 0)), nil, tue, "2026-12-01"},
		// ISO 8601: 2026 has 53 weeks; 2026-12-31 is a Thursday, 2027-01-01 a Friday.
		{"over the turn of the year", later(chain(exact(10, 0)), "2027-01-01"), nil, sure("thu 20:00-22:00"), "2027-01-07"},
	} {
		got := promised(monday, c.own, c.before, c.cal, sureSet())
		if got.Likely != c.want || got.Safe != c.want {
			t.Errorf("%s: likely %s, safe %s, want %s", c.name, got.Likely, got.Safe, c.want)
		}
	}
}

// One hour of work, one evening a week, worked with chance p: the number of
// weeks is geometric, and a Beta belief about p makes its tail
// P(not within k) = B(a, b+k) / B(a, b).
func TestPromiseAgreesWithGeometric(t *testing.T) {
	cal := sure("tue 20:00-22:00")
	cal.Attendance[time.Tuesday] = Beta{3, 2}
	const n = 20000
	days := Question{Now: monday, Own: []QueueNeck{chain(exact(30, 0))}, Calendar: cal, Settings: estimate.Settings{Draws: n}}.Walk().days
	for k := 1; k <= 6; k++ {
		want := 1 - mathext.Beta(3, 2+float64(k))/mathext.Beta(3, 2)
		got := 0.0
		for _, d := range days {
			if d <= 1+7*(k-1) {
				got++
			}
		}
		got /= n
		if se := math.Sqrt(want * (1 - want) / n); math.Abs(got-want) > 3.5*se {
			t.Errorf("within %d weeks: %.4f, closed form %.4f, standard error %.4f", k, got, want, se)
		}
	}
}

func TestPromiseOrderAndMoves(t *testing.T) {
	cal := habits(NewCalendar(jobs.Shop{Evenings: slots("mon 19:30-22:00", "thu 19:30-22:00"), QuietAfter: 21 * 60}))
	own := seededNeck("own")
	own.Parts = &jobs.Arrival{Likely: "2027-01-10", Safe: "2027-01-31"}
	q := Question{Now: monday, Own: []QueueNeck{own}, Before: []QueueNeck{seededNeck("a"), seededNeck("b")}, Calendar: cal, Bench: Bench{ClampSets: 4}, Settings: estimate.Settings{Draws: 2000}}
	p := q.Promise(q.Walk(), "2027-06-01")
	if !(p.Likely <= p.Safe && p.Safe <= p.P90) || p.Likely == "" {
		t.Errorf("likely %s, safe %s, P90 %s", p.Likely, p.Safe, p.P90)
	}
	if len(p.Moves) != 3 {
		t.Fatalf("moves: %+v, want three", p.Moves)
	}
	for i, m := range p.Moves {
		if i > 0 && abs(m.Days) > abs(p.Moves[i-1].Days) {
			t.Errorf("moves are not sorted by size: %+v", p.Moves)
		}
	}
	if p.DueChance == nil || *p.DueChance < 0 || *p.DueChance > 1 {
		t.Errorf("due chance %v", p.DueChance)
	}
	if again := q.Promise(q.Walk(), "2027-06-01"); again.Safe != p.Safe {
		t.Errorf("the same question gave %s and %s", p.Safe, again.Safe)
	}
}

// What moves the date stays in proportion, also in a shop that works few of its
// evenings: a fifth of them missed makes the way a quarter longer, on average.
func TestPromiseMovesInProportion(t *testing.T) {
	for _, b := range []Beta{{30, 10}, {20, 20}, {24, 16}, {8, 32}} {
		cal := habits(NewCalendar(jobs.Shop{Evenings: slots("tue 19:30-22:00", "thu 19:30-22:00")}))
		cal.Attendance[time.Tuesday], cal.Attendance[time.Thursday] = b, b
		p := promised(monday, seededNeck("own"), []QueueNeck{seededNeck("a")}, cal, estimate.Settings{})
		whole := p.Starts.DaysTo(p.Safe)
		found := false
		for _, m := range p.Moves {
			if m.What == "one evening in five missed" {
				found = true
				if m.Days < whole/10 || m.Days > whole/2 {
					t.Errorf("attendance %v: a fifth of the evenings missed moves a date %d days away by %d", b, whole, m.Days)
				}
			}
		}
		if !found {
			t.Errorf("attendance %v: moves %+v do not speak of missed evenings", b, p.Moves)
		}
	}
}

// A simulation of few draws does not know of small moves and lists none.
func TestPromiseMovesBeyondNoise(t *testing.T) {
	cal := habits(NewCalendar(jobs.Shop{Evenings: slots("tue 19:30-22:00", "thu 19:30-22:00")}))
	cal.Attendance[time.Tuesday], cal.Attendance[time.Thursday] = Beta{2, 6}, Beta{2, 6}
	q := Question{Now: monday, Own: []QueueNeck{seededNeck("own")}, Before: []QueueNeck{seededNeck("a"), seededNeck("b")}, Calendar: cal, Bench: Bench{ClampSets: 4}}
	base := q
	base.Settings.Draws = 500
	noise := safeNoise(base.Walk().days)
	if noise <= 2 {
		t.Fatalf("noise %.1f days: the case is too sharp to show anything", noise)
	}
	for _, m := range q.moves() {
		if float64(abs(m.Days)) < noise {
			t.Errorf("%s: %d days, below the noise of %.1f", m.What, m.Days, noise)
		}
	}
	// 100 draws, all but the tail on one day: the ranks 76 and 84 are read.
	flat := make([]int, 100)
	for i := range flat {
		flat[i] = i
	}
	if got := safeNoise(flat); got != 4 {
		t.Errorf("noise of a flat spread of 100 days in 100 draws: %g, want 4 (ranks 76 and 84)", got)
	}
}

func TestPromiseWithoutEvenings(t *testing.T) {
	p := promised(monday, seededNeck("own"), nil, habits(NewCalendar(jobs.Shop{})), estimate.Settings{})
	if p.Hours.P50 <= 0 {
		t.Errorf("without evenings there are hours all the same, not %g", p.Hours.P50)
	}
	if p.Safe != "" || len(p.Warnings) == 0 {
		t.Errorf("no evenings: safe %q, warnings %v", p.Safe, p.Warnings)
	}
}

func TestHabitsLearn(t *testing.T) {
	shop := jobs.Shop{Evenings: slots("tue 20:00-22:00")}
	days := []jobs.Day{"2026-10-06", "2026-10-13", "2026-10-20", "2026-10-27", "2026-11-03"}
	seen := []Seen{{PlannedMin: 120, SpanMin: 120}, {PlannedMin: 120, Idle: true}, {PlannedMin: 120, SpanMin: 120}, {PlannedMin: 120, SpanMin: 60, AtLeast: true}, {PlannedMin: 120}}
	var worked []estimate.Worked
	for _, d := range []jobs.Day{"2026-10-06", "2026-10-20", "2026-10-27"} {
		worked = append(worked, estimate.Worked{Day: d, SpanMin: 120, LoggedMin: 80})
	}
	got := LearnHabits(shop, days, seen, worked, nil)
	if want := (Beta{3 + 3, 1 + 1}); got.Attendance[time.Tuesday] != want {
		t.Errorf("attendance %+v, want %+v: the evening without work to begin is not missed, 3 November is", got.Attendance[time.Tuesday], want)
	}
	if want := (5*1.25 + 3*1.5) / 8; math.Abs(got.Unlogged-want) > 1e-12 {
		t.Errorf("unlogged %.4f, want %.4f", got.Unlogged, want)
	}
	if got.Length < 0.97 || got.Length > 1.02 || got.LengthSpread >= 0.2 {
		t.Errorf("length %.3f spread %.3f, want 1 and below 0.2: the short evening was at least so long", got.Length, got.LengthSpread)
	}
	if l := estimate.UnloggedFactor(nil, "", ""); l.Factor != 1.25 || l.Measured != 0 {
		t.Errorf("no evenings: %+v", l)
	}
}
