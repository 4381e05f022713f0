package workshop

import (
	"cmp"

	"bookmatch/costing/money"
	"bookmatch/costing/quote"
	"bookmatch/jobs"
)

// OverheadShowAsk asks what an hour has to carry of the yearly costs.
type OverheadShowAsk struct {
	Asked
	JobHours float64 `json:"job_h,omitempty" flag:"job" arg:"HOURS" help:"a job of HOURS on which the difference is shown"`
}

// OverheadResult is the yearly overhead divided by logged and by planned hours.
// Amounts are rounded once.
type OverheadResult struct {
	Meta
	Rate     quote.OverheadRate `json:"rate"`
	UsedPerH money.Amount       `json:"used_per_h"`
}

// OverheadShow divides the yearly overhead by hours.
var OverheadShow = Define("overhead show", "", Reads, (*Book).overheadShow)

func (b *Book) overheadShow(ask *OverheadShowAsk, res *OverheadResult) error {
	job := cmp.Or(ask.JobHours, 40)
	if job < 0.1 || job > 10000 {
		return &jobs.FieldError{Field: "job", Value: jobs.NumberText(job), Want: "hours from 0.1 to 10000, such as 40"}
	}
	rate, err := b.OverheadRate(job)
	if err != nil {
		return err
	}
	cur := b.Shop.Currency
	for _, a := range []*money.Amount{&rate.Yearly, &rate.Missing, &rate.PerHour, &rate.PlannedPerHour} {
		*a = cur.Line(*a)
	}
	res.Rate, res.UsedPerH = rate, cur.Line(b.Shop.Overhead)
	return nil
}
