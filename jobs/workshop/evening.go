package workshop

import (
	"fmt"
	"time"

	"bookmatch/costing/estimate"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// stackWeeks is how many weeks are summed up to the evening.
const stackWeeks = 12

// EveningAsk asks for the log of one evening, or of several. Without a date it
// means the newest evening with work.
type EveningAsk struct {
	Asked
	Evening jobs.Day `json:"evening,omitempty" word:"[DATE]"`
	From    jobs.Day `json:"from,omitempty" flag:"from" arg:"DATE" help:"the first DATE of several evenings"`
	To      jobs.Day `json:"to,omitempty" flag:"to" arg:"DATE" help:"the last DATE, tonight if not given"`
	Blank   bool     `json:"blank,omitempty" flag:"blank" help:"an empty card to write on at the bench"`
	// Planned puts the plan of tonight on the card.
	Planned bool `json:"planned,omitempty"`
}

// EveningResult is the log of some evenings, added up by operation, by neck and
// by week.
type EveningResult struct {
	Meta
	Evening  jobs.Day   `json:"evening"` // the first
	To       jobs.Day   `json:"to"`      // the last
	Week     string     `json:"week"`    // ISO 8601, of the first
	Planned  string     `json:"planned,omitempty"`
	Entries  []EntryRow `json:"entries"`
	TotalMin float64    `json:"total_min"`
	// SpanMin runs from the first start to the last end, long gaps and breaks left
	// out. ClockedMin is the part of TotalMin that was clocked within it. Gaps says
	// that something was left out.
	SpanMin    float64        `json:"span_min"`
	ClockedMin float64        `json:"clocked_min"`
	Gaps       bool           `json:"gaps,omitempty"`
	Operations []OperationSum `json:"operations"`
	Necks      []NeckSum      `json:"necks"`
	Weeks      []WeekSum      `json:"weeks"`
	// WeekOperations are the operations with hours of their own in Weeks, the
	// longest time first.
	WeekOperations []string `json:"week_operations,omitempty"`
	// DayEnds is the time of day at which an evening ends and the next day begins.
	DayEnds  string       `json:"day_ends"`
	Unlogged UnloggedTime `json:"unlogged"`
	// Card is the sheet to write on, in place of the log.
	Card *BlankCard `json:"card,omitempty"`
}

// EveningShow shows an evening: what was done, and the weeks up to it.
var EveningShow = Define("evening show", "", Long, (*Book).eveningShow)

func (b *Book) eveningShow(ask *EveningAsk, res *EveningResult) error {
	if ask.Evening != "" && (ask.From != "" || ask.To != "") {
		return &jobs.Refusal{Code: "usage", Class: jobs.Invalid, Why: "a date and a range do not go together", Type: []string{"evening show " + string(ask.Evening), fmt.Sprintf("evening show --from %s --to %s", ask.Evening, b.Tonight())}}
	}
	res.DayEnds = b.Shop.DayEnds.String()
	res.Entries, res.Operations, res.Necks, res.Weeks = []EntryRow{}, []OperationSum{}, []NeckSum{}, []WeekSum{}
	if ask.Blank {
		return b.blankCard(ask, res)
	}
	if err := b.eveningRange(ask, res); err != nil {
		return err
	}
	res.Week = weekOf(res.Evening)
	if slot, ok := b.Shop.SlotOn(res.Evening); ok && res.Evening == res.To {
		res.Planned = slot.String()
	}
	log, err := b.FindEntries(store.EntryFilter{From: min(res.Evening, res.To.Add(-7*stackWeeks)), To: res.To}, b.Shop)
	if err != nil {
		return err
	}
	log = b.Settled(log)
	var es []jobs.Entry
	for _, e := range log {
		if b.Shop.Evening(e.From) >= res.Evening {
			es = append(es, e)
		}
	}
	b.sumEvening(es, res)
	res.Weeks, res.WeekOperations = b.weekSums(log)
	res.Unlogged, err = b.Unlogged()
	return err
}

// eveningRange reads which evenings are meant.
func (b *Book) eveningRange(ask *EveningAsk, res *EveningResult) (err error) {
	switch {
	case ask.Evening != "":
		res.Evening, res.To = ask.Evening, ask.Evening
	case ask.From != "" || ask.To != "":
		if res.To = ask.To; res.To == "" {
			res.To = b.Tonight()
		}
		if res.Evening = ask.From; res.Evening == "" {
			res.Evening = res.To
		}
		if res.To < res.Evening {
			return &jobs.FieldError{Field: "to", Value: string(res.To), Want: "a date on or after " + string(res.Evening) + ", such as " + string(res.Evening)}
		}
	default:
		res.Evening, err = b.lastEvening()
		res.To = res.Evening
	}
	return err
}

// sumEvening fills in the entries and their sums.
func (b *Book) sumEvening(es []jobs.Entry, res *EveningResult) {
	var total, whole time.Duration
	var first, last time.Time
	for _, e := range es {
		res.Entries = append(res.Entries, b.Row(e))
		total += e.Elapsed(b.Now)
		if e.To == nil || e.SpentSec > 0 || e.Person != "" {
			continue
		}
		if first.IsZero() || e.From.Before(first) {
			first = e.From
		}
		if e.To.After(last) {
			last = *e.To
		}
	}
	whole = last.Sub(first)
	res.TotalMin = jobs.Round2(total.Minutes())
	res.Operations, res.Necks = b.operationSums(es), b.neckSums(es)
	if res.Evening != res.To {
		return
	}
	for _, w := range estimate.WorkedEvenings(es, b.Shop) {
		res.SpanMin, res.ClockedMin = jobs.Round2(w.SpanMin), jobs.Round2(w.LoggedMin)
		res.Gaps = w.SpanMin < whole.Minutes()-0.5
	}
}
