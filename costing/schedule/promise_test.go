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

// certain is a calendar that leaves nothing to chance.
func certain(words ...string) Calendar {
	c := Calendar{Slots: slots(words...), Length: 1, Unlogged: 1}
	return c
}

// exact is a task that takes minutes, no more and no less.
func exact(minutes, cure float64) Task {
	return Task{Work: estimate.Work{Name: "step", Estimate: estimate.Estimate{StandardMin: minutes, Centre: math.Log(minutes), DF: math.Inf(1), SafeMin: minutes, LikelyMin: minutes, MeanMin: minutes}}, CureMin: cure}
}

func headstockJob(name string) Job {
	j := Job{Name: name}
	quantities := map[string]float64{"neck": 1, "choice": 1, "holes": 6, "pilots": 6, "cm2": 140, "edge_cm": 50, "pages": 1, "inlay": 14, "coats": 3}
	operations := map[string]jobs.Operation{}
	for _, k := range jobs.SeedOperations() {
		operations[k.Name] = k
	}
	for _, r := range jobs.SeedRoutes()[0].Steps {
		k := operations[r.Operation]
		e := estimate.ForStep(estimate.StandardOf(k), quantities[k.Per], nil, estimate.Pace{}, estimate.Settings{})
		j.Tasks = append(j.Tasks, Task{Work: estimate.Work{Name: k.Name, Estimate: e, Rework: k.ReworkChance}, SetupMin: k.SetupMin, CureMin: k.CureMin, NoStop: k.NoStop, Noise: k.Noise, Hardware: k.Hardware})
	}
	return j
}

// The limit is 500 ms for the promised date over 8 open necks, with what moves
// it.
func BenchmarkPromiseOver8Necks(b *testing.B) {
	cal := NewCalendar(jobs.Shop{Evenings: slots("mon 19:30-22:00", "tue 19:30-22:00", "thu 19:30-22:00"), QuietAfter: 21 * 60})
	var before []Job
	for range 7 {
		before = append(before, headstockJob("other"))
	}
	for b.Loop() {
		PromiseDate(monday, headstockJob("own"), before, "", cal, estimate.Settings{})
	}
	b.ReportMetric(500, "limit-ms")
}

// With nothing left to chance the date can be counted on the fingers.
func TestPromiseByHand(t *testing.T) {
	day := func(s string) jobs.Day { return jobs.Day(s) }
	night := 10 * 60.0
	cases := []struct {
		name   string
		own    Job
		before []Job
		cal    Calendar
		want   jobs.Day
	}{
		{"one evening", Job{Tasks: []Task{exact(100, 0)}}, nil, certain("tue 20:00-22:00"), day("2026-12-01")},
		{"two evenings of work", Job{Tasks: []Task{exact(200, 0)}}, nil, certain("tue 20:00-22:00"), day("2026-12-08")},
		{"un-logged time halves the evening", Job{Tasks: []Task{exact(100, 0)}}, nil, Calendar{Slots: slots("tue 20:00-22:00"), Length: 1, Unlogged: 2}, day("2026-12-08")},
		{"three glue-ups cost three evenings, though an hour would do", Job{Tasks: []Task{exact(10, night), exact(10, night), exact(10, 0)}}, nil, certain("tue 20:00-22:00", "thu 20:00-22:00"), day("2026-12-08")},
		{"the last cure counts", Job{Tasks: []Task{exact(10, 3*24*60)}}, nil, certain("tue 20:00-22:00"), day("2026-12-04")},
		{"a neck before it takes the evening", Job{Tasks: []Task{exact(60, 0)}}, []Job{{Tasks: []Task{exact(110, 0)}}}, certain("tue 20:00-22:00"), day("2026-12-08")},
		{"a cure of the one before gives it away again", Job{Tasks: []Task{exact(60, 0)}}, []Job{{Tasks: []Task{exact(20, night), exact(110, 0)}}}, certain("tue 20:00-22:00"), day("2026-12-01")},
		{"a holiday", Job{Tasks: []Task{exact(60, 0)}}, nil, Calendar{Slots: slots("tue 20:00-22:00"), Holidays: []jobs.Day{"2026-12-01", "2026-12-08"}, Length: 1, Unlogged: 1}, day("2026-12-15")},
		{"the deposit", Job{Tasks: []Task{exact(60, 0)}, Starts: "2027-01-15"}, nil, certain("tue 20:00-22:00"), day("2027-01-19")},
		{"parts", Job{Tasks: []Task{{Work: exact(30, 0).Work, Hardware: true}}, Parts: &jobs.Arrival{Likely: "2026-12-20", Safe: "2026-12-20"}}, nil, certain("tue 20:00-22:00"), day("2026-12-22")},
		{"one go does not fit beside the first", Job{Tasks: []Task{exact(60, 0), {Work: exact(90, 0).Work, NoStop: true}}}, nil, certain("tue 20:00-22:00"), day("2026-12-08")},
		{"one go longer than an evening becomes a long evening", Job{Tasks: []Task{{Work: exact(200, 0).Work, NoStop: true}}}, nil, certain("tue 20:00-22:00"), day("2026-12-01")},
		{"noise ends at the curfew", Job{Tasks: []Task{{Work: exact(90, 0).Work, Noise: true}}}, nil, Calendar{Slots: slots("tue 20:00-22:00"), Length: 1, Unlogged: 1, QuietAfter: 21 * 60}, day("2026-12-08")},
		{"a set-up comes again", Job{Tasks: []Task{{Work: exact(230, 0).Work, SetupMin: 20}}}, nil, certain("tue 20:00-22:00"), day("2026-12-15")},
		{"a cure running now", Job{Tasks: []Task{exact(10, 0)}, Ready: monday.Add(48 * time.Hour)}, nil, certain("tue 20:00-22:00"), day("2026-12-08")},
		{"a short cure is waited for", Job{Tasks: []Task{exact(10, 30), exact(10, 0)}}, nil, certain("tue 20:00-22:00"), day("2026-12-01")},
		// ISO 8601: 2026 has 53 weeks; 2026-12-31 is a Thursday, 2027-01-01 a Friday.
		{"over the turn of the year", Job{Tasks: []Task{exact(10, 0)}, Starts: "2027-01-01"}, nil, certain("thu 20:00-22:00"), day("2027-01-07")},
	}
	for _, c := range cases {
		got := PromiseDate(monday, c.own, c.before, "", c.cal, estimate.Settings{DateDraws: 20})
		if got.Likely != c.want || got.Safe != c.want {
			t.Errorf("%s: likely %s, safe %s, want %s", c.name, got.Likely, got.Safe, c.want)
		}
	}
}

