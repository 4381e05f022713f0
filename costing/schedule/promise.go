package schedule

import (
	"fmt"
	"math"
	"sort"
	"time"

	"bookmatch/costing/estimate"
	"bookmatch/jobs"
)

// Task is one step still to do, as the calendar sees it.
type Task struct {
	estimate.Work
	SetupMin float64 `json:"setup_min,omitempty"` // once more when taken up on another evening
	CureMin  float64 `json:"cure_min,omitempty"`  // after it, by the clock, before the next
	NoStop   bool    `json:"no_stop,omitempty"`   // must fit into what is left of the evening
	Noise    bool    `json:"noise,omitempty"`     // not after the curfew
	Hardware bool    `json:"hardware,omitempty"`  // waits for the parts
	DoneMin  float64 `json:"done_min,omitempty"`  // minutes already put into it
}

// Job is a neck in the queue with the steps it still needs, in order.
type Job struct {
	Name  string `json:"name"`
	Tasks []Task `json:"tasks"`
	// Starts is the first day on which it may be worked on (its deposit); empty
	// is at once.
	Starts jobs.Day `json:"starts,omitempty"`
	// Ready is when a cure now running lets the next task begin.
	Ready time.Time `json:"ready,omitzero"`
	// Parts is when the bought-in parts come; nil when they are there.
	Parts *jobs.Arrival `json:"parts,omitempty"`
}

// Promise is when a neck will be finished.
type Promise struct {
	Likely jobs.Day `json:"likely"` // as likely before as after
	Safe   jobs.Day `json:"safe"`   // with 80 %
	P90    jobs.Day `json:"p90"`
	Starts jobs.Day `json:"starts"`
	// Weeks from Starts, rounded up to half weeks.
	LikelyWeeks float64 `json:"likely_weeks"`
	SafeWeeks   float64 `json:"safe_weeks"`
	// DueChance is the chance of the wished date, where there is one.
	DueChance *float64 `json:"due_chance,omitempty"`
	Moves     []Move   `json:"moves"`
	Basis     []string `json:"basis"`
	Warnings  []string `json:"warnings,omitempty"`
	Draws     int      `json:"draws"`
	Seed      uint64   `json:"seed"`
}

// Move is one thing that moves the safe date, by so many days (negative is
// earlier).
type Move struct {
	What string `json:"what"`
	Days int    `json:"days"`
}

// promiseHorizon is how far ahead a calendar is walked, in days.
const promiseHorizon = 1500

// PromiseDate simulates the evenings from now until own is finished: which of
// the planned evenings are worked, which step of which neck is ready (those of
// before come first, in their order), what fits, what cures. The calendar
// walks wall-clock minutes: an hour gained or lost at a clock change does not
// move a date.
func PromiseDate(now time.Time, own Job, before []Job, due jobs.Day, cal Calendar, set estimate.Settings) Promise {
	set = set.WithDefaults()
	today := jobs.DayOf(now)
	p := Promise{Starts: max(own.Starts, today), Draws: set.DateDraws, Seed: set.Seed}
	if len(cal.Slots) == 0 {
		p.Warnings = append(p.Warnings, "no working evenings are set up, so there is no date: shop setup --evening \"tue 19:30-22:00\"")
		return p
	}
	base := scenario{now: now, own: own, before: before, cal: cal}
	days := base.finish(set, set.DateDraws)
	date := func(n int) jobs.Day {
		if n >= promiseHorizon {
			return ""
		}
		return today.Add(n)
	}
	p.Likely, p.Safe, p.P90 = date(middleDay(days)), date(dayFor(days, 0.8)), date(dayFor(days, 0.9))
	p.LikelyWeeks, p.SafeWeeks = weeks(p.Starts, p.Likely), weeks(p.Starts, p.Safe)
	if due != "" {
		n := today.DaysTo(due)
		chance := float64(sort.SearchInts(days, n+1)) / float64(len(days))
		p.DueChance = &chance
	}
	late := len(days) - sort.SearchInts(days, promiseHorizon)
	if late > 0 {
		p.Warnings = append(p.Warnings, fmt.Sprintf("%d of %d draws do not finish within four years: too few evenings for the work before it", late, len(days)))
	}
	p.Basis = promiseBasis(own, before, cal)
	p.Warnings = append(p.Warnings, tooLong(own, cal)...)
	p.Moves = moves(base, set)
	return p
}

// dayFor gives the first day by which at least the share p of draws is done.
func dayFor(sorted []int, p float64) int {
	return sorted[max(int(math.Ceil(p*float64(len(sorted))))-1, 0)]
}

