package jobs

import (
	"fmt"
	"math/rand/v2"
	"testing"
	"time"
)

// Drill stands at set-up 10 and run 1.5: 6 and 8 holes are 31 minutes by the
// standard, so of 40 minutes the set-up part is 40 x 10/31, halved, and the
// run goes 6 : 8 (arithmetic by hand: 18:04 and 21:56).
func TestOneSittingOverTwoNecksSharesByCounts(t *testing.T) {
	e := work(1, "drill", "19:00", "19:40", Share{Neck: "N1", Count: 6, Done: true}, Share{Neck: "N2", Count: 8, Done: true})
	e.SetupPart = setupPart(testOperations()["drill"], 14)
	got := e.ShareOut(*e.To)
	if got[0] != 18*time.Minute+4*time.Second || got[1] != 21*time.Minute+56*time.Second {
		t.Errorf("shares %v, want 18m4s and 21m56s", got)
	}
}

func TestGoMarkTellsSetupFromRun(t *testing.T) {
	e := work(1, "drill", "19:00", "19:40", Share{Neck: "N1", Count: 10}, Share{Neck: "N2", Count: 30})
	mark := e.From.Add(20 * time.Minute)
	e.Go, e.SetupPart = &mark, 0.9
	// 20 min set-up halved, 20 min run 1 : 3.
	got := e.ShareOut(*e.To)
	if got[0] != 15*time.Minute || got[1] != 25*time.Minute {
		t.Errorf("shares %v, want 15m and 25m", got)
	}
}

func TestBreaksAreTakenOut(t *testing.T) {
	e := work(1, "drill", "19:00", "20:00", Share{Neck: "N1"})
	a, b := e.From.Add(10*time.Minute), e.From.Add(25*time.Minute)
	e.Away = []Span{{a, &b}}
	if got := e.Elapsed(*e.To); got != 45*time.Minute {
		t.Errorf("elapsed %v, want 45m", got)
	}
	e.To, e.Away = nil, []Span{{From: a}}
	if got := e.Elapsed(e.From.Add(3 * time.Hour)); got != 10*time.Minute {
		t.Errorf("away and still on: %v, want the 10m before", got)
	}
}

func TestClockGoneBackwardsNeverYieldsNegativeTime(t *testing.T) {
	e := work(1, "drill", "20:00", "", Share{Neck: "N1"})
	if got := e.Elapsed(e.From.Add(-time.Hour)); got != 0 {
		t.Errorf("running with the clock an hour back: %v, want 0", got)
	}
	stopped := Stop(e, testOperations()["drill"], nil, e.From.Add(-time.Hour))
	if !stopped.ClockBack || !stopped.To.Equal(e.From) || stopped.Elapsed(*stopped.To) != 0 {
		t.Errorf("stopped with the clock back: %+v", stopped)
	}
	if err := stopped.Validate(); err != nil {
		t.Errorf("the entry is lost: %v", err)
	}
}

func TestSpentWorkNeverOverlaps(t *testing.T) {
	a := work(1, "decide", "19:00", "19:00", Share{Neck: "N1"})
	a.SpentSec = 1500
	b := work(2, "drill", "18:00", "20:00", Share{Neck: "N1"})
	if a.Overlaps(b, *b.To) || b.Overlaps(a, *b.To) {
		t.Error("work without a clock claims no time")
	}
	if a.Elapsed(*a.To) != 25*time.Minute {
		t.Error("25 minutes were told")
	}
	c := work(3, "drill", "20:00", "21:00", Share{Neck: "N2"})
	if b.Overlaps(c, *c.To) {
		t.Error("entries that touch do not overlap")
	}
	c.From = c.From.Add(-time.Second)
	if !b.Overlaps(c, *c.To) || !c.Overlaps(b, *c.To) {
		t.Error("a second is an overlap")
	}
}

// TestSharesAddToTheWhole plays random sittings: parts are whole seconds, not
// negative, and add exactly to the elapsed time.
func TestSharesAddToTheWhole(t *testing.T) {
	const seed = 20260312
	rng := rand.New(rand.NewPCG(seed, 1))
	for i := range 20000 {
		from := time.Unix(1.7e9+rng.Int64N(1e8), 0).UTC()
		to := from.Add(time.Duration(rng.Int64N(20000)) * time.Second)
		e := Entry{From: from, To: &to, SetupPart: rng.Float64()}
		if rng.IntN(4) == 0 {
			mark := from.Add(time.Duration(rng.Int64N(20000)) * time.Second)
			e.Go = &mark
		}
		if rng.IntN(3) == 0 {
			a := from.Add(time.Duration(rng.Int64N(10000)) * time.Second)
			b := a.Add(time.Duration(rng.Int64N(10000)) * time.Second)
			e.Away = []Span{{a, &b}}
		}
		if rng.IntN(5) == 0 {
			e.SpentSec = rng.Int64N(10000)
		}
		for n := range 1 + rng.IntN(6) {
			e.Shares = append(e.Shares, Share{Neck: fmt.Sprint("N", n), Count: float64(rng.IntN(20)) / float64(1+rng.IntN(3))})
		}
		sum := time.Duration(0)
		for _, part := range e.ShareOut(to) {
			if part < 0 || part%time.Second != 0 {
				t.Fatalf("seed %d case %d: a part of %v", seed, i, part)
			}
			sum += part
		}
		if sum != e.Elapsed(to) {
			t.Fatalf("seed %d case %d: parts add to %v, the whole is %v", seed, i, sum, e.Elapsed(to))
		}
	}
}
