package jobs

import (
	"errors"
	"fmt"
	"testing"
	"time"
)

func zone(t testing.TB, name string) *time.Location {
	t.Helper()
	loc, err := time.LoadLocation(name)
	if err != nil {
		t.Fatal(err)
	}
	return loc
}

func instant(t testing.TB, s string) time.Time {
	t.Helper()
	at, err := time.Parse(time.RFC3339, s)
	if err != nil {
		t.Fatal(err)
	}
	return at
}

// Instants of the clock changes are those of the IANA time zone database
// (release 2025b, read with another program's copy of it): Europe changes at
// 01:00 UTC on the last Sundays of March and October (Directive 2000/84/EC),
// the United States at 02:00 local on the second Sunday of March and the first
// of November; Lord Howe Island moves by half an hour.
func TestWallTimeAcrossClockChanges(t *testing.T) {
	for _, tc := range []struct {
		zone     string
		day      Day
		clock    string
		offset   string
		want     string // UTC; empty: refused
		repeated bool
	}{
		{"Europe/Berlin", "2026-03-28", "22:00", "", "2026-03-28T21:00:00Z", false},
		{"Europe/Berlin", "2026-03-29", "01:30", "", "2026-03-29T00:30:00Z", false},
		{"Europe/Berlin", "2026-03-29", "02:30", "", "", false},
		{"Europe/Berlin", "2026-03-29", "02:00", "", "", false},
		{"Europe/Berlin", "2026-03-29", "03:00", "", "2026-03-29T01:00:00Z", false},
		{"Europe/Berlin", "2026-03-29", "06:00", "", "2026-03-29T04:00:00Z", false},
		{"Europe/Berlin", "2026-10-25", "02:30", "", "", true},
		{"Europe/Berlin", "2026-10-25", "02:30", "+02:00", "2026-10-25T00:30:00Z", false},
		{"Europe/Berlin", "2026-10-25", "02:30", "+01:00", "2026-10-25T01:30:00Z", false},
		{"Europe/Berlin", "2026-10-25", "02:30", "+05:00", "", true},
		{"Europe/Berlin", "2026-10-25", "03:00", "", "2026-10-25T02:00:00Z", false},
		{"Europe/Berlin", "2026-10-25", "01:59", "", "2026-10-24T23:59:00Z", false},
		{"Europe/London", "2026-10-25", "01:30", "+01:00", "2026-10-25T00:30:00Z", false},
		{"Europe/London", "2026-03-29", "01:30", "", "", false},
		{"America/New_York", "2026-03-08", "02:30", "", "", false},
		{"America/New_York", "2026-03-08", "06:00", "", "2026-03-08T10:00:00Z", false},
		{"America/New_York", "2026-11-01", "01:30", "", "", true},
		{"America/New_York", "2026-11-01", "01:30", "-04:00", "2026-11-01T05:30:00Z", false},
		{"America/New_York", "2026-11-01", "01:30", "-05:00", "2026-11-01T06:30:00Z", false},
		{"Australia/Lord_Howe", "2026-04-05", "01:45", "", "", true},
		{"Australia/Lord_Howe", "2026-04-05", "01:45", "+11:00", "2026-04-04T14:45:00Z", false},
		{"Australia/Lord_Howe", "2026-04-05", "01:45", "+10:30", "2026-04-04T15:15:00Z", false},
		{"Australia/Lord_Howe", "2026-10-04", "02:15", "", "", false},
		{"UTC", "2026-10-25", "24:00", "", "2026-10-26T00:00:00Z", false},
	} {
		t.Run(fmt.Sprint(tc.zone, tc.day, tc.clock, tc.offset), func(t *testing.T) {
			c, err := ParseClock("time", tc.clock)
			if err != nil {
				t.Fatal(err)
			}
			got, err := WallTime(tc.day, c, zone(t, tc.zone), tc.offset)
			var twice *RepeatedHourError
			if errors.As(err, &twice) != tc.repeated {
				t.Fatalf("repeated = %v, want %v (%v)", err, tc.repeated, got)
			}
			if tc.want == "" {
				if err == nil {
					t.Fatalf("got %v, want an error", got)
				}
				if !errors.Is(err, ErrInvalid) {
					t.Errorf("%v is not an invalid value", err)
				}
				return
			}
			if err != nil || !got.Equal(instant(t, tc.want)) {
				t.Errorf("got %v (%v), want %s", got, err, tc.want)
			}
		})
	}
}

// Elapsed times are those of the same database: the night of a spring change
// is an hour short, that of an autumn change an hour long, on Lord Howe half
// an hour.
func TestElapsedIsTrueAcrossClockChanges(t *testing.T) {
	for _, tc := range []struct {
		zone       string
		from, to   Day
		fromC, toC string
		want       time.Duration
	}{
		{"Europe/Berlin", "2026-03-28", "2026-03-29", "22:00", "06:00", 7 * time.Hour},
		{"Europe/Berlin", "2026-03-29", "2026-03-29", "01:30", "03:30", time.Hour},
		{"Europe/Berlin", "2026-10-24", "2026-10-25", "22:00", "06:00", 9 * time.Hour},
		{"Europe/Berlin", "2026-10-25", "2026-10-25", "01:30", "03:30", 3 * time.Hour},
		{"Europe/Berlin", "2026-10-24", "2026-10-25", "23:30", "03:30", 5 * time.Hour},
		{"Europe/London", "2026-03-29", "2026-03-29", "00:30", "02:30", time.Hour},
		{"Europe/London", "2026-10-25", "2026-10-25", "00:30", "02:30", 3 * time.Hour},
		{"America/New_York", "2026-03-07", "2026-03-08", "22:00", "06:00", 7 * time.Hour},
		{"America/New_York", "2026-10-31", "2026-11-01", "22:00", "06:00", 9 * time.Hour},
		{"America/New_York", "2026-11-01", "2026-11-01", "00:30", "02:30", 3 * time.Hour},
		{"Australia/Lord_Howe", "2026-04-04", "2026-04-05", "22:00", "06:00", 8*time.Hour + 30*time.Minute},
	} {
		loc := zone(t, tc.zone)
		at := func(d Day, s string) time.Time {
			c, _ := ParseClock("time", s)
			x, err := WallTime(d, c, loc, "")
			if err != nil {
				t.Fatal(err)
			}
			return x
		}
		from, to := at(tc.from, tc.fromC), at(tc.to, tc.toC)
		e := Entry{From: from, To: &to, Shares: []Share{{Neck: "N1"}}}
		if got := e.Elapsed(to); got != tc.want {
			t.Errorf("%s %s %s to %s %s: %v, want %v", tc.zone, tc.from, tc.fromC, tc.to, tc.toC, got, tc.want)
		}
	}
}

