package layout

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// Solve places the posts in one of the four modes. It needs a Spec as ReadSpec
// gives it (defaults filled; anything else is validated first). Errors are
// *SpecError for input that cannot be worked with and *InfeasibleError when a
// row has no place within its hard limits.
func Solve(spec Spec, mode string) (Plan, error) {
	m, err := modeOf(mode)
	if err != nil {
		return Plan{}, err
	}
	spec = spec.withDefaults()
	if err := spec.Validate(); err != nil {
		return Plan{}, err
	}
	s, err := newSolver(spec)
	if err != nil {
		return Plan{}, err
	}
	return s.plan(m)
}

// solver is a spec with what is worked out once: rows and outline.
type solver struct {
	spec    Spec
	outline *Outline // nil when none is given
	rows    []row
}

func newSolver(spec Spec) (*solver, error) {
	s := &solver{spec: spec, rows: spec.rows()}
	if spec.Outline.given() {
		o, err := spec.BuildOutline()
		if err != nil {
			return nil, err
		}
		s.outline = o
	}
	return s, nil
}

// placing is one row put in place.
type placing struct {
	row
	at    []r2.Vec
	notes []string
}

func (s *solver) plan(m mode) (Plan, error) {
	if s.outline == nil && m.needsOutline {
		return Plan{}, specErr("outline", nil, "mode %s needs an outline (outline.path, outline.file or outline.stations)", m.name)
	}
	placed, err := s.place(m)
	if err != nil {
		return Plan{}, err
	}
	p := Plan{Mode: m.name, Spec: s.spec, Posts: []Post{}}
	var notes []string
	for _, pl := range placed {
		p.Posts = append(p.Posts, s.posts(pl)...)
		notes = append(notes, pl.notes...)
	}
	for _, post := range p.Posts {
		if math.IsNaN(post.XMM+post.YMM) || math.Abs(post.XMM)+math.Abs(post.YMM) > 2*maxCoordMM {
			return Plan{}, specErr("spec", nil, "string %d comes to no place that makes sense", post.String)
		}
	}
	return s.worked(m, p, notes), nil
}

// worked fills what follows from a plan's posts: rows, holes, findings, notes, code.
func (s *solver) worked(m mode, p Plan, notes []string) Plan {
	p.Rows, p.Findings, p.Unchecked, p.Notes = []RowSum{}, []Finding{}, []Unchecked{}, []string{}
	p.Inches = Inches{}
	for _, r := range s.rows {
		p.Rows = append(p.Rows, s.rowSum(r.Side, p.Posts))
	}
	p.Notes = p.Inches.keep(slices.Concat(notes, s.gaveWay(m, p), s.assumed())...)
	p.Holes = holes(s.spec, p.Posts)
	findings, unchecked := s.check(p, p.Inches)
	p.Findings = append(p.Findings, findings...)
	p.Unchecked = append(p.Unchecked, unchecked...)
	p.Code = planCode(p)
	return p
}

// place puts every row in place, in the order of s.rows. A mirrored shorter row
// comes after the longer one and takes its distances.
func (s *solver) place(m mode) ([]placing, error) {
	out := make([]placing, len(s.rows))
	if !s.spec.Posts.Mirror || len(s.rows) < 2 {
		for i, r := range s.rows {
			p, err := m.place(s, r)
			if err != nil {
				return nil, err
			}
			out[i] = p
		}
		return out, nil
	}
	long, short := 0, 1
	if len(s.rows[1].Tracks) > len(s.rows[0].Tracks) {
		long, short = 1, 0
	}
	lead, err := m.place(s, s.rows[long])
	if err != nil {
		return nil, err
	}
	out[long] = lead
	r := s.rows[short]
	r.FirstMM, r.PitchMM = s.rows[long].FirstMM, s.rows[long].PitchMM
	if out[short], err = s.placeMirrored(m, r, lead); err != nil {
		return nil, err
	}
	return out, nil
}

// placeMirrored gives the shorter row the longer row's first post and, where
// the mode minds the edge, its edge distances post by post.
func (s *solver) placeMirrored(m mode, r row, lead placing) (placing, error) {
	if !m.needsOutline {
		return m.place(s, r)
	}
	want := make([]float64, len(r.Tracks))
	near := make([]float64, len(r.Tracks))
	for i := range want {
		want[i], near[i] = s.outline.signed(lead.at[i]), lead.at[i].Y
	}
	if m.firstStays { // its first post stays where the longer row's is
		want[0] = s.outline.signed(r.Tracks[0].at(near[0]))
	}
	p, err := s.atEdges(r, want, near)
	if err != nil {
		alone, err2 := m.place(s, r)
		if err2 != nil {
			return placing{}, err2
		}
		alone.notes = append(alone.notes, fmt.Sprintf("%s row: the edge distances of the %s row do not fit here. It is placed by itself.", capital(r.Side), lead.Side))
		return alone, nil
	}
	return p, nil
}

// evenPitch: every post on its string, consecutive centres one pitch apart.
func (s *solver) evenPitch(r row) (placing, error) {
	at := []r2.Vec{r.Tracks[0].at(r.FirstMM)}
	for i, t := range r.Tracks[1:] {
		y, ok := t.next(at[i], r.PitchMM)
		if !ok {
			return placing{}, s.pitchTooShort(r, i+1)
		}
		at = append(at, t.at(y))
	}
	return placing{row: r, at: at}, nil
}

