package jobs

import (
	"math/rand/v2"
	"testing"
	"time"
)

// A shop that moved shows every instant as the zone of that time does (the zone data
// of the Go library, IANA). The seed is printed with a failure.
func TestZonesBefore(t *testing.T) {
	const seed = 2026
	rng := rand.New(rand.NewPCG(seed, 3))
	instant := func() time.Time {
		return time.Date(1990, 1, 1, 0, 0, 0, 0, time.UTC).Add(time.Duration(rng.Int64N(100*365*24)) * time.Hour).Add(time.Duration(rng.IntN(3600)) * time.Second)
	}
	names := []string{"Europe/Berlin", "Europe/Lisbon", "America/Chicago", "Asia/Kolkata", "Australia/Lord_Howe", "Pacific/Apia", "UTC"}
	for range 60 {
		s := Shop{Zone: names[rng.IntN(len(names))]}
		var zones []ZoneBefore
		at := time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)
		for range rng.IntN(4) {
			at = at.Add(time.Duration(rng.IntN(6*365*24)) * time.Hour)
			zones = append(zones, ZoneBefore{s.Zone, at})
			s.Move(names[rng.IntN(len(names))], at)
		}
		for range 200 {
			x := instant()
			want := s.Zone
			for i := len(zones) - 1; i >= 0; i-- {
				if x.Before(zones[i].Until) {
					want = zones[i].Zone
				}
			}
			got, ref := x.In(s.Location()), x.In(namedZone(want))
			if got.Format(time.RFC3339) != ref.Format(time.RFC3339) {
				t.Fatalf("seed %d: %s after the moves %v to %s is %s, want %s", seed, x, zones, s.Zone, got, ref)
			}
		}
	}
}

func TestMove(t *testing.T) {
	day := func(n int) time.Time { return time.Date(2026, 3, n, 12, 0, 0, 0, time.UTC) }
	s := Shop{Zone: "Europe/Berlin"}
	s.Move("Europe/Berlin", day(1))
	if s.ZonesBefore != nil {
		t.Errorf("no move: %+v", s.ZonesBefore)
	}
	s.Move("Europe/Lisbon", day(5))
	s.Move("America/Chicago", day(9))
	if len(s.ZonesBefore) != 2 || s.ZonesBefore[1].Zone != "Europe/Lisbon" {
		t.Errorf("two moves: %+v", s.ZonesBefore)
	}
	s.Move("UTC", day(4)) // it was so all along: the moves after it are forgotten
	if len(s.ZonesBefore) != 1 || s.ZonesBefore[0] != (ZoneBefore{"Europe/Berlin", day(4)}) || s.Zone != "UTC" {
		t.Errorf("from before: %+v %s", s.ZonesBefore, s.Zone)
	}
}
