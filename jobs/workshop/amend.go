package workshop

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"bookmatch/jobs"
)

// EntryAmendAsk corrects an entry. Times are typed as HH:MM on the shop's clock,
// on the evening of the entry, or as RFC 3339 instants.
type EntryAmendAsk struct {
	Asked
	ID        uint64   `json:"id" word:"ID" read:"entry"`
	From      string   `json:"from,omitempty" flag:"from" arg:"HH:MM" help:"it started at HH:MM"`
	To        string   `json:"to,omitempty" flag:"to" arg:"HH:MM" help:"it ended at HH:MM"`
	Offset    string   `json:"offset,omitempty" flag:"offset" help:"which of an hour that clocks repeat, such as +02:00"`
	SpentMin  *float64 `json:"spent_min,omitempty" flag:"spent" arg:"MINUTES" unit:"min" help:"MINUTES of work logged without a clock"`
	Count     string   `json:"count,omitempty" flag:"count" help:"what was done: 6, or \"ada 6, bo 8\""`
	Operation string   `json:"operation,omitempty" flag:"operation" arg:"OPERATION" help:"it was another OPERATION"`
	Note      *string  `json:"note,omitempty" flag:"note" help:"a remark; - for none"`
	Bit       string   `json:"bit,omitempty" flag:"bit" arg:"BIT" help:"it was another BIT: the holes go with it"`
	Grade     string   `json:"grade,omitempty" flag:"grade" help:"worst rim: 0 clean, 1 fuzz, 2 hidden, 3 torn" of:"clean fuzz hidden torn"`
	Person    *string  `json:"person,omitempty" flag:"by" arg:"PERSON" help:"PERSON who did it; - for yourself"`
	Rework    *string  `json:"rework,omitempty" flag:"rework" arg:"CAUSE" help:"it was rework: CAUSE; - for a first time"`
	Payer     *string  `json:"payer,omitempty" flag:"payer" help:"who pays for the rework: shop or customer" of:"shop customer"`
	Away      []string `json:"away,omitempty" flag:"away" arg:"HH:MM-HH:MM" help:"a break, HH:MM-HH:MM, repeatable; - for none"`
	Finished  bool     `json:"done,omitempty" flag:"done" help:"the step is done"`
	Open      bool     `json:"open,omitempty" flag:"open" help:"the step is not done after all"`
	Confirm   bool     `json:"confirm,omitempty" flag:"confirm" help:"the assumed end is right (needs no --why)"`
	Reason
}

// EntryAmend corrects an entry. The journal keeps the old version.
var EntryAmend = Define("entry amend", "NOT CHANGED", Writes|Settles, (*Book).entryAmend)

func (b *Book) entryAmend(ask *EntryAmendAsk, res *CorrectedResult) error {
	if err := b.lastEntry(&ask.ID); err != nil {
		return err
	}
	typed := "entry amend " + typedOf(ask)
	err := b.correct(ask.ID, res, func(was jobs.Entry) (jobs.Entry, error) {
		a, err := b.amendment(ask, was)
		if err != nil {
			return was, err
		}
		if a.Empty() {
			return was, &jobs.Refusal{Code: "usage", Class: jobs.Invalid, Why: "there is nothing to change", Type: []string{fmt.Sprintf(`entry amend %d --to %s --why "read off the wall clock"`, was.ID, b.Clock(was.End(b.Now)))}}
		}
		if !confirmsOnly(a) {
			if err := ask.reasoned(typed); err != nil {
				return was, err
			}
		}
		operation := b.Operations[was.Operation]
		if a.Operation != nil {
			operation = *a.Operation
		}
		states, err := b.statesWithout(was) // planned quantities are those without this entry
		if err != nil {
			return was, err
		}
		is, err := a.Apply(was, operation, states)
		if err == nil && len(a.Counts) > 0 {
			b.WarnCounts(is, states, operation)
		}
		return is, err
	})
	return b.whichHour(err, typed)
}

// confirmsOnly says that an assumed end is confirmed and nothing is changed.
func confirmsOnly(a jobs.Amendment) bool {
	a.Confirm, a.Done = false, a.Done && !a.Confirm // that it was finished then, too
	return a.Empty()
}