func (s *solver) pitchTooShort(r row, i int) error {
	need := 0.0
	for k := 1; k < len(r.Tracks); k++ {
		a, b := r.Tracks[k-1], r.Tracks[k]
		need = math.Max(need, math.Abs(b.at(a.base.Y).X-a.base.X)/b.stretch)
	}
	need = math.Ceil(need*100+1) / 100
	return &InfeasibleError{
		Side: r.Side, Post: i + 1, String: r.Tracks[i].String, Limit: "posts.pitch_mm",
		Why:   fmt.Sprintf("posts.pitch_mm %s is less than the strings' own spacing there", trimMM(r.PitchMM)),
		Relax: []Relaxation{{Key: "posts.pitch_mm", NowMM: r.PitchMM, ToMM: need}},
	}
}

// straightRow: the row's ends on their strings, (n-1) pitches apart, and equal
// divisions between; a strip is laid by least squares instead.
func (s *solver) straightRow(r row) (placing, error) {
	n := len(r.Tracks)
	first := r.Tracks[0].at(r.FirstMM)
	if n == 1 {
		return placing{row: r, at: []r2.Vec{first}}, nil
	}
	t := r.Tracks[n-1]
	y, ok := t.next(first, r.PitchMM*float64(n-1))
	if !ok {
		return placing{}, s.pitchTooShort(r, n-1)
	}
	dir := r2.Unit(r2.Sub(t.at(y), first))
	if s.spec.Posts.Strip {
		first, dir = layStrip(r, first, dir)
	}
	at := make([]r2.Vec, n)
	for i := range at {
		at[i] = r2.Add(first, r2.Scale(float64(i)*r.PitchMM, dir))
	}
	return placing{row: r, at: at}, nil
}

// layStrip shifts (in x) and turns a strip of fixed pitch about its first post
// to the least sum of squared distances next to the strings (Gauss-Newton).
func layStrip(r row, first, dir r2.Vec) (r2.Vec, r2.Vec) {
	a := math.Atan2(dir.X, dir.Y)
	offs := func(x, a float64) []float64 {
		out := make([]float64, len(r.Tracks))
		for i, t := range r.Tracks {
			k := float64(i) * r.PitchMM
			out[i] = t.offMM(r2.Vec{X: x + k*math.Sin(a), Y: first.Y + k*math.Cos(a)})
		}
		return out
	}
	const h = 1e-6
	for range 20 {
		f, fx, fa := offs(first.X, a), offs(first.X+h, a), offs(first.X, a+h)
		var xx, xa, aa, gx, ga float64
		for i := range f {
			dx, da := (fx[i]-f[i])/h, (fa[i]-f[i])/h
			xx, xa, aa = xx+dx*dx, xa+dx*da, aa+da*da
			gx, ga = gx+dx*f[i], ga+da*f[i]
		}
		det := xx*aa - xa*xa
		if math.Abs(det) < 1e-12 {
			break
		}
		first.X -= (gx*aa - ga*xa) / det
		a -= (ga*xx - gx*xa) / det
	}
	return first, r2.Vec{X: math.Sin(a), Y: math.Cos(a)}
}

// posts reports a placed row. Positions are kept to a millionth of a mm, so
// that printing them and reading them back changes nothing.
func (s *solver) posts(pl placing) []Post {
	out := make([]Post, len(pl.at))
	for i, at := range pl.at {
		at = r2.Vec{X: micro(at.X), Y: micro(at.Y)}
		p := Post{String: pl.Tracks[i].String, Side: pl.Side, Place: i + 1, XMM: at.X, YMM: at.Y, OffStringMM: micro(pl.Tracks[i].offMM(at))}
		if math.Abs(p.OffStringMM) <= 2e-6 {
			p.OffStringMM = 0
		}
		if i > 0 {
			p.PitchMM = ptr(micro(math.Hypot(at.X-out[i-1].XMM, at.Y-out[i-1].YMM)))
		}
		if s.outline != nil {
			e := s.outline.Distance(at)
			p.EdgeMM, p.EdgePart = ptr(micro(e.MM)), e.Part
		}
		out[i] = p
	}
	return out
}

func ptr(v float64) *float64 { return &v }

func micro(v float64) float64 {
	r := math.Round(v*1e6) / 1e6
	if r == 0 {
		return 0 // never -0
	}
	return r
}

// rowSum gathers the extremes of one side.
func (s *solver) rowSum(side string, posts []Post) RowSum {
	sum := RowSum{Side: side}
	var own []Post
	for _, p := range posts {
		if p.Side == side {
			own = append(own, p)
		}
	}
	sum.Posts = len(own)
	widen := func(lo, hi **float64, v *float64) {
		if v == nil {
			return
		}
		if *lo == nil || *v < **lo {
			*lo = ptr(*v)
		}
		if *hi == nil || *v > **hi {
			*hi = ptr(*v)
		}
	}
	for _, p := range own {
		widen(&sum.PitchMinMM, &sum.PitchMaxMM, p.PitchMM)
		widen(&sum.EdgeMinMM, &sum.EdgeMaxMM, p.EdgeMM)
		sum.OffMaxMM = math.Max(sum.OffMaxMM, math.Abs(p.OffStringMM))
	}
	if n := len(own); n > 1 {
		sum.EndToEndMM = micro(math.Hypot(own[n-1].XMM-own[0].XMM, own[n-1].YMM-own[0].YMM))
	}
	if s.outline != nil {
		i := slices.IndexFunc(s.rows, func(r row) bool { return r.Side == side })
		w := s.weights(s.rows[i])
		cost := 0.0
		for _, p := range own[1:] {
			cost += w.cost(*p.PitchMM, *p.EdgeMM)
		}
		sum.Cost = ptr(micro(cost))
	}
	return sum
}
