package layout

import (
	"errors"
	"fmt"
	"math"
	"testing"
)

// Pushing the posts of one mode to the places of another gives that mode's
// figures: posts, pitches, edge distances, rows, holes and findings.
func TestMovedToAnotherModeIsThatMode(t *testing.T) {
	for name, text := range map[string]string{"4+2": mustSpec + wedgeOutline, "6+6": twelve} {
		s := mustRead(t, text)
		from, err := Solve(s, EvenPitch)
		if err != nil {
			t.Fatal(err)
		}
		to, err := Solve(s, Balanced)
		if err != nil {
			t.Fatal(err)
		}
		var moves []Move
		for _, p := range to.Posts {
			moves = append(moves, Move{p.String, p.YMM})
		}
		got, err := from.Moved(moves)
		if err != nil {
			t.Fatal(err)
		}
		if fmt.Sprintf("%+v", derefs(got.Posts)) != fmt.Sprintf("%+v", derefs(to.Posts)) {
			t.Errorf("%s: posts\n%+v\nwant\n%+v", name, derefs(got.Posts), derefs(to.Posts))
		}
		if fmt.Sprint(got.Findings) != fmt.Sprint(to.Findings) || fmt.Sprint(got.Holes) != fmt.Sprint(to.Holes) {
			t.Errorf("%s: findings or holes differ", name)
		}
		if *got.Rows[0].Cost != *to.Rows[0].Cost {
			t.Errorf("%s: cost %v, want %v", name, *got.Rows[0].Cost, *to.Rows[0].Cost)
		}
		if got.Code == from.Code || len(got.ByHand) != len(moves) {
			t.Errorf("%s: code %s after %s, %d moves", name, got.Code, from.Code, len(got.ByHand))
		}
	}
}

func derefs(posts []Post) (out []string) {
	for _, p := range posts {
		text := fmt.Sprintf("%d %s %d %.5f %.5f off %.5f", p.String, p.Side, p.Place, p.XMM, p.YMM, p.OffStringMM)
		if p.PitchMM != nil {
			text += fmt.Sprintf(" pitch %.5f", *p.PitchMM)
		}
		out = append(out, text+fmt.Sprintf(" edge %.5f %s", *p.EdgeMM, p.EdgePart))
	}
	return out
}

// A second push goes on from the first; the code follows the places.
func TestMovesAddUp(t *testing.T) {
	p, err := Solve(mustRead(t, mustSpec+wedgeOutline), Balanced)
	if err != nil {
		t.Fatal(err)
	}
	p = p.For("N7")
	y2, y3 := postY(p, 2)+0.4, postY(p, 3)-0.3
	both, err := p.Moved([]Move{{2, y2}, {3, y3}})
	if err != nil {
		t.Fatal(err)
	}
	one, err := p.Moved([]Move{{3, y3}})
	if err != nil {
		t.Fatal(err)
	}
	then, err := one.Moved([]Move{{2, y2}})
	if err != nil {
		t.Fatal(err)
	}
	if then.Code != both.Code || both.Neck != "N7" || both.Code == one.Code {
		t.Errorf("codes %s and %s after %s, neck %q", both.Code, then.Code, one.Code, both.Neck)
	}
	back, err := then.Moved([]Move{{2, postY(p, 2)}, {3, postY(p, 3)}})
	if err != nil || back.Code != p.Code {
		t.Errorf("moved back: code %s, want %s (%v)", back.Code, p.Code, err)
	}
	for _, bad := range []Move{{0, 60}, {7, 60}, {2, 0}, {2, -3}, {2, math.NaN()}, {2, math.Inf(1)}, {2, 1e9}} {
		var no *SpecError
		if _, err := p.Moved([]Move{bad}); !errors.As(err, &no) {
			t.Errorf("%v: %v", bad, err)
		}
	}
}

func postY(p Plan, str int) float64 {
	post, _ := p.PostOf(str)
	return post.YMM
}

// Within a stretch no check fails that passes elsewhere; a twentieth of a mm
// beyond its ends one does.
func TestReachEndsWhereAChecksFails(t *testing.T) {
	for name, text := range map[string]string{"4+2": mustSpec + wedgeOutline, "6+6": twelve} {
		p, err := Solve(mustRead(t, text), Balanced)
		if err != nil {
			t.Fatal(err)
		}
		fails := func(str int, y float64) int {
			q, err := p.Moved([]Move{{str, y}})
			if err != nil {
				t.Fatal(err)
			}
			n := 0
			for _, f := range q.Findings {
				if f.Result == Fail {
					n++
				}
			}
			return n
		}
		found := 0
		for str := 1; str <= p.Spec.Strings; str++ {
			y := postY(p, str)
			lo, hi := y-6, y+6
			spans, err := Reach(p, str, lo, hi)
			if err != nil {
				t.Fatal(err)
			}
			least := math.MaxInt
			for v := lo; v <= hi; v += 0.5 {
				least = min(least, fails(str, v))
			}
			for _, sp := range spans {
				found++
				for k := 1; k < 8; k++ {
					if v := sp.FromMM + (sp.ToMM-sp.FromMM)*float64(k)/8; fails(str, v) > least {
						t.Errorf("%s string %d: a check fails at %.2f within %v", name, str, v, sp)
					}
				}
				for _, v := range []float64{sp.FromMM - 0.05, sp.ToMM + 0.05} {
					if v > lo && v < hi && fails(str, v) <= least {
						t.Errorf("%s string %d: nothing more fails at %.2f beyond %v", name, str, v, sp)
					}
				}
			}
		}
		if found < p.Spec.Strings/2 {
			t.Errorf("%s: only %d stretches", name, found)
		}
	}
	if _, err := Reach(Plan{Spec: mustRead(t, mustSpec)}, 3, 1, 2); err == nil {
		t.Error("a string without a post has a reach")
	}
}

// BenchmarkReach12 is what a moved post asks for, next to the bare check of a plan.
func BenchmarkReach12(b *testing.B) {
	p, err := Solve(mustRead(b, twelve), Balanced)
	if err != nil {
		b.Fatal(err)
	}
	b.Run("check", func(b *testing.B) {
		for b.Loop() {
			Check(p)
		}
	})
	b.Run("reach", func(b *testing.B) {
		for b.Loop() {
			Reach(p, 4, postY(p, 4)-4.5, postY(p, 4)+4.5)
		}
	})
}
