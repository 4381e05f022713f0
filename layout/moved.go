package layout

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// Move is a post that a hand pushed along its string. YMM is its distance from the
// fretboard end.
type Move struct {
	String int     `json:"string"`
	YMM    float64 `json:"y_mm"`
}

// Moved gives the plan with posts pushed along their strings: pitches, edge
// distances, holes, checks, notes and code are worked out again, everything else
// stays. A post that was moved before keeps its place unless it is named again. A
// string that is not there, or a place off the head, is a *SpecError.
func (p Plan) Moved(moves []Move) (Plan, error) {
	m, err := modeOf(p.Mode)
	if err != nil {
		return p, err
	}
	s, err := newSolver(p.Spec.withDefaults())
	if err != nil {
		return p, err
	}
	from := map[int]float64{}
	for _, v := range moves {
		post, ok := p.PostOf(v.String)
		if !ok {
			return p, specErr("string", v.String, "a string from 1 to %d", s.spec.Strings)
		}
		if !(v.YMM > 0 && v.YMM <= maxCoordMM) {
			return p, specErr("place", v.YMM, "mm from the fretboard end, more than 0 and at most %.0f", maxCoordMM)
		}
		from[v.String] = post.YMM
	}
	old := p.ByHand
	p.ByHand = mergeMoves(old, moves)
	p.Posts = s.pushed(p.Posts, p.ByHand)
	return s.worked(m, p, movedNotes(p.ByHand, from)), nil
}

// movedNotes says which posts were moved by hand, and how far from where they were.
func movedNotes(moves []Move, from map[int]float64) []string {
	var notes []string
	for _, v := range moves {
		text := fmt.Sprintf("String %d is moved by hand to %s mm from the fretboard end", v.String, tenthsOf(v.YMM))
		if y, now := from[v.String]; now && math.Abs(y-v.YMM) >= 0.05 {
			text += fmt.Sprintf(", %s mm from where it was", tenthsOf(math.Abs(y-v.YMM)))
		}
		notes = append(notes, text+".")
	}
	return notes
}

// mergeMoves puts newer moves over older ones, in the order of the strings.
func mergeMoves(old, moves []Move) []Move {
	out := slices.Clone(old)
	for _, v := range moves {
		v.YMM = micro(v.YMM)
		if i := slices.IndexFunc(out, func(o Move) bool { return o.String == v.String }); i >= 0 {
			out[i] = v
		} else {
			out = append(out, v)
		}
	}
	slices.SortFunc(out, func(a, b Move) int { return a.String - b.String })
	return out
}

// pushed gives posts with those of the moves on their tracks at other places.
func (s *solver) pushed(posts []Post, moves []Move) []Post {
	var out []Post
	for _, r := range s.rows {
		pl := placing{row: r}
		for _, t := range r.Tracks {
			i := slices.IndexFunc(posts, func(p Post) bool { return p.String == t.String })
			v := at(posts[i])
			if k := slices.IndexFunc(moves, func(m Move) bool { return m.String == t.String }); k >= 0 {
				v = t.at(moves[k].YMM)
			}
			pl.at = append(pl.at, v)
		}
		out = append(out, s.posts(pl)...)
	}
	return out
}

// Span is a stretch along a string, in mm from the fretboard end.
type Span struct {
	FromMM float64 `json:"from_mm"`
	ToMM   float64 `json:"to_mm"`
}

// reachStep is how finely a stretch is looked through, in mm. The ends of what is
// found are true to a fiftieth of a mm.
const reachStep = 0.25

// Reach is where the post of a string fits between two places while all
// others stay: the stretches in which no check fails that its place has a part in.
func Reach(p Plan, str int, lo, hi float64) ([]Span, error) {
	s, err := newSolver(p.Spec.withDefaults())
	if err != nil {
		return nil, err
	}
	if _, ok := p.PostOf(str); !ok || !(hi > lo) {
		return nil, specErr("string", str, "a string from 1 to %d", s.spec.Strings)
	}
	fails := func(y float64) map[string]float64 {
		q := p
		q.Posts = s.pushed(p.Posts, []Move{{str, y}})
		out := map[string]float64{}
		findings, _ := s.check(q, Inches{})
		for _, f := range findings {
			if f.Result == Fail {
				out[f.Check+" "+f.Where] = f.ClearanceMM
			}
		}
		return out
	}
	n := max(2, int(math.Ceil((hi-lo)/reachStep)))
	y := func(i int) float64 { return lo + (hi-lo)*float64(i)/float64(n) }
	seen := make([]map[string]float64, n+1)
	for i := range seen {
		seen[i] = fails(y(i))
	}
	// What fails by the same amount wherever the post is, is none of its business.
	others := map[string]float64{}
	for k, v := range seen[0] {
		if !slices.ContainsFunc(seen, func(m map[string]float64) bool { w, ok := m[k]; return !ok || w != v }) {
			others[k] = v
		}
	}
	good := func(m map[string]float64) bool {
		for k := range m {
			if _, ok := others[k]; !ok {
				return false
			}
		}
		return true
	}
	// edge finds where good and bad meet between two places.
	edge := func(a, b float64, goodAtB bool) float64 {
		for b-a > 0.02 {
			if mid := (a + b) / 2; good(fails(mid)) == goodAtB {
				b = mid
			} else {
				a = mid
			}
		}
		if goodAtB {
			return b
		}
		return a
	}
	var out []Span
	for i := range seen {
		if !good(seen[i]) {
			continue
		}
		if i == 0 || !good(seen[i-1]) {
			from := lo
			if i > 0 {
				from = edge(y(i-1), y(i), true)
			}
			out = append(out, Span{FromMM: from})
		}
		if last := &out[len(out)-1]; i == n || !good(seen[i+1]) {
			last.ToMM = hi
			if i < n {
				last.ToMM = edge(y(i), y(i+1), false)
			}
		}
	}
	return out, nil
}

// Closest are the plan's checks, one finding each, those with the least room first.
func (p Plan) Closest() []Finding {
	var out []Finding
	for _, f := range p.Findings {
		i := slices.IndexFunc(out, func(o Finding) bool { return o.Check == f.Check })
		if i < 0 {
			out = append(out, f)
		} else if f.ClearanceMM < out[i].ClearanceMM {
			out[i] = f
		}
	}
	slices.SortStableFunc(out, func(a, b Finding) int {
		rank := func(f Finding) int { return strings.Index("fail tight pass", f.Result) }
		if rank(a) != rank(b) {
			return rank(a) - rank(b)
		}
		switch {
		case a.ClearanceMM < b.ClearanceMM:
			return -1
		case a.ClearanceMM > b.ClearanceMM:
			return 1
		}
		return 0
	})
	return out
}