// amendment reads what is to be different about an entry.
func (b *Book) amendment(ask *EntryAmendAsk, was jobs.Entry) (jobs.Amendment, error) {
	a := jobs.Amendment{Done: ask.Finished, Open: ask.Open, Confirm: ask.Confirm,
		Note: orNone(ask.Note), Person: orNone(ask.Person), Cause: orNone(ask.Rework), Payer: orNone(ask.Payer)}
	if ask.SpentMin != nil {
		if m := *ask.SpentMin; m < 1 || m > 24*60 {
			return a, &jobs.FieldError{Field: "spent", Value: jobs.NumberText(m), Want: "minutes from 1 to 1440, such as 30"}
		}
		a.SpentMin = ask.SpentMin
	}
	if err := b.amendTimes(&a, ask, was); err != nil {
		return a, err
	}
	if ask.Count != "" {
		counts, grade, err := b.ParseCounts(ask.Count)
		if err != nil {
			return a, err
		}
		if grade != "" || len(counts) == 0 {
			return a, &jobs.FieldError{Field: "count", Value: ask.Count, Want: `a count for each neck ("ada 6, bo 8"), or one such as 6`}
		}
		a.Counts = counts
	}
	if ask.Operation != "" {
		states, err := b.statesWithout(was)
		if err != nil {
			return a, err
		}
		o, err := jobs.FindOperation(ask.Operation, b.Operations, states)
		if err != nil {
			return a, err
		}
		a.Operation = &o
	}
	if ask.Grade != "" {
		grade, err := ParseGrade(ask.Grade)
		if err != nil {
			return a, err
		}
		a.Grade = grade
		if err := b.checkGrade(was, grade, nil); err != nil {
			return a, err
		}
	}
	if ask.Bit != "" {
		bit, err := b.FindBit(ask.Bit)
		if err != nil {
			return a, err
		}
		a.Bit = &bit.Code
	}
	return a, nil
}

// amendTimes reads start, end and breaks.
func (b *Book) amendTimes(a *jobs.Amendment, ask *EntryAmendAsk, was jobs.Entry) (err error) {
	if ask.From != "" {
		if a.From, err = b.wallOn(was, "from", ask.From, ask.Offset, was.From.Add(-12*time.Hour)); err != nil {
			return err
		}
	}
	start := was.From
	if a.From != nil {
		start = *a.From
	}
	end := was.To
	if ask.To != "" {
		if a.To, err = b.wallOn(was, "to", ask.To, ask.Offset, start); err != nil {
			return err
		}
		end = a.To
	}
	if a.From != nil && a.To == nil && was.To != nil && was.SpentSec == 0 && !a.From.Before(*was.To) {
		return &jobs.FieldError{Field: "from", Value: ask.From, Want: "a start before the end at " + b.Clock(*was.To) + ", or --to as well"}
	}
	for _, v := range ask.Away {
		if v == "-" {
			a.NoAway = true
			continue
		}
		span, err := b.breakOn(was, v, ask.Offset, start, end)
		if err != nil {
			return err
		}
		a.Away = append(a.Away, span)
	}
	return nil
}

// breakOn reads "20:10-20:25" as a break within the work.
func (b *Book) breakOn(was jobs.Entry, v, offset string, start time.Time, end *time.Time) (jobs.Span, error) {
	from, to, ok := strings.Cut(v, "-")
	if !ok {
		return jobs.Span{}, &jobs.FieldError{Field: "away", Value: v, Want: "a break such as 20:10-20:25"}
	}
	f, err := b.wallOn(was, "away", from, offset, start)
	if err != nil {
		return jobs.Span{}, err
	}
	t, err := b.wallOn(was, "away", to, offset, *f)
	if err != nil {
		return jobs.Span{}, err
	}
	if f.Before(start) || (end != nil && t.After(*end)) {
		want := "a break within the work, from " + b.Clock(start)
		if end != nil {
			want += " to " + b.Clock(*end)
		}
		return jobs.Span{}, &jobs.FieldError{Field: "away", Value: v, Want: want}
	}
	return jobs.Span{From: *f, To: t}, nil
}

// orNone reads "-" as nothing.
func orNone(s *string) *string {
	if s != nil && *s == "-" {
		return new(string)
	}
	return s
}

// wallOn reads HH:MM as the next such time after an instant, or RFC 3339.
func (b *Book) wallOn(was jobs.Entry, field, v, offset string, after time.Time) (*time.Time, error) {
	if t, err := time.Parse(time.RFC3339, v); err == nil {
		t = t.UTC().Truncate(time.Second)
		return &t, nil
	}
	clock, err := jobs.ParseClock(field, v)
	if err != nil {
		return nil, err
	}
	t, err := jobs.NextWall(after, clock, b.Shop.Location(), offset)
	if err != nil {
		return nil, err
	}
	// A time before the start would be read as the next day's: a session of
	// nearly a day that nobody meant.
	if day := b.Shop.Evening(was.From); b.Shop.Evening(t) != day {
		want := "a time on the evening of " + string(day) + ", or an RFC 3339 instant"
		if field != "from" {
			want = fmt.Sprintf("a time after %s on the evening of %s, or an RFC 3339 instant", b.Clock(after), day)
		}
		return nil, &jobs.FieldError{Field: field, Value: v, Want: want}
	}
	return &t, nil
}

// whichHour makes a refusal of a time in an hour that clocks repeated, with a
// command for either. typed is the command so far. Other errors stay.
func (b *Book) whichHour(err error, typed string) error {
	var twice *jobs.RepeatedHourError
	if !errors.As(err, &twice) {
		return err
	}
	return &jobs.Refusal{Code: "which-hour", Class: jobs.Invalid, Why: twice.Error(),
		Type: []string{typed + " --offset " + twice.First.Format("-07:00"), typed + " --offset " + twice.Later.Format("-07:00")}}
}
