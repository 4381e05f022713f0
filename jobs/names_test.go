package jobs

import (
	"math/rand/v2"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// The names and codes that are allowed, said once more as expressions. They are
// not used by the program because compiling them takes longer than the rest of
// its start.
var (
	namesAllowed = regexp.MustCompile(`^[\p{Ll}0-9]+(-[\p{Ll}0-9]+)*$`)
	codesAllowed = regexp.MustCompile(`^[\p{L}0-9][\p{L}0-9._-]{0,23}$`)
)

func agree(t *testing.T, s string) {
	t.Helper()
	if got, want := ValidName("operation", s) == nil, len(s) <= 40 && namesAllowed.MatchString(s); got != want {
		t.Errorf("name %q: %v, want %v", s, got, want)
	}
	if got, want := ValidCode("neck", s) == nil, codesAllowed.MatchString(s); got != want {
		t.Errorf("code %q: %v, want %v", s, got, want)
	}
}

func TestNamesAgreeWithTheirExpressions(t *testing.T) {
	for _, s := range []string{"", "-", "a", "A", "a-b", "-a", "a-", "a--b", "glue-face", "größe", "木", "N12", "a.b", ".a", "_a", "a_b", "a b", "a\nb", "\xff", "a\xff", "ª", "1", "é", "a\u0301", strings.Repeat("a", 24), strings.Repeat("a", 25), strings.Repeat("a", 41), strings.Repeat("木", 24)} {
		agree(t, s)
	}
	const seed = 5
	t.Logf("seed %d", seed)
	rng := rand.New(rand.NewPCG(seed, 1))
	letters := []rune("abzAZ019-._ \téßǅʰ木\u0301\ufffd")
	for range 20000 {
		var b strings.Builder
		for range rng.IntN(28) {
			b.WriteRune(letters[rng.IntN(len(letters))])
		}
		agree(t, b.String())
	}
}

func FuzzParseDay(f *testing.F) {
	for _, s := range []string{"2026-01-05", " 2026-12-31 ", "2026-02-29", "2024-02-29", "1899-12-31", "2201-01-01", "26-1-5", "18-12-31", "3.4.2026", "2026-1-5", "2026-01-05T00:00:00Z", "", "\x00", "２０２６-01-05"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		d, err := ParseDay("day", s)
		if err != nil {
			return
		}
		again, err := ParseDay("day", string(d))
		if err != nil || again != d {
			t.Errorf("%q gave %q, which gives %q, %v", s, d, again, err)
		}
		if d.Add(1).Add(-1) != d || d.DaysTo(d.Add(400)) != 400 || d.DaysTo(d.Add(-1)) != -1 || d.Add(15).DaysTo(d) != -15 {
			t.Errorf("%q gave %q", s, d)
		}
	})
}

func FuzzParseClock(f *testing.F) {
	for _, s := range []string{"19:30", "1930", "7:05", "705", "24:00", "24:01", "00:00", "0:0", ":30", "19:", "-1:30", "+1:30", "1 :30", "99:99", "", "١٩:٣٠"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		c, err := ParseClock("time", s)
		if err != nil {
			return
		}
		if c < 0 || c > 24*60 {
			t.Fatalf("%q gave %d minutes", s, int(c))
		}
		if again, err := ParseClock("time", c.String()); err != nil || again != c {
			t.Errorf("%q gave %s, which gives %s, %v", s, c, again, err)
		}
	})
}

func FuzzParseSlot(f *testing.F) {
	for _, s := range []string{"tue 19:30-22:00", "Tuesday 1930-2200", "thu 22:00-1:00", "tu 19:30-22:00", "tue 19:30", "tue 19:30-19:30", "tue  19:30-22:00 x", "", "sat -", "wed 24:00-00:00"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		slot, err := ParseSlot(s)
		if err != nil {
			return
		}
		again, err := ParseSlot(slot.String())
		if err != nil || again != slot {
			t.Errorf("%q gave %s, which gives %s, %v", s, slot, again, err)
		}
		if m := slot.Minutes(); m < 0 || m > 24*60 {
			t.Errorf("%q gave a slot of %d minutes", s, m)
		}
	})
}

func TestCompareCodes(t *testing.T) {
	want := []string{"", "N1", "N2", "N10", "N10-2", "N10-10", "Q1", "S9", "S10-1", "S10-2", "S10-10", "ada", "bo"}
	got := slices.Clone(want)
	for i := range got {
		j := (i * 7) % len(got)
		got[i], got[j] = got[j], got[i]
	}
	slices.SortFunc(got, CompareCodes)
	if !slices.Equal(got, want) {
		t.Errorf("got %v", got)
	}
	for _, a := range want {
		for _, b := range want {
			if (CompareCodes(a, b) == 0) != (a == b) || CompareCodes(a, b) != -CompareCodes(b, a) {
				t.Errorf("%q and %q", a, b)
			}
		}
	}
}
