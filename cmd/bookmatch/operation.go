package main

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"bookmatch/costing/estimate"
	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"

	"github.com/urfave/cli/v2"
)

func operationCommand(e *env) *cli.Command {
	return &cli.Command{
		Name: "operation", Usage: "operations: standards, what the log says of them, cures, recipes",
		Subcommands: []*cli.Command{
			{Name: "list", Usage: "every operation with its standard and its pace", Action: e.operationList},
			{Name: "show", Usage: "standard, yours and used; samples, spread, outliers", ArgsUsage: "OPERATION", Action: e.operationShow, Flags: []cli.Flag{
				&cli.StringFlag{Name: "quantity", Usage: "`UNITS` to estimate; else the usual ones"},
				&cli.BoolFlag{Name: "samples", Usage: "every sample, also those that do not count"},
			}},
			{Name: "set", Usage: "change an operation; a set-up or run makes the standard yours", ArgsUsage: "OPERATION", Action: e.operationSet, Flags: append(operationFlags(),
				&cli.BoolFlag{Name: "from-here", Usage: "a new jig or method: older samples stay visible and stop counting"},
				&cli.BoolFlag{Name: "from-start", Usage: "all samples count again"},
				&cli.BoolFlag{Name: "default", Usage: "back to the standard the file started with"},
				&cli.StringFlag{Name: "rename", Usage: "another `NAME` from now on; what is logged keeps the old one and still counts"},
			)},
			{Name: "add", Usage: "an operation of your own", ArgsUsage: "NAME", Action: e.operationAdd, Flags: append(operationFlags(),
				&cli.StringFlag{Name: "like", Usage: "start from another `OPERATION`, as when one is split in two"})},
		},
	}
}

// operationShow is `operation show --json`.
type operationShow struct {
	Operation string   `json:"operation"`
	Title     string   `json:"title"`
	Aliases   []string `json:"aliases"`
	Was       []string `json:"was,omitempty"` // earlier names
	SetupMin  float64  `json:"setup_min"`
	RunMin    float64  `json:"run_min"`
	Per       string   `json:"per"`
	Own       bool     `json:"own"`
	// Default, Yours and Used are the three standards: what the file started
	// with, what the builder wrote, and the present one at the pace of the log.
	Default *standardShow `json:"default"`
	Yours   *standardShow `json:"yours"`
	Used    standardShow  `json:"used"`
	// Fitted is set when the log can tell set-up from run.
	Fitted     *standardShow `json:"fitted,omitempty"`
	N          int           `json:"n"`
	NEffective float64       `json:"n_effective"`
	Oldest     *time.Time    `json:"oldest"`
	Newest     *time.Time    `json:"newest"`
	Pace       float64       `json:"pace"`
	PaceLow    float64       `json:"pace_low"`
	PaceHigh   float64       `json:"pace_high"`
	Spread     float64       `json:"spread"`
	Quantity   float64       `json:"quantity"` // that the minutes below are for
	LikelyMin  float64       `json:"likely_min"`
	SafeMin    float64       `json:"safe_min"`
	MeanMin    float64       `json:"mean_min"`
	// LargestQuantity is the most done in one sample.
	LargestQuantity float64              `json:"largest_quantity"`
	Outliers        []estimate.Outlier   `json:"outliers"`
	Trend           *estimate.Trend      `json:"trend"`
	Batch           estimate.BatchEffect `json:"batch"`
	Samples         []sampleShow         `json:"samples"`
	FromHere        *time.Time           `json:"from_here"`
	UnclampMin      float64              `json:"unclamp_min"`
	CureMin         float64              `json:"cure_min"`
	Clamps          int                  `json:"clamps"`
	Flags           []string             `json:"flags"`
	ReworkChance    float64              `json:"rework_chance"`
	ScrapChance     float64              `json:"scrap_chance"`
	Rework          reworkShow           `json:"rework"`
	Recipe          []jobs.RecipeLine    `json:"recipe"`
	Caution         string               `json:"caution,omitempty"`
	Basis           string               `json:"basis"`
	Source          string               `json:"source,omitempty"`
	Warnings        []string             `json:"warnings,omitempty"`
	Unlogged        unloggedShow         `json:"unlogged"`
}

type standardShow struct {
	SetupMin float64 `json:"setup_min"`
	RunMin   float64 `json:"run_min"`
}

// reworkShow is what the log says of passes that were repeated.
type reworkShow struct {
	Passes int            `json:"passes"` // first passes done
	Again  int            `json:"again"`
	Causes map[string]int `json:"causes,omitempty"`
}

type sampleShow struct {
	Evening  string   `json:"evening"`
	Necks    []string `json:"necks"`
	Quantity float64  `json:"quantity"`
	Minutes  float64  `json:"minutes"`
	Ratio    float64  `json:"ratio"` // to the standard
	Resumed  int      `json:"resumed,omitempty"`
	Excluded string   `json:"excluded,omitempty"`
}

