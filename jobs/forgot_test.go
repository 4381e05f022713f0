package jobs

import (
	"testing"
	"time"
)

func TestAssumedEndIsTheEarliestBound(t *testing.T) {
	e := work(1, "flush-sand", "21:00", "", Share{Neck: "N1"})
	at := func(s string) time.Time { return work(1, "", s, "").From }
	later := e.From.Add(20 * time.Hour)
	next := at("21:20")
	for _, tc := range []struct {
		name   string
		next   *time.Time
		usual  string
		p95    time.Duration
		now    time.Time
		away   string
		want   string
		reason string
	}{
		{"the next record", &next, "22:30", 2 * time.Hour, later, "", "21:20", "the next record"},
		{"the usual end of the evening", nil, "22:00", 2 * time.Hour, later, "", "22:00", "the usual end of the evening"},
		{"what 19 of 20 take", nil, "22:30", 40 * time.Minute, later, "", "21:40", "what 19 of 20 take"},
		{"never after now", nil, "22:30", 2 * time.Hour, at("21:10"), "", "21:10", "now"},
		{"a usual end that is past does not bind", nil, "20:30", 40 * time.Minute, later, "", "21:40", "what 19 of 20 take"},
		{"gone away before", nil, "22:30", 40 * time.Minute, later, "21:05", "21:05", "going away"},
		{"never before the start", nil, "22:30", 40 * time.Minute, at("20:00"), "", "21:00", "now"},
	} {
		x := e
		if tc.away != "" {
			x.Away = []Span{{From: at(tc.away)}}
		}
		end, why := AssumedEnd(x, tc.next, at(tc.usual), tc.p95, tc.now)
		if !end.Equal(at(tc.want)) || why != tc.reason {
			t.Errorf("%s: %v (%s), want %s (%s)", tc.name, end, why, tc.want, tc.reason)
		}
	}
}

// Who said back or go was at the bench then, however short such work usually is;
// and a break is no work.
func TestAssumedEndHoldsWhatWasClocked(t *testing.T) {
	at := func(s string) time.Time { return work(1, "", s, "").From }
	span := func(from, to string) Span {
		if to == "" {
			return Span{From: at(from)}
		}
		end := at(to)
		return Span{From: at(from), To: &end}
	}
	began, next := at("20:05"), at("20:10")
	for _, tc := range []struct {
		name, want, why string
		change          func(e *Entry)
		next            *time.Time
	}{
		{"back after what 19 of 20 take", "20:50", "the last word clocked", func(e *Entry) { e.Away = []Span{span("20:30", "20:50")} }, nil},
		{"a break in between", "19:49", "what 19 of 20 take", func(e *Entry) { e.Away = []Span{span("19:10", "19:20")} }, nil},
		{"away, late", "21:30", "going away", func(e *Entry) { e.Away = []Span{span("21:30", "")} }, nil},
		{"away again", "20:00", "going away", func(e *Entry) { e.Away = []Span{span("19:10", "19:20"), span("20:00", "")} }, nil},
		{"go", "20:05", "the last word clocked", func(e *Entry) { e.Go = &began }, nil},
		{"back, and the next record before it", "20:50", "the last word clocked", func(e *Entry) { e.Away = []Span{span("20:30", "20:50")} }, &next},
	} {
		e := work(1, "flush-sand", "19:00", "", Share{Neck: "N1"})
		tc.change(&e)
		end, why := AssumedEnd(e, tc.next, at("22:30"), 39*time.Minute, at("23:59"))
		if !end.Equal(at(tc.want)) || why != tc.why {
			t.Errorf("%s: %v (%s), want %s (%s)", tc.name, end, why, tc.want, tc.why)
		}
	}
}

func TestForgottenOnlyOnceTheEveningIsOver(t *testing.T) {
	shop := testShop()
	e := work(1, "flush-sand", "23:30", "", Share{Neck: "N1"})
	for hours, want := range map[int]bool{0: false, 1: false, 5: false, 6: true, 30: true} {
		if got := Forgotten(e, shop, e.From.Add(time.Duration(hours)*time.Hour)); got != want {
			t.Errorf("%d h after 23:30: %v", hours, got)
		}
	}
	end := e.From.Add(time.Hour)
	e.To = &end
	if Forgotten(e, shop, e.From.Add(40*time.Hour)) {
		t.Error("an entry that ended is not forgotten")
	}
}

func TestUsualEndOfAnEvening(t *testing.T) {
	shop := testShop() // Thursday's plan ends 21:30
	thursday := work(1, "", "19:00", "").From
	berlin := shop.Location()
	show := func(log []Entry, at time.Time) string {
		return UsualEnd(at, log, shop).In(berlin).Format("2006-01-02 15:04")
	}
	if got := show(nil, thursday); got != "2026-03-12 21:30" {
		t.Errorf("no log: %s, want the plan", got)
	}
	friday := thursday.Add(24 * time.Hour)
	if got := show(nil, friday); got != "2026-03-13 22:30" {
		t.Errorf("no log and no plan: %s", got)
	}
	var log []Entry
	for i, to := range []string{"21:00", "22:10", "00:30", "21:50"} { // four Thursdays before
		log = append(log, nextDay(work(uint64(i+1), "drill", "19:00", to, Share{Neck: "N1"}), -7*(i+1)))
	}
	if got := show(log, thursday); got != "2026-03-12 21:50" {
		t.Errorf("four Thursdays: %s, want the lower median 21:50", got)
	}
	log[0].Assumed = true
	if got := show(log, thursday); got != "2026-03-12 22:10" {
		t.Errorf("an assumed end is no habit: %s, want 22:10", got)
	}
	// Clocks change on 29 March: the habit stays what the wall shows.
	for i := range log {
		log[i].Assumed = false
	}
	if got := show(log, thursday.Add(21*24*time.Hour)); got != "2026-04-02 21:50" {
		t.Errorf("after the clocks changed: %s, want 21:50", got)
	}
	sunday := instant(t, "2026-03-29T20:00:00+02:00")
	if got := show(log, sunday); got != "2026-03-29 21:50" {
		t.Errorf("on the day of the change: %s, want 21:50", got)
	}
}