// One hour of work, one evening a week, worked with chance p: the number of
// weeks is geometric, and a Beta belief about p makes its tail
// P(not within k) = B(a, b+k) / B(a, b).
func TestPromiseAgreesWithGeometric(t *testing.T) {
	cal := certain("tue 20:00-22:00")
	cal.Attendance[time.Tuesday] = Beta{3, 2}
	s := scenario{now: monday, own: Job{Tasks: []Task{exact(30, 0)}}, cal: cal}
	const n = 20000
	days := s.finish(estimate.Settings{}.WithDefaults(), n)
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
	cal := NewCalendar(jobs.Shop{Evenings: slots("mon 19:30-22:00", "thu 19:30-22:00"), QuietAfter: 21 * 60})
	own := headstockJob("own")
	own.Parts = &jobs.Arrival{Likely: "2027-01-10", Safe: "2027-01-31"}
	p := PromiseDate(monday, own, []Job{headstockJob("a"), headstockJob("b")}, "2027-06-01", cal, estimate.Settings{DateDraws: 400})
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
	if q := PromiseDate(monday, own, []Job{headstockJob("a"), headstockJob("b")}, "2027-06-01", cal, estimate.Settings{DateDraws: 400}); q.Safe != p.Safe {
		t.Errorf("the same question gave %s and %s", p.Safe, q.Safe)
	}
}

// What moves the date stays in proportion, also in a shop that works few of its
// evenings: a fifth of them missed makes the way a quarter longer, on average.
func TestPromiseMovesInProportion(t *testing.T) {
	for _, b := range []Beta{{30, 10}, {20, 20}, {24, 16}, {8, 32}} {
		cal := NewCalendar(jobs.Shop{Evenings: slots("tue 19:30-22:00", "thu 19:30-22:00")})
		cal.Attendance[time.Tuesday], cal.Attendance[time.Thursday] = b, b
		p := PromiseDate(monday, headstockJob("own"), []Job{headstockJob("a")}, "", cal, estimate.Settings{})
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
	cal := NewCalendar(jobs.Shop{Evenings: slots("tue 19:30-22:00", "thu 19:30-22:00")})
	cal.Attendance[time.Tuesday], cal.Attendance[time.Thursday] = Beta{2, 6}, Beta{2, 6}
	base := scenario{now: monday, own: headstockJob("own"), before: []Job{headstockJob("a"), headstockJob("b")}, cal: cal}
	noise := safeNoise(base.finish(estimate.Settings{}.WithDefaults(), 500))
	if noise <= 2 {
		t.Fatalf("noise %.1f days: the case is too sharp to show anything", noise)
	}
	for _, m := range moves(base, estimate.Settings{}.WithDefaults()) {
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
	p := PromiseDate(monday, headstockJob("own"), nil, "", Calendar{}, estimate.Settings{})
	if p.Safe != "" || len(p.Warnings) == 0 {
		t.Errorf("no evenings: safe %q, warnings %v", p.Safe, p.Warnings)
	}
}

func TestCalendarLearns(t *testing.T) {
	cal := NewCalendar(jobs.Shop{Evenings: slots("tue 20:00-22:00"), Holidays: []jobs.Day{"2026-10-13"}})
	var worked []estimate.Worked
	for _, d := range []jobs.Day{"2026-10-06", "2026-10-20", "2026-10-27"} {
		worked = append(worked, estimate.Worked{Day: d, SpanMin: 120, LoggedMin: 80})
	}
	got := cal.Learn(worked, "2026-10-01", "2026-11-08")
	if want := (Beta{3 + 3, 1 + 1}); got.Attendance[time.Tuesday] != want {
		t.Errorf("attendance %+v, want %+v: the holiday is not a missed evening, 3 November is", got.Attendance[time.Tuesday], want)
	}
	if want := (5*1.25 + 3*1.5) / 8; math.Abs(got.Unlogged-want) > 1e-12 {
		t.Errorf("loose %.4f, want %.4f", got.Unlogged, want)
	}
	if math.Abs(got.Length-1) > 1e-12 || got.LengthSpread >= 0.2 {
		t.Errorf("length %.3f spread %.3f, want 1 and below 0.2", got.Length, got.LengthSpread)
	}
	if l := estimate.UnloggedFactor(nil, "", ""); l.Factor != 1.25 || l.Measured != 0 {
		t.Errorf("no evenings: %+v", l)
	}
}
