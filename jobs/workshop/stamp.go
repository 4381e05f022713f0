package workshop

import (
	"strings"
	"time"

	"bookmatch/jobs"
)

// LateAsk says when something happened that is logged late.
type LateAsk struct {
	On string `json:"on,omitempty" flag:"on" arg:"DATE" help:"the DATE it happened, or \"DATE HH:MM\"; else now"`
}

// stamp gives the instant that was typed: nothing (now), a date, "DATE HH:MM" or
// RFC 3339. A date alone is the end of that day where end is set, else its
// beginning. A day to come is a *jobs.FieldError.
func (b *Book) stamp(typed string, end bool) (time.Time, error) {
	s := strings.TrimSpace(typed)
	zone := b.Shop.Location()
	if s == "" {
		return b.Now, nil
	}
	if t, err := time.Parse(time.RFC3339, s); err == nil {
		return b.past(typed, t.UTC())
	}
	date, clock, timed := clockOff(s)
	day, err := b.pastDay("on", date)
	if err != nil {
		return time.Time{}, err
	}
	if timed {
		at, err := jobs.ParseClock("on", clock)
		if err != nil {
			return time.Time{}, err
		}
		t, err := jobs.WallTime(day, at, zone, "")
		if err != nil {
			return t, err
		}
		return b.past(typed, t)
	}
	if end && day == jobs.DayOf(b.Now.In(zone)) {
		return b.Now, nil
	}
	if !end {
		midnight, err := time.ParseInLocation(time.DateOnly, string(day), zone)
		if err != nil {
			return midnight, err
		}
		return b.past(typed, midnight.UTC())
	}
	next, err := time.ParseInLocation(time.DateOnly, string(day.Add(1)), zone)
	if err != nil {
		return next, err
	}
	return b.past(typed, next.Add(-time.Second).UTC())
}

// clockOff parts the time of day behind a date from it: "2026-12-01 19:30",
// "1 Dec 7:30pm", "2026-12-01T19:30".
func clockOff(s string) (date, clock string, timed bool) {
	at := strings.LastIndexAny(s, " T")
	if at < 0 {
		return s, "", false
	}
	clock = strings.ToLower(s[at+1:])
	if !strings.Contains(clock, ":") && !strings.HasSuffix(clock, "am") && !strings.HasSuffix(clock, "pm") {
		return s, "", false
	}
	return s[:at], clock, true
}

// day reads a date as the shop writes dates. Without a year it is the next such day.
func (b *Book) day(field, typed string) (jobs.Day, error) {
	return jobs.ReadDay(field, typed, b.today(), b.Shop.DateOrder())
}

// pastDay reads the date of what has happened. Without a year it is the last such day.
func (b *Book) pastDay(field, typed string) (jobs.Day, error) {
	return jobs.ReadPastDay(field, typed, b.today(), b.Shop.DateOrder())
}

// past refuses a day to come. A later time today is kept with a warning.
func (b *Book) past(typed string, t time.Time) (time.Time, error) {
	today := jobs.DayOf(b.Wall(b.Now))
	switch {
	case jobs.DayOf(b.Wall(t)) > today:
		return t, &jobs.FieldError{Field: "on", Value: typed, Want: "a day that has been, such as " + string(today)}
	case t.After(b.Now):
		b.Warnf("ahead", "%s is later than now. It is kept as typed.", b.Wall(t).Format("2006-01-02 15:04"))
	}
	return t, nil
}
