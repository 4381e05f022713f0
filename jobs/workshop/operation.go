package workshop

import (
	"cmp"
	"math"
	"slices"
	"time"

	"bookmatch/costing/estimate"
	"bookmatch/jobs"
)

// OperationListAsk asks for all operations.
type OperationListAsk struct{ Asked }

// OperationListResult is every operation with its times.
type OperationListResult struct {
	Meta
	Operations []OperationReading `json:"operations"`
	Unlogged   UnloggedTime       `json:"unlogged"`
}

// OperationShowAsk asks for the times of one operation.
type OperationShowAsk struct {
	Asked
	Operation string  `json:"operation" word:"OPERATION"`
	Quantity  float64 `json:"quantity,omitempty" flag:"quantity" arg:"N" help:"the quantity to estimate, else the usual one"`
	PastJobs  bool    `json:"past_jobs,omitempty" flag:"past-jobs" help:"every past job, also those that do not count"`
}

// OperationResult is one operation with what the log says of it.
type OperationResult struct {
	Meta
	OperationReading
	Unlogged UnloggedTime `json:"unlogged"`
	All      bool         `json:"all_past_jobs,omitempty"`
}

// OperationReading is an operation with its times: the standard, the present
// pace, and the past jobs behind both. Minutes are rounded to hundredths.
type OperationReading struct {
	Operation string   `json:"operation"`
	Title     string   `json:"title"`
	Aliases   []string `json:"aliases"`
	Was       []string `json:"was,omitempty"` // earlier names
	SetupMin  float64  `json:"setup_min"`
	RunMin    float64  `json:"run_min"`
	Per       string   `json:"per"`
	Unit      string   `json:"unit"`
	Own       bool     `json:"own"`
	// Guess, Yours and Used are the three standards: what the file started with,
	// what the builder wrote, and the present one at the pace of the log.
	Guess *Standard `json:"starting_guess"`
	Yours *Standard `json:"yours"`
	Used  Standard  `json:"in_use"`
	// Fitted is set when the log can tell setup from run time.
	Fitted          *Standard              `json:"fitted,omitempty"`
	N               int                    `json:"n"`
	NEffective      float64                `json:"n_effective"`
	Oldest          jobs.Day               `json:"oldest,omitempty"`
	Newest          jobs.Day               `json:"newest,omitempty"`
	Pace            float64                `json:"pace"`
	PaceLow         float64                `json:"pace_low"`
	PaceHigh        float64                `json:"pace_high"`
	Spread          float64                `json:"spread"`
	Quantity        float64                `json:"quantity"` // that the minutes below are for
	QuantityText    string                 `json:"quantity_text"`
	LikelyMin       float64                `json:"likely_min"`
	SafeMin         float64                `json:"safe_min"`
	AverageMin      float64                `json:"average_min"`
	LowMin          float64                `json:"low_min"` // 8 in 10 are between low and high
	HighMin         float64                `json:"high_min"`
	LargestQuantity float64                `json:"largest_quantity"`
	Unusual         []estimate.UnusualTime `json:"unusual"`
	Trend           *estimate.Trend        `json:"trend"`
	Batch           estimate.BatchEffect   `json:"batch"`
	PastJobs        []PastJob              `json:"past_jobs"`
	FromHere        *time.Time             `json:"from_here"`
	UnclampMin      float64                `json:"unclamp_min"`
	CureMin         float64                `json:"cure_min"`
	Clamps          int                    `json:"clamps"`
	Marks           []string               `json:"marks"`
	ReworkChance    float64                `json:"rework_chance"`
	ScrapChance     float64                `json:"scrap_chance"`
	Rework          ReworkCount            `json:"rework"`
	Recipe          []jobs.RecipeLine      `json:"recipe"`
	Cautions        []string               `json:"cautions,omitempty"`
	Place           string                 `json:"place"`
	Group           string                 `json:"group,omitempty"`
	Gates           []jobs.Gate            `json:"gates,omitempty"`
	Basis           string                 `json:"basis"`
	Source          string                 `json:"source,omitempty"`
	Doubts          []string               `json:"doubts,omitempty"`
}

// Standard is setup minutes and run minutes per unit.
type Standard struct {
	SetupMin float64 `json:"setup_min"`
	RunMin   float64 `json:"run_min"`
}

// ReworkCount is what the log says of steps that were repeated.
type ReworkCount struct {
	Passes int            `json:"passes"` // first times done
	Again  int            `json:"again"`
	Causes map[string]int `json:"causes,omitempty"`
}

// PastJob is one finished first time as the estimator sees it. Excluded says why
// it does not count.
type PastJob struct {
	Evening  string   `json:"evening"`
	Necks    []string `json:"necks"`
	Quantity float64  `json:"quantity"`
	Minutes  float64  `json:"minutes"`
	Ratio    float64  `json:"ratio"` // to the standard
	Resumed  int      `json:"resumed,omitempty"`
	Excluded string   `json:"excluded,omitempty"`
}

// OperationList lists the operations, OperationShow shows one.
var (
	OperationList = Define("operation list", "", Long, (*Book).operationList)
	OperationShow = Define("operation show", "", Reads, (*Book).operationShow)
)

func (b *Book) operationList(_ *OperationListAsk, res *OperationListResult) (err error) {
	res.Operations = []OperationReading{}
	for _, name := range jobs.SortedKeys(b.Operations) {
		o := b.Operations[name]
		if o.Became != "" {
			continue
		}
		r, err := b.operationReading(o, 0)
		if err != nil {
			return err
		}
		res.Operations = append(res.Operations, r)
	}
	res.Unlogged, err = b.Unlogged()
	return err
}

