package layout

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"math/rand"
	"os"
	"os/exec"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
)

// pathTable has one path for each rule of the grammar of SVG 2, chapter 9.3.9.
var pathTable = []string{
	"M 0 0 L 10 0 10 10 0 10 Z",
	"m0,0l10,0,10,10,-10-10z",
	"M1.5.5L.5.25-.5-.25",
	"M1e-3 1E+1L-1e2+.5e0",
	"M0 0 10 0 10 10",
	"m5 5 10 0 0 10",
	"M0 0H10 20 30V5 6h-5-6v1 2",
	"M0 0C1 1 2 1 3 0 4-1 5-1 6 0",
	"m0 0c1 1 2 1 3 0s2-1 3 0S8 8 10 0",
	"M0 0S1 5 5 0S9 5 10 0",
	"M0 0Q5 10 10 0T20 0T30 0",
	"M0 0T5 5t5 5q1 1 2 0t3 3",
	"M0 0L5 5T10 0",
	"M0 0A10 10 0 0 1 10 10",
	"M0 0a10 10 0 1010 10",
	"M0 0a25 15 30 01 20 5 25 15 30 1120-5",
	"M0 0A5 2 45 0 0 40 0",
	"M0 0A-10-5 0 0 1 10 0",
	"M10 10A5 5 0 0 1 10 10L20 20",
	"M0 0L10 0L10 10ZL-5-5Z",
	"M3 3l10 0l0 10zl-5-5m1 1l3 3z",
	"M0 0L10 10M20 20L30 30z",
	"\t\n\f\rM\t0\n0\fL\r9 9 ",
}

// pieces gives the points of every piece at quarters, as the other parser does.
func pieces(shapes []shape) [][5]r2.Vec {
	var out [][5]r2.Vec
	for _, sh := range shapes {
		for _, s := range sh.segs {
			var p [5]r2.Vec
			for k := range p {
				p[k] = s.at(float64(k) / 4)
			}
			out = append(out, p)
		}
	}
	return out
}

// randomPath writes a path in one of the many forms the grammar allows.
func randomPath(r *rand.Rand) string {
	var b strings.Builder
	number := func() {
		v := fmt.Sprintf("%.*f", r.Intn(4), (r.Float64()-0.5)*200)
		switch r.Intn(6) {
		case 0:
			v = fmt.Sprintf("%.3e", (r.Float64()-0.5)*200)
		case 1:
			v = strings.Replace(strings.Replace(v, "-0.", "-.", 1), "+", "", 1)
		}
		b.WriteString([]string{" ", ",", " , ", "\n"}[r.Intn(4)] + v)
	}
	pair := func() { number(); number() }
	first := func() { // a number right after the letter takes no comma
		s := b.Len()
		number()
		text := b.String()
		b.Reset()
		b.WriteString(text[:s] + strings.Trim(text[s:], " ,\n"))
	}
	b.WriteString("M")
	first()
	number()
	last := byte('M')
	for range 3 + r.Intn(10) {
		letter := "MLHVCSQTAZ"[r.Intn(10)]
		if strings.IndexByte("QT", last) >= 0 && letter == 'S' || strings.IndexByte("CS", last) >= 0 && letter == 'T' {
			letter = 'L' // TestPathRulesByHand has these two
		}
		last = letter
		if r.Intn(2) == 0 {
			letter |= 0x20
		}
		b.WriteByte(letter)
		if letter|0x20 == 'z' {
			continue
		}
		for round := range 1 + r.Intn(3) {
			if letter|0x20 == 'a' {
				if round > 0 {
					b.WriteByte(' ')
				}
				fmt.Fprintf(&b, "%.1f %.1f %d", 1+r.Float64()*60, 1+r.Float64()*60, r.Intn(360))
				fmt.Fprintf(&b, []string{" %d %d", " %d%d", ",%d,%d"}[r.Intn(3)], r.Intn(2), r.Intn(2))
				pair()
				continue
			}
			if round == 0 {
				first()
			} else {
				number()
			}
			for range argCount[letter&^0x20] - 1 {
				number()
			}
		}
	}
	return b.String()
}

