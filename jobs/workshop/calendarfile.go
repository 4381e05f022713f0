package workshop

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// CalendarAsk asks for cures and dates as a calendar file.
type CalendarAsk struct {
	Asked
	Out   string `json:"out,omitempty" flag:"out" arg:"FILE" help:"file that ends in .ics"`
	Force bool   `json:"force,omitempty" flag:"force" help:"replace a file that exists"`
}

// CalendarResult is what a calendar would hold. It names necks and steps, no
// customer and no amount, for a calendar may be seen by others.
type CalendarResult struct {
	Meta
	Events []CalendarEvent `json:"events"`
	// Stamp is when the newest change was made.
	Stamp time.Time `json:"stamp"`
	Out   string    `json:"out,omitempty"`
}

// CalendarEvent is an instant or a day. The ID stays the same when the date moves.
type CalendarEvent struct {
	ID   string     `json:"id"`
	What string     `json:"what"`
	At   *time.Time `json:"at,omitempty"`
	Day  jobs.Day   `json:"day,omitempty"`
}

// Calendar lists cures that end, promised dates and deliveries.
var Calendar = Define("calendar", "NOT WRITTEN", Reads, (*Book).calendarFile)

func (b *Book) calendarFile(ask *CalendarAsk, res *CalendarResult) error {
	res.Events, res.Out, res.Stamp = []CalendarEvent{}, ask.Out, b.Now
	for c, err := range store.Changes(b.Tx, true) {
		if err != nil {
			return err
		}
		res.Stamp = c.At
		break
	}
	names := map[string]string{}
	for _, status := range []jobs.Status{jobs.Open, jobs.Held} {
		necks, err := b.NecksOf(status)
		if err != nil {
			return err
		}
		for _, n := range necks {
			names[n.Code] = n.Name()
			if n.Due != "" {
				res.Events = append(res.Events, CalendarEvent{ID: "due-" + n.Code, What: n.Name() + " is promised", Day: n.Due})
			}
			st, err := b.NeckState(n)
			if err != nil {
				return err
			}
			for _, v := range st.Steps {
				if v.State == jobs.Curing && v.ReadyAt != nil {
					at := b.Wall(*v.ReadyAt)
					res.Events = append(res.Events, CalendarEvent{ID: fmt.Sprintf("cure-%s-%d", n.Code, v.No), What: fmt.Sprintf("%s: %s is cured, by default", n.Name(), v.Operation), At: &at})
				}
			}
		}
	}
	for p, err := range store.Each(b.Tx, store.Parts) {
		if err != nil {
			return err
		}
		if name := names[p.Neck]; name != "" && p.Arrives != "" && p.Arrived == "" && p.Returned == "" {
			res.Events = append(res.Events, CalendarEvent{ID: fmt.Sprintf("delivery-%d", p.ID), What: "delivery for " + name, Day: p.Arrives})
		}
	}
	when := func(e CalendarEvent) string {
		if e.At != nil {
			return string(b.Shop.Evening(*e.At))
		}
		return string(e.Day)
	}
	slices.SortStableFunc(res.Events, func(x, y CalendarEvent) int { return cmp.Or(cmp.Compare(when(x), when(y)), cmp.Compare(x.ID, y.ID)) })
	return nil
}
