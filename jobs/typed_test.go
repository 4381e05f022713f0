package jobs

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"bookmatch/costing/money"
)

// However a value is typed, the same is stored. The seed is printed with a failure.
func TestTypedInAnyForm(t *testing.T) {
	const seed = 20261126
	r := rand.New(rand.NewPCG(seed, 0))
	same := func(what string, got any, err error, want any) {
		t.Helper()
		if err != nil || got != want {
			t.Errorf("seed %d: %s reads as %v (%v), want %v", seed, what, got, err, want)
		}
	}
	for range 400 {
		d := Day("2026-01-01").Add(r.IntN(900))
		n := d.Noon()
		for _, s := range []string{string(d), n.Format("2 Jan 2006"), n.Format("Jan 2, 2006"), n.Format("2 January 2006"), n.Format("2.1.2006"), n.Format("02.01.06")} {
			got, err := ReadDay("due", s, "", "")
			same(s, got, err, d)
		}
		for order, form := range map[DateOrder]string{"dmy": "2/1/2006", "mdy": "1/2/2006"} {
			s := n.Format(form)
			got, err := ReadDay("due", s, "", order)
			same(s, got, err, d)
			if got, err := ReadDay("due", s, "", ""); err == nil && got != d && n.Day() > 12 {
				t.Errorf("seed %d: %s reads as %s, want %s", seed, s, got, d)
			}
		}
		c := Clock(r.IntN(24 * 60))
		at := time.Date(2026, 1, 1, int(c)/60, int(c)%60, 0, 0, time.UTC)
		for _, s := range []string{c.String(), at.Format("15.04"), at.Format("3:04pm"), at.Format("3:04 PM"), at.Format("3.04pm")[:len(at.Format("3.04pm"))-1]} {
			got, err := ParseClock("until", s)
			same(s, got, err, c)
		}
		a := money.New(r.Int64N(1_000_000), -2)
		for _, s := range []string{a.Fixed(2), "$" + a.Fixed(2), a.Fixed(2) + " €", "EUR " + a.Fixed(2), a.Fixed(2) + "/h"} {
			got, err := ParseAmount("price", s)
			same(s, got.Fixed(2), err, a.Fixed(2))
		}
		// A sixty-fourth of an inch is exactly 0.396875 mm.
		k := 1 + r.IntN(64*4)
		mm := math.Round(float64(k)*0.396875*1e6) / 1e6
		forms := []string{fmt.Sprintf("%d/64in", k), fmt.Sprintf(`%d/64"`, k), fmt.Sprintf("%vmm", mm)}
		if k > 64 && k%64 != 0 {
			forms = append(forms, fmt.Sprintf("%d %d/64 in", k/64, k%64))
		}
		for _, s := range forms {
			got, err := ParseLength("depth", s)
			same(s, got, err, mm)
		}
		f := r.IntN(120)
		got, err := ReadTemperature("temp", fmt.Sprintf("%dF", f))
		if want := float64(f-32) * 5 / 9; err != nil || math.Abs(got-want) > 1e-9 {
			t.Errorf("seed %d: %dF reads as %v (%v), want %v", seed, f, got, err, want)
		}
	}
}

// Exact factors by NIST SP 811, appendix B.8; -40 and 32 degrees are the points
// that need no sum.
func TestTypedMeasures(t *testing.T) {
	for _, c := range []struct {
		typed string
		unit  Unit
		want  string
	}{{"250", UnitML, "250"}, {"100ml", UnitML, "100"}, {"1 l", UnitML, "1000"}, {"1 qt", UnitML, "946.352946"}, {"1/2 qt", UnitML, "473.176473"}, {"8 fl oz", UnitML, "236.588237"},
		{"1 lb", UnitGram, "453.59237"}, {"2oz", UnitGram, "56.699046"}, {"1.5 kg", UnitGram, "1500"}, {"3 ft", UnitMetre, "0.9144"}, {"2 ft2", UnitCM2, "1858.0608"}} {
		if got, err := ReadQuantity("quantity", c.typed, c.unit); err != nil || got.String() != c.want {
			t.Errorf("%s in %s: %s (%v), want %s", c.typed, c.unit, got, err, c.want)
		}
	}
	for _, c := range []struct {
		typed string
		unit  Unit
	}{{"1 lb", UnitML}, {"3 fathoms", UnitML}, {"-1 l", UnitML}, {"", UnitML}} {
		if got, err := ReadQuantity("quantity", c.typed, c.unit); err == nil {
			t.Errorf("%q in %s is %s", c.typed, c.unit, got)
		}
	}
	for s, want := range map[string]float64{"18": 18, "18C": 18, "32F": 0, "-40F": -40, "212 °F": 100} {
		if got, err := ReadTemperature("temp", s); err != nil || got != want {
			t.Errorf("%s: %v (%v)", s, got, err)
		}
	}
}

func TestTypedWithAChoice(t *testing.T) {
	_, err := ReadDay("due", "3/4/2027", "", "")
	var r *Refusal
	if !errors.As(err, &r) || len(r.Swap) != 2 || r.Swap[0] != "2027-04-03" || r.Swap[1] != "2027-03-04" {
		t.Errorf("3/4/2027: %v", err)
	}
	for s, want := range map[string]Day{"20 mar": "2027-03-20", "mar 20": "2027-03-20", "24 nov": "2026-11-24", "23 nov": "2027-11-23", "29 feb": "2028-02-29", "today": "2026-11-24", "tomorrow": "2026-11-25", "1st dec": "2026-12-01"} {
		if got, err := ReadDay("due", s, "2026-11-24", ""); err != nil || got != want {
			t.Errorf("%s: %s (%v), want %s", s, got, err, want)
		}
	}
	for _, s := range []string{"31 feb 2027", "13/13/2027", "20 mar", "march", "2027", "", "0/1/2027", "3/20/1027"} {
		if got, err := ReadDay("due", s, "", ""); err == nil {
			t.Errorf("%q is %s", s, got)
		}
	}
	for s, want := range map[string]string{"Chicago": "America/Chicago", "new york": "America/New_York", "berlin": "Europe/Berlin", "Europe/Dublin": "Europe/Dublin", "Buenos_Aires": "America/Buenos_Aires"} {
		if got, ok := FindZone(s); !ok || got != want {
			t.Errorf("zone %s: %q, want %s", s, got, want)
		}
	}
	for _, s := range []string{"", "Local", "Nowhere", "../etc/passwd"} {
		if got, ok := FindZone(s); ok {
			t.Errorf("%q is the zone %s", s, got)
		}
	}
}

// Three short numbers with hyphens may begin with the year: they are not guessed.
func TestShortYearFirst(t *testing.T) {
	for _, s := range []string{"18-12-31", "26-1-5", "3 marble 2027"} {
		if d, err := ReadDay("due", s, "2026-11-24", "dmy"); err == nil {
			t.Errorf("%q reads as %s", s, d)
		}
	}
}
