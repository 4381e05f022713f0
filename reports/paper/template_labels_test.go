package paper

import (
	"math"
	"testing"

	"bookmatch/layout"
	"bookmatch/reports"
	"bookmatch/reports/draw"
)

// words keeps where each text is written.
type words struct {
	draw.Surface
	page  int
	boxes []wordBox
	clips [][2]draw.Point // fields that hide what is outside them
}

type wordBox struct {
	page           int
	text           string
	x0, y0, x1, y1 float64
}

func (s *words) Clip(p *draw.Path) {
	lo, hi := p.Bounds()
	s.clips = append(s.clips, [2]draw.Point{lo, hi})
	s.Surface.Clip(p)
}

func (s *words) Image(_, _, _, _ float64, _ string) bool { return true }

func (s *words) Unclip() {
	s.clips = s.clips[:len(s.clips)-1]
	s.Surface.Unclip()
}

func (s *words) Page(w, h float64) { s.page++; s.Surface.Page(w, h) }

func (s *words) Text(x, y float64, text string, t draw.Type) {
	s.Surface.Text(x, y, text, t)
	w, h := s.Surface.Width(text, t), t.Points*draw.MMPerPoint*0.7
	from := map[int]float64{draw.Start: 0, draw.Middle: -w / 2, draw.End: -w}[t.Anchor]
	b := wordBox{page: s.page, text: text, x0: math.Inf(1), y0: math.Inf(1), x1: math.Inf(-1), y1: math.Inf(-1)}
	sin, cos := math.Sincos(-t.Turn * math.Pi / 180)
	for _, c := range [][2]float64{{from, 0}, {from + w, 0}, {from, -h}, {from + w, -h}} {
		px, py := x+c[0]*cos-c[1]*sin, y+c[0]*sin+c[1]*cos
		b.x0, b.x1 = math.Min(b.x0, px), math.Max(b.x1, px)
		b.y0, b.y1 = math.Min(b.y0, py), math.Max(b.y1, py)
	}
	for _, c := range s.clips {
		b.x0, b.x1 = math.Max(b.x0, c[0].X), math.Min(b.x1, c[1].X)
		b.y0, b.y1 = math.Max(b.y0, c[0].Y), math.Min(b.y1, c[1].Y)
	}
	if text != "" && b.x1 > b.x0 && b.y1 > b.y0 {
		s.boxes = append(s.boxes, b)
	}
}

// No label of a template is printed over another, on either paper and side, for wide
// rows and narrow ones.
func TestTemplateLabelsApart(t *testing.T) {
	narrow := templateDrawing(t)
	s := narrow.Plan.Spec
	s.Posts.PitchMM, s.Edge = 12, layout.Edge{}
	plan, err := layout.Solve(s, layout.EvenPitch)
	if err != nil {
		t.Fatal(err)
	}
	narrow.Plan = plan
	for name, d := range map[string]Template{"plain": templateDrawing(t), "long": longHead(t), "narrow": narrow} {
		for _, paper := range []reports.Paper{reports.A4, reports.Letter} {
			d.Paper = paper
			k, err := layout.NewSketch(d.Plan)
			if err != nil {
				t.Fatal(err)
			}
			s := &words{Surface: NewPDF(Info{Title: "labels"})}
			for _, side := range d.sides() {
				d.pages(s, k, side, true)
			}
			if len(s.boxes) < 20 {
				t.Fatalf("%s: only %d labels", name, len(s.boxes))
			}
			for i, a := range s.boxes {
				for _, b := range s.boxes[:i] {
					w, h := math.Min(a.x1, b.x1)-math.Max(a.x0, b.x0), math.Min(a.y1, b.y1)-math.Max(a.y0, b.y0)
					if a.page == b.page && w > 0.2 && h > 0.2 {
						t.Errorf("%s on %s, page %d: %q is over %q by %.1f x %.1f mm", name, paper, a.page, a.text, b.text, w, h)
					}
				}
			}
		}
	}
}