// seedOperation gives the standard a file starts with for an operation or a name it had.
func seedOperation(k jobs.Operation) (jobs.Operation, bool) {
	for _, s := range jobs.SeedOperations() {
		if s.Name == k.Name || slices.Contains(k.Was, s.Name) {
			return s, true
		}
	}
	return jobs.Operation{}, false
}

// usualQuantity is the median of the samples, else what the routes plan, else 1.
func (b *desk) usualQuantity(k jobs.Operation, samples []estimate.Sample) float64 {
	var qs []float64
	for _, s := range samples {
		if s.Counts() {
			qs = append(qs, s.Quantity/float64(max(len(s.Necks), 1)))
		}
	}
	if len(qs) > 0 {
		slices.Sort(qs)
		return math.Round(qs[len(qs)/2]*100) / 100
	}
	for _, r := range jobs.SeedRoutes() {
		if q := r.Quantities[k.Per]; q > 0 {
			return q
		}
	}
	return 1
}

// operationReading gathers what the log says of an operation.
func (b *desk) operationReading(k jobs.Operation, q float64) (operationShow, error) {
	r := operationShow{Operation: k.Name, Title: k.Title, Aliases: notNil(k.Aliases), Was: k.Was, SetupMin: k.SetupMin, RunMin: k.RunMin, Per: k.Per, Own: k.Own,
		FromHere: k.From, UnclampMin: k.UnclampMin, CureMin: k.CureMin, Clamps: k.Clamps, Flags: operationWords(k), ReworkChance: k.ReworkChance, ScrapChance: k.ScrapChance,
		Recipe: notNil(k.Recipe), Caution: k.Caution, Source: k.Source, Outliers: []estimate.Outlier{}, Samples: []sampleShow{}}
	if s, ok := seedOperation(k); ok {
		r.Default = &standardShow{s.SetupMin, s.RunMin}
	}
	if k.Own {
		r.Yours = &standardShow{k.SetupMin, k.RunMin}
	}
	samples, err := b.Est().Samples(k.Name)
	if err != nil {
		return r, err
	}
	if q <= 0 {
		q = b.usualQuantity(k, samples)
	}
	est, err := b.Est().Step(k.Name, q)
	if err != nil {
		return r, err
	}
	std := estimate.StandardOf(k)
	r.N, r.NEffective, r.Pace, r.PaceLow, r.PaceHigh, r.Spread = est.N, est.NEffective, est.Pace, est.PaceLow, est.PaceHigh, est.Spread
	r.Quantity, r.LikelyMin, r.SafeMin, r.MeanMin, r.LargestQuantity = q, est.LikelyMin, est.SafeMin, est.MeanMin, est.LargestQuantity
	r.Trend, r.Basis, r.Warnings = est.Trend, est.Basis, est.Warnings
	r.Outliers = append(r.Outliers, est.Outliers...)
	r.Used = standardShow{k.SetupMin * est.Pace, k.RunMin * est.Pace}
	if est.N > 0 {
		r.Oldest, r.Newest = &est.Oldest, &est.Newest
	}
	if fit, ok := estimate.Refit(std, samples); ok {
		r.Fitted = &standardShow{fit.SetupMin, fit.RunMin}
	}
	r.Batch = estimate.Batches(std, samples, est.Pace)
	for _, s := range samples {
		x := sampleShow{Evening: s.Evening, Necks: s.Necks, Quantity: s.Quantity, Minutes: s.Minutes, Resumed: s.SetupsResumed, Excluded: s.WhyNot()}
		if want := std.Expected(s); want > 0 {
			x.Ratio = s.Minutes / want
		}
		r.Samples = append(r.Samples, x)
	}
	if r.Rework, err = b.rework(k.Name); err != nil {
		return r, err
	}
	return r, nil
}

func (b *desk) rework(operation string) (reworkShow, error) {
	entries, err := b.OperationEntries(operation)
	r := reworkShow{}
	for _, p := range jobs.Passes(entries, b.Shop, b.Now) {
		switch {
		case p.Class == jobs.Rework:
			r.Again++
			for _, e := range entries {
				if e.ID == p.Entries[0] {
					if r.Causes == nil {
						r.Causes = map[string]int{}
					}
					r.Causes[e.Cause]++
				}
			}
		case p.Done:
			r.Passes++
		}
	}
	return r, err
}

