package reporttest

import (
	"fmt"
	"strings"
	"testing"

	"bookmatch/reports"
	"bookmatch/reports/draw"
)

// Ruler looks at every word and line that is drawn on a page: nothing below Least
// points, nothing within Margin mm of an edge. It measures words with the surface
// that it wraps.
type Ruler struct {
	draw.Surface
	T             testing.TB
	Name          string
	Wide, High    float64
	Least, Margin float64
	Words         []string
}

// Page implements draw.Surface.
func (*Ruler) Page(_, _ float64) {}

// Image implements draw.Surface.
func (*Ruler) Image(_, _, _, _ float64, _ string) bool { return true }

// Clip implements draw.Surface.
func (*Ruler) Clip(*draw.Path) {}

// Unclip implements draw.Surface.
func (*Ruler) Unclip() {}

// Text implements draw.Surface.
func (r *Ruler) Text(x, y float64, words string, t draw.Type) {
	if strings.TrimSpace(words) == "" {
		return
	}
	r.Words = append(r.Words, words)
	if t.Points < r.Least-1e-9 {
		r.T.Errorf("%s: %q in %g points", r.Name, words, t.Points)
	}
	w := r.Surface.Width(words, t)
	left := x - map[int]float64{draw.Middle: w / 2, draw.End: w}[t.Anchor]
	if left < r.Margin || left+w > r.Wide-r.Margin || y < r.Margin || y > r.High-r.Margin {
		r.T.Errorf("%s: %q at %.1f..%.1f, %.1f leaves a page of %.0f x %.0f", r.Name, words, left, left+w, y, r.Wide, r.High)
	}
}

// Path implements draw.Surface.
func (r *Ruler) Path(p *draw.Path, _ draw.Look) {
	lo, hi := p.Bounds()
	const hole = 5.0 // the mark of the hole of a job card is nearest to an edge
	if len(p.Steps) > 0 && (lo.X < r.Margin || hi.X > r.Wide-r.Margin || lo.Y < hole || hi.Y > r.High-hole) {
		r.T.Errorf("%s: a line from %.0f,%.0f to %.0f,%.0f leaves the page of %.0f x %.0f", r.Name, lo.X, lo.Y, hi.X, hi.Y, r.Wide, r.High)
	}
}

// CheckLeaves lays a report out and looks at every page of it; it gives the words of
// each. Sheets of labels may have type of 7 points and no foot.
func CheckLeaves(t testing.TB, name string, r reports.Report, measure draw.Surface, labels bool) []string {
	t.Helper()
	if r.Leaves == nil {
		t.Fatalf("%s has no pages of its own", name)
	}
	var pages []string
	leaves := r.Leaves(measure)
	for i, l := range leaves {
		s := &Ruler{Surface: measure, T: t, Name: fmt.Sprintf("%s, page %d", name, i+1), Wide: l.Width, High: l.Height, Least: 9, Margin: 8}
		if labels {
			s.Least, s.Margin = 7, 3
		}
		l.Draw(s)
		text := strings.Join(s.Words, "\n")
		if !labels && !strings.Contains(text, fmt.Sprintf("page %d of %d", i+1, len(leaves))) {
			t.Errorf("%s has no number", s.Name)
		}
		if strings.ContainsAny(text, "\x1b\u202e\u2066\x07") {
			t.Errorf("%s writes control characters", s.Name)
		}
		pages = append(pages, text)
	}
	return pages
}
