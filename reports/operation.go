package reports

import (
	"fmt"
	"math"
	"strings"

	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
)

// Operations lists every operation with its times.
func Operations(r *workshop.OperationListResult) Report {
	type o = workshop.OperationReading
	out := Report{Name: "operations", Title: "Operations", Made: r.Made, Headline: []string{fmt.Sprintf("%s. Minutes, likely and safe for the quantity named.", jobs.CountText(len(r.Operations), "operation"))},
		Notes: []string{"Starting guesses are our guess, no source: overwrite them.", UnloggedText(r.Unlogged)}, Next: []string{"operation show drill"}}
	out.Add(Build(Table{Name: "operations"}, r.Operations, []Col[o]{
		{Column{Key: "operation", Header: "operation", Max: 20}, func(x o) Cell { return Text(x.Operation) }},
		{Column{Key: "setup_min", Header: "setup", Kind: KindNumber}, func(x o) Cell { return Number(x.SetupMin) }},
		{Column{Key: "run_min", Header: "run", Kind: KindNumber, Digits: 2}, func(x o) Cell { return Number(x.RunMin) }},
		{Column{Key: "unit", Header: "per"}, func(x o) Cell { return Text(x.Unit) }},
		{Column{Key: "own", Header: "whose"}, func(x o) Cell { return Text(whoseStandard(x.Own)) }},
		{Column{Key: "n", Header: "from", Kind: KindCount}, func(x o) Cell { return Count(x.N) }},
		{Column{Key: "quantity", Header: "for", Kind: KindNumber, Digits: NoDigits}, func(x o) Cell { return Number(x.Quantity) }},
		{Column{Key: "likely_min", Header: "likely", Kind: KindNumber, Digits: NoDigits}, func(x o) Cell { return Number(math.Ceil(x.LikelyMin)) }},
		{Column{Key: "safe_min", Header: "safe", Kind: KindNumber, Digits: NoDigits}, func(x o) Cell { return Number(math.Ceil(x.SafeMin)) }},
		{Column{Key: "pace", Header: "pace", Kind: KindNumber, Digits: 2, At: Why}, func(x o) Cell { return Number(x.Pace) }},
	}))
	return out
}

func whoseStandard(own bool) string {
	if own {
		return "your own"
	}
	return "guess"
}

// UnloggedText says how much longer evenings are than their logged work.
func UnloggedText(u workshop.UnloggedTime) string {
	if u.Evenings == 0 {
		return fmt.Sprintf("Unlogged time: %.0f %% added (our guess, no evening measured in ten weeks).", 100*(u.Factor-1))
	}
	return fmt.Sprintf("Unlogged time: evenings are %.0f %% longer than their logged work (%s). %.0f %% is used.", 100*(u.Measured-1), jobs.CountText(u.Evenings, "evening"), 100*(u.Factor-1))
}

// PaceText says a pace against the standard: "15 % slower than standard".
func PaceText(pace float64) string {
	switch p := math.Round(100 * (pace - 1)); {
	case p > 0:
		return fmt.Sprintf("%.0f %% slower than standard", p)
	case p < 0:
		return fmt.Sprintf("%.0f %% faster than standard", -p)
	}
	return "at standard"
}

// OperationCard is one operation: what it takes, and where the times come from.
func OperationCard(r *workshop.OperationResult) Report {
	from := "no past job yet"
	if r.N > 0 {
		from = fmt.Sprintf("from %s, %s", jobs.CountText(r.N, "past job"), PaceText(r.Pace))
	}
	out := Report{Name: "operation", Title: r.OperationReading.Operation, Subject: r.Title, Made: r.Made, Zone: r.Made.Location(), Headline: []string{
		fmt.Sprintf("%s, %s: likely %.0f min, safe %.0f min (%s).", r.OperationReading.Operation, r.QuantityText, math.Ceil(r.LikelyMin), math.Ceil(r.SafeMin), from)}}
	if r.N > 0 {
		out.Headline = append(out.Headline, fmt.Sprintf("8 in 10 take between %.0f and %.0f min. Past jobs %s to %s, at most %s.", r.LowMin, r.HighMin, r.Oldest, r.Newest, jobs.NumberText(r.LargestQuantity)))
	}
	out.Add(standardsOf(r))
	out.Notes = operationNotes(r)
	out.Sections = append(out.Sections, Section{At: Why | Full, Title: "Why", Notes: operationWhy(r)})
	if len(r.Unusual) > 0 {
		t := unusualTimes(r)
		at := Why | Full
		if r.All {
			at = 0
		}
		out.Sections = append(out.Sections, Section{At: at, Table: &t})
	}
	at := Full
	if r.All {
		at = 0
	}
	t := pastJobsOf(r)
	out.Sections = append(out.Sections, Section{At: at, Table: &t})
	out.Next = []string{"operation show " + r.OperationReading.Operation + " --past-jobs", "operation set " + r.OperationReading.Operation + " --setup 8"}
	out.Cautions = r.Cautions
	return out
}