// middleDay gives the day by which nearest to half of the draws are done.
// Work ends on few days of a week: the first day with half of them would on
// average hold in more than half.
func middleDay(sorted []int) int {
	d := dayFor(sorted, 0.5)
	before, upTo := sort.SearchInts(sorted, d), sort.SearchInts(sorted, d+1)
	if before > 0 && len(sorted)-2*before < 2*upTo-len(sorted) {
		return sorted[before-1]
	}
	return d
}

func weeks(from, to jobs.Day) float64 {
	if from == "" || to == "" {
		return 0
	}
	return math.Ceil(float64(from.DaysTo(to))/3.5) / 2
}

// moves changes one thing at a time, with the same draws, and gives the three
// that move the safe date most. What moves it by less than the simulation can
// tell is not given.
func moves(base scenario, set estimate.Settings) []Move {
	n := max(set.DateDraws/4, 100)
	days := base.finish(set, n)
	zero := dayFor(days, 0.8)
	if zero >= promiseHorizon {
		return nil
	}
	noise := safeNoise(days)
	var out []Move
	try := func(what string, s scenario) {
		if d := dayFor(s.finish(set, n), 0.8); d < promiseHorizon && d != zero && float64(abs(d-zero)) >= noise {
			out = append(out, Move{what, d - zero})
		}
	}
	fewer := base
	fewer.missed = 0.2
	try("one evening in five missed", fewer)
	if len(base.before) > 0 {
		first := base
		first.before = nil
		try(fmt.Sprintf("this neck put before %d %s", len(base.before), jobs.Plural(float64(len(base.before)), "other")), first)
	}
	if base.own.Parts != nil {
		later := base
		later.own.Parts = &jobs.Arrival{Likely: base.own.Parts.Likely.Add(14), Safe: base.own.Parts.Safe.Add(14)}
		try("parts two weeks later", later)
	}
	start := base
	start.own.Starts = max(base.own.Starts, jobs.DayOf(base.now)).Add(14)
	try("deposit two weeks later", start)
	more := base
	more.own.Tasks = append([]Task(nil), base.own.Tasks...)
	for i := range more.own.Tasks {
		more.own.Tasks[i].Estimate.Centre += math.Log(1.2)
	}
	try("a fifth more hours on it", more)
	sort.SliceStable(out, func(i, j int) bool { return abs(out[i].Days) > abs(out[j].Days) })
	return out[:min(3, len(out))]
}

// safeNoise is the standard error of the 80 % day of a simulation, in days:
// half the distance of the order statistics one binomial standard error below
// and above it (the usual interval of a quantile without a distribution).
func safeNoise(sorted []int) float64 {
	n := float64(len(sorted))
	rank := func(r float64) int { return sorted[min(max(int(math.Round(r)), 1), len(sorted))-1] }
	se := math.Sqrt(n * 0.8 * 0.2)
	return float64(rank(0.8*n+se)-rank(0.8*n-se)) / 2
}

func abs(n int) int { return max(n, -n) }

func promiseBasis(own Job, before []Job, cal Calendar) []string {
	planned, worked := cal.EveningsPerWeek()
	likely, longest := 0.0, 0.0
	cures := 0
	for _, t := range own.Tasks {
		likely += t.Estimate.MeanMin / 60
		longest = math.Max(longest, t.CureMin/60)
		if t.CureMin >= 6*60 {
			cures++
		}
	}
	out := []string{
		fmt.Sprintf("%g %s a week planned, %.1f worked on average; %.0f %% of an evening is logged work", planned, jobs.Plural(planned, "evening"), worked, 100/cal.Unlogged),
		fmt.Sprintf("%d steps left, mean %.1f h; %d waits of 6 h or more, the longest %.0f h", len(own.Tasks), likely, cures, longest),
	}
	if len(before) > 0 {
		steps := 0
		for _, b := range before {
			steps += len(b.Tasks)
		}
		out = append(out, fmt.Sprintf("%d %s before it with %d steps left", len(before), jobs.Plural(float64(len(before)), "neck"), steps))
	}
	if own.Parts != nil {
		out = append(out, fmt.Sprintf("parts likely by %s, safe by %s", own.Parts.Likely, own.Parts.Safe))
	}
	return out
}

// tooLong warns of steps that must be done in one session and are longer than
// any planned evening.
func tooLong(own Job, cal Calendar) []string {
	most := 0.0
	for _, s := range cal.Slots {
		most = math.Max(most, float64(s.Minutes())*cal.Length/math.Max(cal.Unlogged, 1))
	}
	var out []string
	for _, t := range own.Tasks {
		if t.NoStop && t.Estimate.SafeMin > most {
			out = append(out, fmt.Sprintf("%s cannot stop midway and is safe in %.0f min, longer than an evening's %.0f: it is planned as a long evening", t.Name, t.Estimate.SafeMin, most))
		}
	}
	return out
}
