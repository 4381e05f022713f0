package jobs

import (
	"fmt"
	"math"
	"strings"
	"time"
)

// Day is a calendar date of the shop, "2006-01-02" (ISO 8601). The empty Day
// is none.
type Day string

// ParseDay reads an ISO 8601 date that exists.
func ParseDay(field, s string) (Day, error) { return ReadDay(field, s, "", "") }

// DayOf gives the calendar date of t in its own zone.
func DayOf(t time.Time) Day { return Day(t.Format(time.DateOnly)) }

// Noon gives 12:00 UTC of the day, for counting days and weekdays.
func (d Day) Noon() time.Time {
	t, _ := time.Parse(time.DateOnly, string(d))
	return t.Add(12 * time.Hour)
}

// Add gives the day n days later.
func (d Day) Add(n int) Day { return DayOf(d.Noon().AddDate(0, 0, n)) }

// Weekday of the day.
func (d Day) Weekday() time.Weekday { return d.Noon().Weekday() }

// DaysTo counts the days from d to e, negative when e is before.
func (d Day) DaysTo(e Day) int { return int(math.Round(e.Noon().Sub(d.Noon()).Hours() / 24)) }

// Clock is a time of day in minutes after midnight. It marshals as "19:30".
type Clock int

// ParseClock reads 19:30, 19.30, 1930 or 7:05; 24:00 is the end of the day.
func ParseClock(field, s string) (Clock, error) {
	t := strings.Replace(strings.TrimSpace(s), ".", ":", 1)
	bad := &FieldError{field, s, "a time such as 19:30"}
	if c, ok := halfDayClock(s); ok {
		return c, nil
	}
	if !strings.Contains(t, ":") {
		if len(t) != 3 && len(t) != 4 {
			return 0, bad
		}
		t = t[:len(t)-2] + ":" + t[len(t)-2:]
	}
	hs, ms, _ := strings.Cut(t, ":")
	if len(hs) < 1 || len(hs) > 2 || len(ms) != 2 || strings.Trim(hs+ms, "0123456789") != "" {
		return 0, bad
	}
	var h, m int
	fmt.Sscanf(hs, "%d", &h)
	fmt.Sscanf(ms, "%d", &m)
	if m > 59 || h > 24 || (h == 24 && m != 0) {
		return 0, bad
	}
	return Clock(h*60 + m), nil
}

// String prints 19:30.
func (c Clock) String() string { return fmt.Sprintf("%02d:%02d", int(c)/60, int(c)%60) }

// MarshalText writes 19:30.
func (c Clock) MarshalText() ([]byte, error) { return []byte(c.String()), nil }

// UnmarshalText reads 19:30.
func (c *Clock) UnmarshalText(b []byte) error {
	got, err := ParseClock("time", string(b))
	if err == nil {
		*c = got
	}
	return err
}

// EveningOf gives the shop day to which t belongs: the date on which the
// evening began, turning at the clock time turn and not at midnight.
func EveningOf(t time.Time, zone *time.Location, turn Clock) Day {
	_, east := t.In(zone).Zone()
	wall := t.UTC().Add(time.Duration(east) * time.Second) // one look at the zone's rules: a long log asks often
	return DayOf(wall.Add(-time.Duration(turn) * time.Minute))
}

// RepeatedHourError says that a wall time names two instants because clocks
// went back; the caller asks which, or takes an offset.
type RepeatedHourError struct {
	Wall         string
	First, Later time.Time
}

func (e *RepeatedHourError) Error() string {
	return fmt.Sprintf("%s happened twice that night", e.Wall)
}

// Hint names both offsets.
func (e *RepeatedHourError) Hint() string {
	return fmt.Sprintf("add --offset %s for the first or --offset %s for the second", e.First.Format("-07:00"), e.Later.Format("-07:00"))
}

// Is answers to ErrInvalid.
func (e *RepeatedHourError) Is(target error) bool { return target == ErrInvalid }

// WallTime gives the instant at which the shop's clock shows c on the day. A
// wall time that clocks skip is refused (*FieldError); one that happens twice
// gives *RepeatedHourError unless offset ("+02:00") chooses between them.
func WallTime(day Day, c Clock, zone *time.Location, offset string) (time.Time, error) {
	base, err := time.Parse(time.DateOnly, string(day))
	if err != nil {
		return time.Time{}, &FieldError{"date", string(day), "a date such as 2027-02-01"}
	}
	wall := base.Add(time.Duration(c) * time.Minute)
	const layout = "2006-01-02 15:04"
	want := wall.Format(layout)
	// time.Date does not say which side of a gap or overlap it picks, so every
	// offset in force within a day either way is tried and kept if it shows the
	// wanted wall time.
	var hits []time.Time
	seen := map[int]bool{}
	for _, h := range []int{-26, -3, -2, -1, 0, 1, 2, 3, 26} {
		_, off := wall.Add(time.Duration(h) * time.Hour).In(zone).Zone()
		if seen[off] {
			continue
		}
		seen[off] = true
		at := wall.Add(-time.Duration(off) * time.Second).In(zone)
		if at.Format(layout) == want {
			hits = append(hits, at)
		}
	}
	name := want + " " + zone.String()
	switch {
	case len(hits) == 0:
		return time.Time{}, &FieldError{"time", name, "a time that exists: clocks skip this one"}
	case len(hits) == 1:
		return hits[0].UTC(), nil
	}
	if hits[1].Before(hits[0]) {
		hits[0], hits[1] = hits[1], hits[0]
	}
	for _, at := range hits {
		if offset != "" && at.Format("-07:00") == offset {
			return at.UTC(), nil
		}
	}
	return time.Time{}, &RepeatedHourError{name, hits[0], hits[1]}
}