// Against svgelements 1.7.2 (Debian python3-svgelements), an independent
// parser: the table over the grammar and 400 random paths, each piece at five
// places. It reflects control points across kinds of curve and does not draw an
// arc of no radius, where SVG 2 says otherwise: TestPathRulesByHand has those.
func TestPathAgainstSvgelements(t *testing.T) {
	const python = "/usr/bin/python3"
	if err := exec.Command(python, "-c", "import svgelements").Run(); err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal("python3-svgelements is missing: the path reader cannot be held against another")
		}
		t.Skip("python3-svgelements is not installed")
	}
	r := rand.New(rand.NewSource(18))
	paths := append([]string(nil), pathTable...)
	for range 400 {
		paths = append(paths, randomPath(r))
	}
	var in bytes.Buffer
	for _, p := range paths {
		in.WriteString(strings.NewReplacer("\n", " ", "\r", " ", "\t", " ", "\f", " ").Replace(p) + "\n")
	}
	cmd := exec.Command(python, "../testdata/layout/svgpath.py")
	cmd.Stdin, cmd.Stderr = &in, os.Stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(string(out)), "\n")
	if len(lines) != len(paths) {
		t.Fatalf("%d answers for %d paths", len(lines), len(paths))
	}
	for i, text := range paths {
		var want [][5][2]float64
		if err := json.Unmarshal([]byte(lines[i]), &want); err != nil {
			t.Fatal(err)
		}
		shapes, serr := parsePath("path", text, maxUnits)
		if serr != nil {
			t.Errorf("%q: %v", text, serr)
			continue
		}
		got := pieces(shapes)
		if len(got) != len(want) {
			t.Errorf("%q: %d pieces, svgelements %d", text, len(got), len(want))
			continue
		}
		for k := range got {
			for q := range got[k] {
				dx, dy := got[k][q].X-want[k][q][0], got[k][q].Y-want[k][q][1]
				if !(math.Hypot(dx, dy) <= 1e-4) {
					t.Errorf("%q: piece %d at %d/4 is %v, svgelements %v", text, k+1, q, got[k][q], want[k][q])
				}
			}
		}
	}
}

// Rules of SVG 2 worked out by hand: T after a cubic and S after a quadratic
// reflect nothing (9.3.6, 9.3.7), an arc of no radius is a line and one to its
// own start is nothing (9.5.1).
func TestPathRulesByHand(t *testing.T) {
	for text, want := range map[string][][2]float64{ // the middle of each piece
		"M0 0C0 8 8 8 8 0T16 0":   {{4, 6}, {10, 0}},
		"M0 0Q0 8 8 8S16 16 24 8": {{2, 6}, {13, 11}},
		"M0 0A0 5 0 0 1 10 0":     {{5, 0}},
		"M0 0A5 5 0 0 1 0 0L 4 0": {{2, 0}},
		"M0 0a5 5 0 0 1 10 0":     {{5, -5}},
		"M0 0a5 5 0 0010 0":       {{5, 5}},
		"M0 0a1 1 0 0110 0":       {{5, -5}}, // radii too small grow
		"M0 0h4v4zl-4-4":          {{2, 0}, {4, 2}, {2, 2}, {-2, -2}},
		"M0 0 4 0":                {{2, 0}},
	} {
		shapes, err := parsePath("path", text, maxCoordMM)
		if err != nil {
			t.Errorf("%q: %v", text, err)
			continue
		}
		got := pieces(shapes)
		if len(got) != len(want) {
			t.Errorf("%q: %d pieces, want %d", text, len(got), len(want))
			continue
		}
		for i := range got {
			within(t, text+" x", got[i][2].X, want[i][0], 1e-9)
			within(t, text+" y", got[i][2].Y, want[i][1], 1e-9)
		}
	}
}

// What breaks the grammar is refused with its place.
func TestPathGrammarRefusals(t *testing.T) {
	for text, want := range map[string]string{
		"":                        "the path is empty",
		" \n":                     "the path is empty",
		"L 1 1":                   "begins with M",
		"M 0":                     "but the path ends",
		"M 0 0 L 1,,2":            "a number is missing (position 11)",
		"M 0 0 L 1 2,":            "a command letter is missing",
		"M, 0 0":                  "a number is missing (position 2)",
		"M 0 0 A 1 1 0 2 0 3 3":   "flag is 0 or 1",
		"M 0 0 A 1 1 0 1.0 0 3 3": "flag is 0 or 1",
		"M 0 0 L 1e 3":            "exponent",
		"M 0 0 L 1e9999 3":        "exponent",
		"M 0 0 L 1e999 3":         "numbers of at most",
		"M 0 0 L - 3":             "a number is missing",
		"M 0 0 B 3 3":             "a command letter is missing",
		"M 0 0 Z Z":               "draws nothing",
	} {
		_, err := parsePath("path", text, maxCoordMM)
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: err = %v, want %q", text, err, want)
		}
	}
}

// FuzzPath: the reader never panics, and what it takes draws within its limit.
func FuzzPath(f *testing.F) {
	for _, text := range pathTable {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		shapes, err := parsePath("path", text, maxCoordMM)
		if err != nil {
			return
		}
		for _, p := range pieces(shapes) {
			for _, q := range p {
				// An arc reaches at most its own diameter beyond its ends.
				if !(math.Abs(q.X)+math.Abs(q.Y) <= 20*maxCoordMM) {
					t.Fatalf("%q draws at %v", text, q)
				}
			}
			if a, b := p[0], p[4]; math.IsNaN(a.X + a.Y + b.X + b.Y) {
				t.Fatalf("%q: an end is no number", text)
			}
		}
	})
}
