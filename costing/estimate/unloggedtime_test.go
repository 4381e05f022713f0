package estimate

import (
	"math"
	"testing"
	"time"

	"bookmatch/jobs"
)

// clocked is an entry of an invented evening in UTC.
func clocked(id uint64, day string, from, to string) jobs.Entry {
	at := func(s string) time.Time {
		t, err := time.Parse("2006-01-02 15:04", day+" "+s)
		if err != nil {
			panic(err)
		}
		return t
	}
	end := at(to)
	return jobs.Entry{ID: id, Operation: "drill", Class: jobs.First, From: at(from), To: &end, Shares: []jobs.Share{{Neck: "N1", Count: 6, Done: true}}}
}

func TestUnloggedTimeIsMeasuredFromWholeEvenings(t *testing.T) {
	shop := jobs.DefaultShop()
	// 19:00 to 21:00 with 90 minutes logged, by hand: 120 / 90.
	plain := []jobs.Entry{clocked(1, "2026-03-10", "19:00", "19:40"), clocked(2, "2026-03-10", "19:50", "20:20"), clocked(3, "2026-03-10", "20:40", "21:00")}
	if got := WorkedEvenings(plain, shop); len(got) != 1 || got[0].SpanMin != 120 || got[0].LoggedMin != 90 {
		t.Fatalf("got %+v, want 120 and 90 minutes", got)
	}
	// A morning and an evening: the eight hours between are not sweeping.
	apart := append([]jobs.Entry{clocked(4, "2026-03-10", "09:00", "10:00")}, plain...)
	if got := WorkedEvenings(apart, shop); got[0].SpanMin != 180 || got[0].LoggedMin != 150 {
		t.Errorf("with a morning: %+v", got)
	}
	away := clocked(5, "2026-03-11", "19:00", "20:00")
	back := away.From.Add(20 * time.Minute)
	away.Away = []jobs.Span{{From: away.From.Add(10 * time.Minute), To: &back}}
	if got := WorkedEvenings([]jobs.Entry{away}, shop); got[0].SpanMin != 50 || got[0].LoggedMin != 50 {
		t.Errorf("a break that was said: %+v", got)
	}
	assumed := clocked(6, "2026-03-10", "21:05", "22:00")
	assumed.Assumed = true
	if got := WorkedEvenings(append(plain, assumed), shop); len(got) != 0 {
		t.Errorf("an assumed end tells no length: %+v", got)
	}
	told := clocked(7, "2026-03-10", "12:00", "12:00")
	told.SpentSec = 1500
	if got := WorkedEvenings(append(plain, told), shop); got[0].SpanMin != 120 {
		t.Errorf("work without a clock: %+v", got)
	}
}

// Few evenings lean on 1.25, which weighs as five (judgement): with three of
// 120/90 it is (5 x 1.25 + 3 x 4/3) / 8.
func TestLooseLatelyLooksTenWeeksBack(t *testing.T) {
	shop := jobs.DefaultShop()
	var log []jobs.Entry
	for i, day := range []string{"2026-03-03", "2026-03-10", "2026-03-12"} {
		log = append(log, clocked(uint64(2*i+1), day, "19:00", "19:45"), clocked(uint64(2*i+2), day, "20:15", "21:00"))
	}
	log = append(log, clocked(90, "2025-12-01", "19:00", "19:20"), clocked(91, "2025-12-01", "20:20", "20:40")) // too long ago
	log = append(log, clocked(92, "2026-03-17", "19:00", "19:20"), clocked(93, "2026-03-17", "20:20", "20:40")) // tonight
	got := UnloggedLately(log, shop, "2026-03-17")
	if want := (5*1.25 + 3*4.0/3) / 8; got.Evenings != 3 || math.Abs(got.Factor-want) > 1e-12 || math.Abs(got.Measured-4.0/3) > 1e-12 {
		t.Errorf("got %+v, want factor %g of three evenings", got, want)
	}
	if none := UnloggedLately(nil, shop, "2026-03-17"); none.Factor != 1.25 || none.Evenings != 0 || none.Measured != 0 {
		t.Errorf("no log: %+v", none)
	}
}