func (e *env) operationShow(c *cli.Context) error {
	w, err := typedWords(c, 1, 1)
	if err != nil {
		return err
	}
	q := 0.0
	if v := c.String("quantity"); v != "" {
		if q, err = jobs.ParseNumber("quantity", v, 0.01, 1e6); err != nil {
			return err
		}
	}
	var r operationShow
	var b *desk
	var operation jobs.Operation
	err = e.view(c, func(tx *workshop.Book) (err error) {
		if b, err = deskBench(tx); err != nil {
			return err
		}
		if operation, err = jobs.FindOperation(w[0], b.Operations, nil); err != nil {
			return err
		}
		if r, err = b.operationReading(operation, q); err != nil {
			return err
		}
		r.Unlogged, err = b.unlogged()
		return err
	})
	if err != nil {
		return err
	}
	if wantJSON(c) {
		return e.PrintJSON(r)
	}
	return e.print(operationReport(r, operation, c.Bool("samples"), b.Shop))
}

func operationReport(r operationShow, operation jobs.Operation, all bool, shop jobs.Shop) reports.Report {
	zone := shop.Location()
	std := reports.Table{Name: "standards", Columns: []reports.Column{
		{Key: "standard", Header: "standard"}, {Key: "setup_min", Header: "set-up", Unit: "min", Kind: reports.KindNumber}, {Key: "run_min", Header: "run per " + operation.Unit(), Unit: "min", Kind: reports.KindNumber, Digits: 2}, {Key: "basis", Header: "basis", Max: 36},
	}}
	line := func(name string, s *standardShow, basis string) {
		if s == nil {
			std.Add(reports.Text(name), reports.Empty(), reports.Empty(), reports.Text("none"))
			return
		}
		std.Add(reports.Text(name), reports.Number(s.SetupMin), reports.Number(s.RunMin), reports.Text(basis))
	}
	line("default", r.Default, "judgement, no source")
	line("yours", r.Yours, "written by you")
	line("used", &r.Used, fmt.Sprintf("the standard x pace %.2f", r.Pace))
	if r.Fitted != nil {
		line("fitted", r.Fitted, "set-up and run told apart by the log; operation set takes it over")
	}
	std.Note("%s", r.Basis)
	days := "no samples yet"
	if r.N > 0 {
		days = fmt.Sprintf("%d samples, %s to %s", r.N, shop.Evening(*r.Oldest), shop.Evening(*r.Newest))
	}
	std.Note("%s; spread %.2f (log scale); pace with 80 %% between %.2f and %.2f", days, r.Spread, r.PaceLow, r.PaceHigh)
	std.Note("%s: likely %.0f min, safe %.0f min; largest so far %s", jobs.UnitText(r.Quantity, operation), math.Ceil(r.LikelyMin), math.Ceil(r.SafeMin), noneOr(strings.TrimPrefix(jobs.NumberText(r.LargestQuantity), "0")))
	if r.FromHere != nil {
		std.Note("counts from %s on (from here); older samples stay visible", r.FromHere.In(zone).Format("2006-01-02 15:04"))
	}
	if r.Trend != nil {
		std.Note("trend: %+.1f %% a sample (80 %% between %+.1f and %+.1f); it is shown, never carried forward", 100*(r.Trend.PerSample-1), 100*(r.Trend.Low-1), 100*(r.Trend.High-1))
	}
	std.Note("batches: %s", r.Batch.Text)
	if again := r.Rework; again.Again > 0 {
		var causes []string
		for _, cause := range jobs.SortedKeys(again.Causes) {
			causes = append(causes, fmt.Sprintf("%s %d", cause, again.Causes[cause]))
		}
		std.Note("rework: %d beside %d first passes (%s); it teaches the standard nothing", again.Again, again.Passes, strings.Join(causes, ", "))
	}
	if r.CureMin > 0 {
		std.Note("cure: clamps off after %s, next step after %s, %d clamp sets; the label goes before", hoursText(r.UnclampMin), hoursText(r.CureMin), r.Clamps)
	}
	for _, l := range r.Recipe {
		std.Note("recipe: %s %s per %s + %s a mix", l.Supply, l.PerUnit, operation.Unit(), l.Waste)
	}
	if len(r.Flags) > 0 {
		std.Note("%s", strings.Join(r.Flags, ", "))
	}
	if len(r.Aliases)+len(r.Was) > 0 {
		std.Note("also: %s", strings.Join(append(slices.Clone(r.Aliases), r.Was...), ", "))
	}
	for _, w := range r.Warnings {
		std.Note("%s", w)
	}
	std.Note("%s", r.Unlogged.text())
	rep := reports.Report{Name: "operation", Title: fmt.Sprintf("%s: %s", r.Operation, r.Title), Zone: zone, Sections: reports.Sections(std)}
	cols := []reports.Column{{Key: "evening", Header: "evening", Kind: reports.KindDate}, {Key: "necks", Header: "necks", Max: 20}, {Key: "minutes", Header: "min", Kind: reports.KindNumber, Digits: reports.NoDigits}, {Key: "ratio", Header: "x standard", Kind: reports.KindNumber, Digits: 2}}
	if len(r.Outliers) > 0 {
		t := reports.Table{Name: "outliers", Title: "Worst outliers", Columns: append(slices.Clone(cols), reports.Column{Key: "clamped", Header: "held in 1/3 to 3", Kind: reports.KindFlag})}
		for _, o := range r.Outliers {
			t.Add(reports.Day(o.Evening), reports.Text(strings.Join(o.Necks, "+")), reports.Number(o.Minutes), reports.Number(o.Ratio), reports.Flag(o.Clamped))
		}
		rep.Add(t)
	}
	if all {
		t := reports.Table{Name: "samples", Title: "Samples", Empty: "no pass is logged yet", Columns: append(slices.Clone(cols), reports.Column{Key: "quantity", Header: "quantity", Kind: reports.KindNumber}, reports.Column{Key: "excluded", Header: "does not count", Max: 20})}
		for _, s := range r.Samples {
			t.Add(reports.Day(s.Evening), reports.Text(strings.Join(s.Necks, "+")), reports.Number(s.Minutes), reports.Number(s.Ratio), reports.Number(s.Quantity), reports.Text(s.Excluded))
		}
		rep.Add(t)
	}
	return rep
}