// Week dates by ISO 8601, from published calendars; 2026 has 53 weeks. The
// library's ISOWeek is used for reports, so it is held against them here.
func TestISOWeeks(t *testing.T) {
	for day, want := range map[Day]string{
		"2004-12-31": "2004-W53-5", "2005-01-01": "2004-W53-6", "2005-12-31": "2005-W52-6", "2007-01-01": "2007-W01-1", "2007-12-31": "2008-W01-1",
		"2008-12-29": "2009-W01-1", "2009-12-31": "2009-W53-4", "2010-01-03": "2009-W53-7", "2020-12-31": "2020-W53-4", "2024-12-30": "2025-W01-1",
		"2026-01-01": "2026-W01-4", "2026-03-29": "2026-W13-7", "2026-10-25": "2026-W43-7", "2026-12-31": "2026-W53-4", "2027-01-01": "2026-W53-5",
		"2027-01-03": "2026-W53-7", "2027-01-04": "2027-W01-1", "2032-12-31": "2032-W53-5",
	} {
		y, w := day.Noon().ISOWeek()
		if got := fmt.Sprintf("%d-W%02d-%d", y, w, (int(day.Weekday())+6)%7+1); got != want {
			t.Errorf("%s: %s, want %s", day, got, want)
		}
	}
}

func TestEveningTurnsAtTheShopsHour(t *testing.T) {
	berlin := zone(t, "Europe/Berlin")
	for _, tc := range []struct {
		at   string
		turn Clock
		want Day
	}{
		{"2026-03-12T19:10:00+01:00", 300, "2026-03-12"},
		{"2026-03-13T00:50:00+01:00", 300, "2026-03-12"},
		{"2026-03-13T04:59:00+01:00", 300, "2026-03-12"},
		{"2026-03-13T05:00:00+01:00", 300, "2026-03-13"},
		{"2026-03-13T00:10:00+01:00", 0, "2026-03-13"},
		{"2026-10-24T23:30:00+02:00", 300, "2026-10-24"},
		{"2026-10-25T03:30:00+01:00", 300, "2026-10-24"},
		{"2026-10-25T02:30:00+02:00", 300, "2026-10-24"},
		{"2026-03-29T04:30:00+02:00", 300, "2026-03-28"},
		{"2026-03-12T23:30:00Z", 300, "2026-03-12"}, // the zone decides, not the offset typed
		{"2027-01-01T01:00:00+01:00", 300, "2026-12-31"},
	} {
		if got := EveningOf(instant(t, tc.at), berlin, tc.turn); got != tc.want {
			t.Errorf("%s: evening %s, want %s", tc.at, got, tc.want)
		}
	}
}

func TestParseClock(t *testing.T) {
	for in, want := range map[string]Clock{"19:30": 1170, "1930": 1170, "7:05": 425, "705": 425, "00:00": 0, "24:00": 1440, " 0930 ": 570} {
		if got, err := ParseClock("time", in); err != nil || got != want {
			t.Errorf("%q: %v (%v), want %v", in, got, err, want)
		}
	}
	for _, in := range []string{"", "7", "19", "25:00", "24:01", "19:60", "1:2", "-1:30", "19h30", "+7:30", "19301", "٣:30"} {
		if got, err := ParseClock("time", in); err == nil {
			t.Errorf("%q read as %v", in, got)
		}
	}
}

// TestWallTimeAndBack: the instant of every wall time shows that wall time, or
// the time is refused or asked about.
func TestWallTimeAndBack(t *testing.T) {
	for _, name := range []string{"Europe/Berlin", "America/New_York", "Australia/Lord_Howe", "Asia/Kathmandu", "Pacific/Apia"} {
		loc := zone(t, name)
		for n := 0; n < 366; n++ {
			day := Day("2026-01-01").Add(n)
			for c := Clock(0); c < 1440; c += 15 {
				at, err := WallTime(day, c, loc, "")
				var twice *RepeatedHourError
				switch {
				case errors.As(err, &twice):
					if twice.First.Format("15:04") != c.String() || twice.Later.Format("15:04") != c.String() || !twice.First.Before(twice.Later) {
						t.Fatalf("%s %s %s: %v and %v", name, day, c, twice.First, twice.Later)
					}
				case err == nil && at.In(loc).Format("2006-01-02 15:04") != string(day)+" "+c.String():
					t.Fatalf("%s %s %s: shows %v", name, day, c, at.In(loc))
				}
			}
		}
	}
}