type namedStandard struct {
	name, basis string
	s           *workshop.Standard
}

func standardsOf(r *workshop.OperationResult) Table {
	rows := []namedStandard{{"starting guess", "our guess, no source", r.Guess}, {"your own", "written by you", r.Yours}, {"in use", "the standard, " + PaceText(r.Pace), &r.Used}}
	if r.Fitted != nil {
		rows = append(rows, namedStandard{"by the log", "setup and run worked out from past jobs", r.Fitted})
	}
	minutes := func(get func(*workshop.Standard) float64) func(namedStandard) Cell {
		return func(x namedStandard) Cell {
			if x.s == nil {
				return Empty()
			}
			return Number(get(x.s))
		}
	}
	return Build(Table{Name: "standards"}, rows, []Col[namedStandard]{
		{Column{Key: "standard", Header: "standard"}, func(x namedStandard) Cell { return Text(x.name) }},
		{Column{Key: "setup_min", Header: "setup", Unit: "min", Kind: KindNumber}, minutes(func(s *workshop.Standard) float64 { return s.SetupMin })},
		{Column{Key: "run_min", Header: "per " + r.Unit, Unit: "min", Kind: KindNumber, Digits: 2}, minutes(func(s *workshop.Standard) float64 { return s.RunMin })},
		{Column{Key: "basis", Header: "where from", Max: 40}, func(x namedStandard) Cell {
			if x.s == nil {
				return Text("none")
			}
			return Text(x.basis)
		}},
	})
}

func operationNotes(r *workshop.OperationResult) (notes []string) {
	if r.CureMin > 0 {
		notes = append(notes, fmt.Sprintf("Cure: clamps off after %s, next step after %s, %s. The label decides.", hoursOr(r.UnclampMin), hoursOr(r.CureMin), jobs.CountText(r.Clamps, "clamp set")))
	}
	for _, l := range r.Recipe {
		notes = append(notes, fmt.Sprintf("Recipe: %s, %s for each %s and %s a mix.", l.Supply, l.PerUnit, r.Unit, l.Waste))
	}
	if again := r.Rework; again.Again > 0 {
		var causes []string
		for _, c := range jobs.SortedKeys(again.Causes) {
			causes = append(causes, fmt.Sprintf("%s %d", c, again.Causes[c]))
		}
		notes = append(notes, fmt.Sprintf("Redone %d times, done %d times first (%s).", again.Again, again.Passes, strings.Join(causes, ", ")))
	}
	if r.FromHere != nil {
		notes = append(notes, "Past jobs count from "+r.FromHere.Format("2 Jan 2006 15:04")+" on.")
	}
	return notes
}

func operationWhy(r *workshop.OperationResult) []string {
	why := []string{"Basis: " + r.Basis + ".", fmt.Sprintf("Pace %.2f, 8 in 10 between %.2f and %.2f. Spread %.2f on the log scale.", r.Pace, r.PaceLow, r.PaceHigh, r.Spread)}
	if r.Trend != nil {
		why = append(why, fmt.Sprintf("Trend %+.1f %% a past job (8 in 10 between %+.1f and %+.1f). It is shown, never carried forward.", 100*(r.Trend.PerJob-1), 100*(r.Trend.Low-1), 100*(r.Trend.High-1)))
	}
	why = append(why, "Batches: "+r.Batch.Text+".")
	if len(r.Marks) > 0 {
		why = append(why, "Marks: "+strings.Join(r.Marks, ", ")+".")
	}
	if also := append(append([]string{}, r.Aliases...), r.OperationReading.Was...); len(also) > 0 {
		why = append(why, "Also typed: "+strings.Join(also, ", ")+".")
	}
	return append(append(why, r.Doubts...), UnloggedText(r.Unlogged))
}