func hoursText(min float64) string {
	if min < 60 {
		return jobs.NumberText(min) + " min"
	}
	return jobs.NumberText(min/60) + " h"
}

func notNil[T any](s []T) []T {
	if s == nil {
		return []T{}
	}
	return s
}

func (e *env) operationList(c *cli.Context) error {
	if _, err := typedWords(c, 0, 0); err != nil {
		return err
	}
	type row struct {
		Operation string  `json:"operation"`
		Title     string  `json:"title"`
		SetupMin  float64 `json:"setup_min"`
		RunMin    float64 `json:"run_min"`
		Per       string  `json:"per"`
		Own       bool    `json:"own"`
		N         int     `json:"n"`
		Pace      float64 `json:"pace"`
		Spread    float64 `json:"spread"`
		Quantity  float64 `json:"quantity"`
		LikelyMin float64 `json:"likely_min"`
		SafeMin   float64 `json:"safe_min"`
		CureMin   float64 `json:"cure_min"`
	}
	rows := []row{}
	var b *desk
	var unlogged unloggedShow
	err := e.view(c, func(tx *workshop.Book) (err error) {
		if b, err = deskBench(tx); err != nil {
			return err
		}
		for _, name := range jobs.SortedKeys(b.Operations) {
			k := b.Operations[name]
			if k.Became != "" {
				continue
			}
			r, err := b.operationReading(k, 0)
			if err != nil {
				return err
			}
			rows = append(rows, row{r.Operation, r.Title, r.SetupMin, r.RunMin, r.Per, r.Own, r.N, r.Pace, r.Spread, r.Quantity, r.LikelyMin, r.SafeMin, r.CureMin})
		}
		unlogged, err = b.unlogged()
		return err
	})
	if err != nil {
		return err
	}
	if wantJSON(c) {
		return e.PrintJSON(map[string]any{"operations": rows, "loose": unlogged})
	}
	t := reports.Table{Name: "operations", Columns: []reports.Column{
		{Key: "operation", Header: "operation", Max: 20}, {Key: "setup_min", Header: "set-up", Kind: reports.KindNumber}, {Key: "run_min", Header: "run", Kind: reports.KindNumber, Digits: 2}, {Key: "per", Header: "per"}, {Key: "own", Header: "whose"},
		{Key: "n", Header: "n", Kind: reports.KindCount}, {Key: "pace", Header: "pace", Kind: reports.KindNumber, Digits: 2}, {Key: "quantity", Header: "for", Kind: reports.KindNumber, Digits: reports.NoDigits}, {Key: "likely_min", Header: "likely", Kind: reports.KindNumber, Digits: reports.NoDigits}, {Key: "safe_min", Header: "safe", Kind: reports.KindNumber, Digits: reports.NoDigits},
	}}
	for _, r := range rows {
		whose := "default"
		if r.Own {
			whose = "yours"
		}
		t.Add(reports.Text(r.Operation), reports.Number(r.SetupMin), reports.Number(r.RunMin), reports.Text(b.Operations[r.Operation].Unit()), reports.Text(whose), reports.Count(r.N), reports.Number(r.Pace), reports.Number(r.Quantity), reports.Number(math.Ceil(r.LikelyMin)), reports.Number(math.Ceil(r.SafeMin)))
	}
	t.Note("minutes; likely and safe (80 %%) are for the quantity in the column before; defaults are judgement, no source")
	t.Note("%s", unlogged.text())
	return e.print(reports.Report{Name: "operations", Title: "Operations", Sections: reports.Sections(t)})
}
