package schedule

import (
	"fmt"
	"math"
	"sort"
	"time"

	"bookmatch/costing/estimate"
	"bookmatch/jobs"
)

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
	// Shortest is how many evenings it takes at least, with the bench to itself,
	// and Path the steps that make it so.
	Shortest float64  `json:"shortest_evenings,omitempty"`
	Path     []string `json:"longest_path,omitempty"`
	Moves    []Move   `json:"moves"`
	Basis    []string `json:"basis"`
	Warnings []string `json:"warnings,omitempty"`
	Draws    int      `json:"draws"`
	Seed     uint64   `json:"seed"`
}

// Move is one thing that moves the safe date, by so many days (negative is
// earlier).
type Move struct {
	What string `json:"what"`
	Days int    `json:"days"`
}

// promiseHorizon is how far ahead a calendar is walked, in days.
const promiseHorizon = 1500

// Question is what a walk is asked: the hours and the date of the own necks,
// made one by one, behind those before them.
type Question struct {
	Now      time.Time // in the zone of the shop
	Own      []QueueNeck
	Before   []QueueNeck // in the order in which they are promised
	Calendar Habits
	Bench    Bench
	Settings estimate.Settings

	missed float64 // share of the evenings, else worked, that fall out
}

// Walked is what a walk found.
type Walked struct {
	Hours estimate.Hours
	// Resumed holds, by operation, the mean minutes of setups that come again.
	Resumed map[string]float64

	days []int   // from now, sorted
	each [][]int // by own neck
}

// Walk simulates the evenings from now until the last own neck is finished:
// which planned evenings are worked, which steps are ready, what fits, what
// cures. One walk gives date and hours. Wall-clock minutes are walked: an hour
// gained or lost at a clock change does not move a date. A shop without
// evenings gets hours, as if it worked on every third day.
func (q Question) Walk() Walked {
	if len(q.Calendar.Slots) == 0 {
		for d := time.Sunday; d <= time.Saturday; d += 3 {
			q.Calendar.Slots = append(q.Calendar.Slots, jobs.Slot{Day: d, From: 19 * 60, To: 21*60 + 30})
		}
	}
	set := q.Settings.WithDefaults()
	return newGraphWalk(q, set).run(set.Draws)
}

// day is the day after so many; empty beyond the horizon.
func (w Walked) day(now time.Time, n int) jobs.Day {
	if n >= promiseHorizon {
		return ""
	}
	return jobs.DayOf(now).Add(n)
}

// Dates gives the likely and the safe date, empty where the shop plans no
// evenings or the date is more than four years away.
func (q Question) Dates(w Walked) (likely, safe, p90 jobs.Day) {
	if len(q.Calendar.Slots) == 0 {
		return "", "", ""
	}
	return w.day(q.Now, middleDay(w.days)), w.day(q.Now, dayFor(w.days, 0.8)), w.day(q.Now, dayFor(w.days, 0.9))
}

// DatesOf gives the likely and the safe date of one own neck.
func (q Question) DatesOf(w Walked, own int) (likely, safe jobs.Day) {
	w.days = w.each[own]
	likely, safe, _ = q.Dates(w)
	return likely, safe
}

// Promise gives the date that a walk found, the chance of a wished date, and
// what moves it.
func (q Question) Promise(w Walked, due jobs.Day) Promise {
	set := q.Settings.WithDefaults()
	today := jobs.DayOf(q.Now)
	p := Promise{Starts: max(q.Own[0].Starts, today), Draws: set.Draws, Seed: set.Seed}
	if len(q.Calendar.Slots) == 0 {
		p.Warnings = append(p.Warnings, "no working evenings are set up, so there is no date: shop setup --evening \"tue 19:30-22:00\"")
		return p
	}
	p.Likely, p.Safe, p.P90 = q.Dates(w)
	p.LikelyWeeks, p.SafeWeeks = weeks(p.Starts, p.Likely), weeks(p.Starts, p.Safe)
	if due != "" {
		n := today.DaysTo(due)
		chance := float64(sort.SearchInts(w.days, n+1)) / float64(len(w.days))
		p.DueChance = &chance
	}
	if late := len(w.days) - sort.SearchInts(w.days, promiseHorizon); late > 0 {
		p.Warnings = append(p.Warnings, fmt.Sprintf("%d of %d draws do not finish within four years: too few evenings for the work before it", late, len(w.days)))
	}
	p.Shortest, p.Path = shortest(q.Own[0], q.Now, q.Calendar)
	p.Basis = q.basis()
	p.Warnings = append(p.Warnings, q.tooLong()...)
	p.Moves = q.moves()
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

func (q Question) basis() []string {
	planned, worked := q.Calendar.EveningsPerWeek()
	mean, longest, cures, steps := 0.0, 0.0, 0, 0
	for _, n := range q.Own {
		for i, s := range n.Steps {
			if s.Done {
				continue
			}
			steps++
			mean += n.Works[i].Estimate.MeanMin / 60
			longest = math.Max(longest, s.CuredMin/60)
			if s.CuredMin >= 6*60 {
				cures++
			}
		}
	}
	out := []string{
		fmt.Sprintf("%g %s a week planned, %.1f worked on average; %.0f %% of an evening is logged work", planned, jobs.Plural(planned, "evening"), worked, 100/q.Calendar.Unlogged),
		fmt.Sprintf("%d steps left, mean %.1f h; %d waits of 6 h or more, the longest %.0f h", steps, mean, cures, longest),
	}
	if len(q.Before) > 0 {
		left := 0
		for _, b := range q.Before {
			for _, s := range b.Steps {
				left += is(!s.Done)
			}
		}
		out = append(out, fmt.Sprintf("%d %s before it with %d steps left", len(q.Before), jobs.Plural(float64(len(q.Before)), "neck"), left))
	}
	if parts := q.Own[0].Parts; parts != nil {
		out = append(out, fmt.Sprintf("parts likely by %s, safe by %s", parts.Likely, parts.Safe))
	}
	return out
}

// tooLong warns of steps that must be done in one session and are longer than
// any planned evening.
func (q Question) tooLong() (out []string) {
	most := 0.0
	for _, s := range q.Calendar.Slots {
		most = math.Max(most, float64(s.Minutes())*q.Calendar.Length/math.Max(q.Calendar.Unlogged, 1))
	}
	for i, s := range q.Own[0].Steps {
		if safe := q.Own[0].Works[i].Estimate.SafeMin; !s.Done && s.Marks.Has(NoStop) && safe > most {
			out = append(out, fmt.Sprintf("%s cannot stop midway and is safe in %.0f min, longer than an evening's %.0f: it is planned as a long evening", s.Name, safe, most))
		}
	}
	return out
}