func unusualTimes(r *workshop.OperationResult) Table {
	type o = struct {
		evening string
		necks   []string
		minutes float64
		ratio   float64
		capped  bool
	}
	var rows []o
	for _, x := range r.Unusual {
		rows = append(rows, o{x.Evening, x.Necks, x.Minutes, x.Ratio, x.Clamped})
	}
	return Build(Table{Name: "unusual", Title: "Unusual times"}, rows, []Col[o]{
		{Column{Key: "evening", Header: "evening", Kind: KindDate}, func(x o) Cell { return Day(x.evening) }},
		{Column{Key: "necks", Header: "necks", Max: 20}, func(x o) Cell { return Text(strings.Join(x.necks, "+")) }},
		{Column{Key: "minutes", Header: "took", Unit: "min", Kind: KindNumber, Digits: NoDigits}, func(x o) Cell { return Number(x.minutes) }},
		{Column{Key: "ratio", Header: "x standard", Kind: KindNumber, Digits: 2}, func(x o) Cell { return Number(x.ratio) }},
		{Column{Key: "clamped", Header: "capped", Kind: KindFlag}, func(x o) Cell { return Flag(x.capped) }},
	})
}

func pastJobsOf(r *workshop.OperationResult) Table {
	type p = workshop.PastJob
	return Build(Table{Name: "past_jobs", Title: "Past jobs", Empty: "No past job yet."}, r.PastJobs, []Col[p]{
		{Column{Key: "evening", Header: "evening", Kind: KindDate}, func(x p) Cell { return Day(x.Evening) }},
		{Column{Key: "necks", Header: "necks", Max: 20}, func(x p) Cell { return Text(strings.Join(x.Necks, "+")) }},
		{Column{Key: "minutes", Header: "took", Unit: "min", Kind: KindNumber, Digits: NoDigits}, func(x p) Cell { return Number(x.Minutes) }},
		{Column{Key: "ratio", Header: "x standard", Kind: KindNumber, Digits: 2}, func(x p) Cell { return Number(x.Ratio) }},
		{Column{Key: "quantity", Header: "quantity", Kind: KindNumber}, func(x p) Cell { return Number(x.Quantity) }},
		{Column{Key: "excluded", Header: "does not count", Max: 20}, func(x p) Cell { return Text(x.Excluded) }},
	})
}

func hoursOr(min float64) string {
	if min < 60 {
		return jobs.NumberText(min) + " min"
	}
	return jobs.NumberText(min/60) + " h"
}

// OperationSaid is the echo of an operation that was changed or added.
func OperationSaid(r *workshop.OperationChanged) Report {
	out := Report{Name: "operation", Headline: []string{fmt.Sprintf("CHANGED %s: setup %s min, run %s min per %s (%s).", r.Operation.Name, jobs.NumberText(r.SetupMin), jobs.NumberText(r.RunMin), r.UnitText, whoseStandard(r.Own))}}
	if r.Was != "" {
		out.Headline = append(out.Headline, fmt.Sprintf("%s is %s from now on. What is logged keeps its name and still counts.", r.Was, r.Operation.Name))
	}
	if r.FromHere {
		out.Headline = append(out.Headline, "Past jobs count from now on. Older ones stay visible: operation show "+r.Operation.Name+" --past-jobs")
	}
	return out
}

// OperationAdded is the echo of an operation that was added.
func OperationAdded(r *workshop.OperationChanged) Report {
	return Report{Name: "operation", Headline: []string{
		fmt.Sprintf("ADDED %s: setup %s min, run %s min per %s (%s).", r.Operation.Name, jobs.NumberText(r.SetupMin), jobs.NumberText(r.RunMin), r.UnitText, whoseStandard(r.Own)),
		"Put it on a neck: neck step NECK " + r.Operation.Name + " --add"}}
}
