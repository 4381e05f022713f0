package jobs

import (
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// cardLines are written cards with what they mean on the evening of 12 March
// 2026 in Berlin, as "from-to operation necks counts ...". They seed the fuzzing.
var cardLines = []struct {
	name, line string
	want       []string
}{
	{"the plain card", "1910 flush ada, 1945 drill bo 6, 2115 end",
		[]string{"19:10-19:45 flush ada", "19:45-21:15 drill bo 6 done"}},
	{"several necks with counts each", "1900 drill ada+bo 6+8, 1940 end", []string{"19:00-19:40 drill ada+bo 6+8 done"}},
	{"plus with spaces", "1900 drill ada + bo 6 + 8, 1940 end", []string{"19:00-19:40 drill ada+bo 6+8 done"}},
	{"done as planned", "19:00 glue ada done; 19:20 off", []string{"19:00-19:20 glue ada done"}},
	{"a count that leaves the step open", "1900 drill ada 4 open, 1930 end", []string{"19:00-19:30 drill ada 4"}},
	{"one neck left midway", "1900 drill ada+bo 6+3 left bo, 1940 end", []string{"19:00-19:40 drill ada+bo 6+3 done left bo"}},
	{"over midnight", "2330 level ada done, 0050 end", []string{"23:30-00:50 level ada done"}},
	{"started after midnight", "0010 level ada, 0050 end", []string{"00:10-00:50 level ada"}},
	{"up to midnight", "2330 level ada, 2400 end", []string{"23:30-00:00 level ada"}},
	{"a break", "1900 drill ada, 1920 away, 1935 back, 2000 end", []string{"19:00-20:00 drill ada away 19:20-19:35"}},
	{"gone and not come back", "1900 drill ada, 1920 away, 2000 end", []string{"19:00-19:20 drill ada"}},
	{"ranges", "1910-1940 flush ada done, 2000-2030 drill bo 6", []string{"19:10-19:40 flush ada done", "20:00-20:30 drill bo 6 done"}},
	{"without a clock", "spent 25 choose ada, 1910 flush ada, 1945 end", []string{"19:10-19:10 choose ada spent 25", "19:10-19:45 flush ada"}},
	{"only without a clock", "spent 25 choose ada", []string{"12:00-12:00 choose ada spent 25"}},
	{"a decimal count", "1900 sand ada 12.5, 1930 end", []string{"19:00-19:30 sand ada 12.5 done"}},
	{"rework and its payer", "1900 drill ada 6 rework bit payer shop grade 1 note tore at post 3, 1930 end",
		[]string{"19:00-19:30 drill ada 6 done rework bit shop grade 1 note tore at post 3"}},
	{"a friend, a bit, the temperature", "1900 drill ada 6 by friend bit S10-1 temp 12, 1930 end", []string{"19:00-19:30 drill ada 6 done by friend bit S10-1 temp 12"}},
	{"end and begin again", "1900 drill ada, 1910 end, 2000 drill ada 6, 2030 end", []string{"19:00-19:10 drill ada", "20:00-20:30 drill ada 6 done"}},
}

var badCards = []struct{ name, line, says string }{
	{"nothing", "", "evening"},
	{"no end", "1910 flush ada, 1945 drill bo 6", "an end"},
	{"no neck", "1910 flush, 2000 end", "OPERATION NECK"},
	{"no work", "1910, 2000 end", "what was started"},
	{"no time", "flush ada, 2000 end", "a time first"},
	{"times run back", "1945 flush ada, 1910 end", "a time after 19:45"},
	{"the same time twice", "1945 flush ada, 1945 end", "a time after 19:45"},
	{"an hour that is none", "2575 flush ada, 2600 end", "a time first"},
	{"one count for two necks", "1900 drill ada+bo 6, 1940 end", "a count for each neck"},
	{"three counts for two necks", "1900 drill ada+bo 6+8+2, 1940 end", "one count for each"},
	{"done and open", "1900 drill ada done open, 1940 end", "not both"},
	{"a word that is none", "1900 drill ada six, 1940 end", "six"},
	{"a grade that is none", "1900 drill ada 6 grade 7, 1940 end", "grade"},
	{"a value that is missing", "1900 drill ada 6 grade, 1940 end", "a value after grade"},
	{"an end without work", "1900 end", "work before its end"},
	{"back without away", "1900 drill ada, 1910 back, 1940 end", "away before it"},
	{"away twice", "1900 drill ada, 1910 away, 1915 away, 1940 end", "back before another"},
	{"not yet", "2330 drill ada, 0450 end", "has been"},
	{"words after end", "1900 drill ada, 1940 end now", "nothing after"},
	{"a negative count", "1900 drill ada -6, 1940 end", "-6"},
	{"minutes of none", "spent 0 choose ada", "minutes"},
}

func placeLine(line string, day Day, zoneOf *time.Location, offset string, now time.Time) ([]CardWork, error) {
	items, err := ParseCard(line)
	if err != nil {
		return nil, err
	}
	return PlaceCard(items, day, zoneOf, 300, offset, now)
}

func showWork(w CardWork, loc *time.Location) string {
	clock := func(t time.Time) string { return t.In(loc).Format("15:04") }
	s := fmt.Sprintf("%s-%s %s %s", clock(w.From), clock(w.To), w.Operation, strings.Join(w.Necks, "+"))
	var counts []string
	for _, c := range w.Counts {
		counts = append(counts, trim(c))
	}
	if len(counts) > 0 {
		s += " " + strings.Join(counts, "+")
	}
	if w.Ends() {
		s += " done"
	}
	if len(w.Left) > 0 {
		s += " left " + strings.Join(w.Left, "+")
	}
	if w.Rework != "" {
		s += " rework " + w.Rework + " " + w.Payer
	}
	if w.Person != "" {
		s += " by " + w.Person
	}
	if w.Bit != "" {
		s += " bit " + w.Bit
	}
	if w.TempC != nil {
		s += " temp " + trim(*w.TempC)
	}
	if w.Grade != nil {
		s += " grade " + fmt.Sprint(*w.Grade)
	}
	if w.Note != "" {
		s += " note " + w.Note
	}
	for _, a := range w.Away {
		s += " away " + clock(a.From) + "-" + clock(*a.To)
	}
	if w.Spent > 0 {
		s += " spent " + trim(w.Spent)
	}
	return s
}

func TestReadAnEveningFromACard(t *testing.T) {
	berlin := zone(t, "Europe/Berlin")
	now := instant(t, "2026-03-13T04:00:00+01:00")
	for _, tc := range cardLines {
		t.Run(tc.name, func(t *testing.T) {
			works, err := placeLine(tc.line, "2026-03-12", berlin, "", now)
			if err != nil {
				t.Fatal(err)
			}
			var got []string
			for _, w := range works {
				got = append(got, showWork(w, berlin))
			}
			if d := cmp.Diff(got, tc.want); d != "" {
				t.Errorf("(-got +want)\n%s", d)
			}
		})
	}
	for _, tc := range badCards {
		t.Run(tc.name, func(t *testing.T) {
			got, err := placeLine(tc.line, "2026-03-12", berlin, "", now)
			if err == nil {
				t.Fatalf("read as %+v", got)
			}
			if !errors.Is(err, ErrInvalid) || !strings.Contains(err.Error(), tc.says) {
				t.Errorf("%v does not say %q", err, tc.says)
			}
		})
	}
}

// Instants of the repeated and the skipped hour as in TestWallTimeAcrossClockChanges.
func TestACardInTheNightClocksChange(t *testing.T) {
	berlin := zone(t, "Europe/Berlin")
	now := instant(t, "2026-12-01T12:00:00+01:00")
	for _, tc := range []struct {
		name, line string
		day        Day
		offset     string
		want       time.Duration // of the first work; 0: refused
		asked      bool
	}{
		{"across the repeated hour", "2330 drill ada, 0330 end", "2026-10-24", "", 5 * time.Hour, false},
		{"inside it: which?", "0130 drill ada, 0230 end", "2026-10-24", "", 0, true},
		{"inside it, the first", "0130 drill ada, 0230 end", "2026-10-24", "+02:00", time.Hour, false},
		{"inside it, the second", "0130 drill ada, 0230 end", "2026-10-24", "+01:00", 2 * time.Hour, false},
		{"the item says which", "0130 drill ada, 0230+01:00 end", "2026-10-24", "", 2 * time.Hour, false},
		{"first and second of one hour", "0230+02:00 drill ada, 0230+01:00 end", "2026-10-24", "", time.Hour, false},
		{"only the later lies after", "0245+02:00 drill ada, 0215 end", "2026-10-24", "", 30 * time.Minute, false},
		{"a start inside it: which?", "0230 drill ada, 0400 end", "2026-10-24", "", 0, true},
		{"across the skipped hour", "2330 drill ada, 0330 end", "2026-03-28", "", 3 * time.Hour, false},
		{"a time that was skipped", "2330 drill ada, 0230 end", "2026-03-28", "", 0, false},
		{"a start that was skipped", "0230 drill ada, 0330 end", "2026-03-28", "", 0, false},
	} {
		t.Run(tc.name, func(t *testing.T) {
			works, err := placeLine(tc.line, tc.day, berlin, tc.offset, now)
			var twice *RepeatedHourError
			if errors.As(err, &twice) != tc.asked {
				t.Fatalf("asked: %v, want %v", err, tc.asked)
			}
			if tc.want == 0 {
				if err == nil {
					t.Fatalf("taken: %+v", works)
				}
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			if got := works[0].To.Sub(works[0].From); got != tc.want {
				t.Errorf("%v, want %v", got, tc.want)
			}
		})
	}
}

// FuzzParseCard: whatever is typed, a card is refused or gives work that runs
// forward in time, does not overlap and can be written as the card says.
func FuzzParseCard(f *testing.F) {
	for _, c := range cardLines {
		f.Add(c.line, "")
	}
	for _, c := range badCards {
		f.Add(c.line, "+02:00")
	}
	f.Add("0230-02:00 drill ada, 0330 end", "-02:00")
	berlin, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		f.Fatal(err)
	}
	now := time.Date(2027, 1, 1, 0, 0, 0, 0, time.UTC)
	f.Fuzz(func(t *testing.T, line, offset string) {
		for _, day := range []Day{"2026-03-12", "2026-10-24", "2026-03-28"} {
			works, err := placeLine(line, day, berlin, offset, now)
			if err != nil {
				if !errors.Is(err, ErrInvalid) {
					t.Fatalf("%v is not an invalid value", err)
				}
				return
			}
			last := time.Time{}
			for _, w := range works {
				if w.Operation == "" || len(w.Necks) == 0 {
					t.Fatalf("work without an operation or a neck: %+v", w)
				}
				if w.Spent > 0 {
					continue
				}
				if w.To.Before(w.From) || w.From.Before(last) || w.To.After(now) {
					t.Fatalf("%q: %v to %v after %v", line, w.From, w.To, last)
				}
				last = w.To
				for _, a := range w.Away {
					if a.To == nil || a.To.Before(a.From) || a.From.Before(w.From) || a.To.After(w.To) {
						t.Fatalf("%q: a break %v outside %v to %v", line, a, w.From, w.To)
					}
				}
			}
		}
	})
}