func (b *Book) operationShow(ask *OperationShowAsk, res *OperationResult) error {
	if q := ask.Quantity; q < 0 || q > 1e6 {
		return &jobs.FieldError{Field: "quantity", Value: jobs.NumberText(q), Want: "a quantity above 0, such as 6"}
	}
	o, err := jobs.FindOperation(ask.Operation, b.Operations, nil)
	if err != nil {
		return err
	}
	if res.OperationReading, err = b.operationReading(o, ask.Quantity); err != nil {
		return err
	}
	res.All = ask.PastJobs
	res.Unlogged, err = b.Unlogged()
	return err
}

// StartingGuess gives the standard that a file starts with for an operation or a
// name it had.
func StartingGuess(o jobs.Operation) (jobs.Operation, bool) {
	for _, s := range jobs.SeedOperations() {
		if s.Name == o.Name || slices.Contains(o.Was, s.Name) {
			return s, true
		}
	}
	return jobs.Operation{}, false
}

// usualQuantity is the middle one of the past jobs, else what the routes plan,
// else 1.
func usualQuantity(o jobs.Operation, pastJobs []estimate.PastJob) float64 {
	var qs []float64
	for _, s := range pastJobs {
		if s.Counts() {
			qs = append(qs, s.Quantity/float64(max(len(s.Necks), 1)))
		}
	}
	if len(qs) > 0 {
		slices.Sort(qs)
		return jobs.Round2(qs[len(qs)/2])
	}
	for _, r := range jobs.SeedRoutes() {
		if q := r.Quantities[o.Per]; q > 0 {
			return q
		}
	}
	return 1
}

// operationReading gathers what the log says of an operation. A quantity of 0 is
// the usual one.
func (b *Book) operationReading(o jobs.Operation, q float64) (OperationReading, error) {
	r := OperationReading{Operation: o.Name, Title: o.Title, Aliases: append([]string{}, o.Aliases...), Was: o.Was, SetupMin: o.SetupMin, RunMin: o.RunMin, Per: o.Per, Unit: o.Unit(), Own: o.Own,
		UnclampMin: o.UnclampMin, CureMin: o.CureMin, Clamps: o.Clamps, Marks: o.Marks(), ReworkChance: o.ReworkChance, ScrapChance: o.ScrapChance,
		Recipe: append([]jobs.RecipeLine{}, o.Recipe...), Cautions: o.Graph().CautionTexts(), Place: string(o.At()), Group: o.Group, Gates: o.Graph().AllGates(), Source: o.Source, Unusual: []estimate.UnusualTime{}, PastJobs: []PastJob{}}
	if s, ok := StartingGuess(o); ok {
		r.Guess = &Standard{s.SetupMin, s.RunMin}
	}
	if o.Own {
		r.Yours = &Standard{o.SetupMin, o.RunMin}
	}
	if o.From != nil {
		from := b.Wall(*o.From)
		r.FromHere = &from
	}
	pastJobs, err := b.Est().PastJobs(o.Name)
	if err != nil {
		return r, err
	}
	q = cmp.Or(q, usualQuantity(o, pastJobs))
	est, err := b.Est().Step(o.Name, q)
	if err != nil {
		return r, err
	}
	std := estimate.StandardOf(o)
	r.N, r.NEffective, r.Pace, r.PaceLow, r.PaceHigh, r.Spread = est.N, jobs.Round3(est.NEffective), jobs.Round3(est.Pace), jobs.Round3(est.PaceLow), jobs.Round3(est.PaceHigh), jobs.Round3(est.Spread)
	r.Quantity, r.QuantityText, r.LikelyMin, r.SafeMin, r.AverageMin, r.LargestQuantity = q, jobs.UnitText(q, o), jobs.Round2(est.LikelyMin), jobs.Round2(est.SafeMin), jobs.Round2(est.MeanMin), est.LargestQuantity
	r.LowMin, r.HighMin = jobs.Round2(est.Quantile(0.1)), jobs.Round2(est.Quantile(0.9))
	r.Trend, r.Basis, r.Doubts = est.Trend, est.Basis, est.Warnings
	r.Unusual = append(r.Unusual, est.UnusualTimes...)
	r.Used = Standard{jobs.Round2(o.SetupMin * est.Pace), jobs.Round3(o.RunMin * est.Pace)}
	if est.N > 0 {
		r.Oldest, r.Newest = b.Shop.Evening(est.Oldest), b.Shop.Evening(est.Newest)
	}
	if fit, ok := estimate.Refit(std, pastJobs); ok {
		r.Fitted = &Standard{jobs.Round2(fit.SetupMin), jobs.Round3(fit.RunMin)}
	}
	r.Batch = estimate.Batches(std, pastJobs, est.Pace)
	for _, s := range pastJobs {
		x := PastJob{Evening: s.Evening, Necks: s.Necks, Quantity: s.Quantity, Minutes: jobs.Round2(s.Minutes), Resumed: s.SetupsResumed, Excluded: s.WhyNot()}
		if want := std.Expected(s); want > 0 && !math.IsInf(s.Minutes/want, 0) {
			x.Ratio = jobs.Round3(s.Minutes / want)
		}
		r.PastJobs = append(r.PastJobs, x)
	}
	r.Rework, err = b.reworkOf(o.Name)
	return r, err
}

func (b *Book) reworkOf(operation string) (ReworkCount, error) {
	entries, err := b.OperationEntries(operation)
	r := ReworkCount{}
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
