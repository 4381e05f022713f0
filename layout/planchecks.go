package layout

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r2"
)

// checkRow is one row of the table of checks. Run reports every place looked
// at; ready says what is missing before it can look ("" when nothing is).
type checkRow struct {
	Name  string
	ready func(*checker) string
	run   func(*checker)
}

// checks is the table. Order is the order of the findings.
func checks() []checkRow {
	always := func(*checker) string { return "" }
	outline := func(c *checker) string {
		if c.s.outline == nil {
			return "an outline"
		}
		return ""
	}
	return []checkRow{
		{"edge band", func(c *checker) string {
			if c.spec.Edge.MinMM == 0 && c.spec.Edge.MaxMM == 0 {
				return "edge.min_mm or edge.max_mm"
			}
			return outline(c)
		}, checkEdgeBand},
		{"wall to edge", outline, checkWallToEdge},
		{"wall between holes", always, checkWallBetween},
		{"least pitch", func(c *checker) string { return missing(c.spec.Edge.PitchMinMM, "edge.pitch_min_mm") }, checkPitch},
		{"flanges", always, checkFlanges},
		{"keep-outs", func(c *checker) string { return missing(float64(len(c.spec.Keepout)), "keepout") }, checkKeepouts},
		{"strings past posts", always, checkStringsPast},
		{"kink", always, checkKink},
		{"break angle", func(c *checker) string {
			if c.spec.Head.TiltDeg == 0 && (c.spec.Nut.SlotHeightMM == 0 || c.spec.Tuner.WindMM == 0) {
				return "head.tilt_deg, or nut.slot_height_mm and tuner.wind_height_mm"
			}
			return ""
		}, checkBreak},
		{"stack", func(c *checker) string {
			if _, ok := StackOf(c.spec.Stack, c.spec.Tuner, nil); !ok {
				return "stack.core_mm and tuner.clamp_most_mm"
			}
			return ""
		}, checkStack},
		{"bodies", func(c *checker) string { return missing(c.spec.Tuner.BodyWidthMM, "tuner.body_width_mm") }, checkBodies},
		{"bodies and edge", func(c *checker) string {
			return firstMissing(missing(c.spec.Tuner.BodyWidthMM, "tuner.body_width_mm"), outline(c))
		}, checkBodiesEdge},
		{"shafts", func(c *checker) string {
			return firstMissing(missing(c.spec.Tuner.ShaftMM, "tuner.shaft_mm"), outline(c))
		}, checkShafts},
		{"buttons", func(c *checker) string {
			return firstMissing(missing(c.spec.Tuner.ShaftMM, "tuner.shaft_mm"), missing(c.spec.Tuner.ButtonMM, "tuner.button_mm"))
		}, checkButtons},
		{"screws", func(c *checker) string { return missing(float64(len(c.spec.Tuner.ScrewsMM)), "tuner.screws_mm") }, checkScrews},
	}
}

func missing(v float64, key string) string {
	if v == 0 {
		return key
	}
	return ""
}

func firstMissing(a, b string) string {
	if a != "" {
		return a
	}
	return b
}

// tightMM: clearances under this are tight, about what marking can be off.
const tightMM = 0.25

// checker collects what one check sees: every place that is tight or fails,
// and otherwise the one place that comes nearest to the limit.
type checker struct {
	inches Inches
	s      *solver
	spec   Spec
	posts  []Post
	name   string
	bad    []Finding
	best   *Finding
	dirs   []r2.Vec // to the buttons
	lines  []stringLine
}

// Check runs the table of checks over a plan, as Solve does; a stored or
// hand-changed plan can be checked again. Unchecked is what the spec does not say
// enough for.
func Check(p Plan) (findings []Finding, unchecked []Unchecked, inches Inches, err error) {
	s, err := newSolver(p.Spec.withDefaults())
	if err != nil {
		return nil, nil, nil, err
	}
	inches = Inches{}
	findings, unchecked = s.check(p, inches)
	if m, err := modeOf(p.Mode); err == nil {
		inches.keep(slices.Concat(s.gaveWay(m, p), s.assumed())...)
		for _, text := range movedNotes(p.ByHand, nil) { // where it was is not kept
			inches.keep(strings.TrimSuffix(text, "."))
		}
	}
	return findings, unchecked, inches, nil
}

func (s *solver) check(p Plan, inches Inches) (findings []Finding, unchecked []Unchecked) {
	c := &checker{inches: inches, s: s, spec: s.spec, posts: p.Posts, lines: s.spec.lines()}
	for i := range p.Posts {
		c.dirs = append(c.dirs, s.spec.buttonDir(p.Posts, i, s.outline))
	}
	for _, row := range checks() {
		if want := row.ready(c); want != "" {
			if want != "keepout" {
				unchecked = append(unchecked, Unchecked{row.Name, want})
			}
			continue
		}
		c.name, c.bad, c.best = row.Name, nil, nil
		row.run(c)
		findings = append(findings, c.bad...)
		if len(c.bad) == 0 && c.best != nil {
			findings = append(findings, *c.best)
		}
	}
	return findings, unchecked
}

// see records one place with its clearance.
func (c *checker) see(where string, clear, margin float64, format string, args ...any) {
	c.seeAs(grade(clear, margin), where, clear, format, args...)
}

func (c *checker) seeAs(result, where string, clear float64, format string, args ...any) {
	if math.IsNaN(clear) || math.IsInf(clear, 0) {
		return
	}
	f := Finding{Check: c.name, Result: result, Where: where, ClearanceMM: micro(clear), Text: c.inches.keep(fmt.Sprintf(format, args...))[0]}
	if result != Pass {
		c.bad = append(c.bad, f)
	} else if c.best == nil || clear < c.best.ClearanceMM {
		c.best = &f
	}
}

func at(p Post) r2.Vec { return r2.Vec{X: p.XMM, Y: p.YMM} }

func str(p Post) string { return fmt.Sprintf("string %d", p.String) }

func pair(a, b Post) string { return fmt.Sprintf("strings %d and %d", a.String, b.String) }

func checkEdgeBand(c *checker) {
	e := c.spec.Edge
	for _, p := range c.posts {
		clear, limit := math.Inf(1), ""
		if e.MinMM > 0 {
			clear, limit = *p.EdgeMM-e.MinMM, length(e.MinMM)+" mm (edge.min_mm)"
		}
		if e.MaxMM > 0 && e.MaxMM-*p.EdgeMM < clear {
			clear, limit = e.MaxMM-*p.EdgeMM, length(e.MaxMM)+" mm (edge.max_mm)"
		}
		help := ""
		if clear < -1e-6 && p.Place == 1 {
			help = c.firstHelp(p)
		}
		c.see(str(p), clear, tightMM, "%s mm to the edge (%s), limit %s%s", tenth(*p.EdgeMM), p.EdgePart, limit, help)
	}
}

// firstHelp finds the nearest first_mm that would bring a first post into the
// band.
func (c *checker) firstHelp(p Post) string {
	for _, r := range c.s.rows {
		if r.Side != p.Side {
			continue
		}
		t := r.Tracks[0]
		for d := 0.1; d < 60; d += 0.1 {
			for _, y := range []float64{p.YMM - d, p.YMM + d} {
				e := c.s.outline.signed(t.at(y))
				if y > 0 && e >= c.spec.Edge.MinMM && (c.spec.Edge.MaxMM == 0 || e <= c.spec.Edge.MaxMM) {
					return fmt.Sprintf("; posts.first_mm %.1f would bring it inside", y)
				}
			}
		}
	}
	return ""
}

func checkWallToEdge(c *checker) {
	r := c.spec.Tuner.holeRadiusMM()
	for _, p := range c.posts {
		wall := *p.EdgeMM - r
		c.see(str(p), wall-c.spec.Edge.WallMM, tightMM, "%s mm of wood between hole and edge (%s)", tenth(wall), p.EdgePart)
	}
}

// pairs calls f for every two posts.
func (c *checker) pairs(f func(a, b Post, i, j int)) {
	for i := range c.posts {
		for j := i + 1; j < len(c.posts); j++ {
			f(c.posts[i], c.posts[j], i, j)
		}
	}
}

func checkWallBetween(c *checker) {
	d := 2 * c.spec.Tuner.holeRadiusMM()
	c.pairs(func(a, b Post, _, _ int) {
		wall := r2.Norm(r2.Sub(at(a), at(b))) - d
		c.see(pair(a, b), wall-c.spec.Edge.WallMM, tightMM, "%s mm of wood between the holes", tenth(wall))
	})
}

func checkPitch(c *checker) {
	for _, p := range c.posts {
		if p.PitchMM != nil {
			c.see(str(p), *p.PitchMM-c.spec.Edge.PitchMinMM, tightMM, "pitch %s mm, least %s mm", tenth(*p.PitchMM), length(c.spec.Edge.PitchMinMM))
		}
	}
}

func checkFlanges(c *checker) {
	f := c.spec.Tuner.FlangeMM
	if cover := (f - 2*c.spec.Tuner.holeRadiusMM()) / 2; cover < 1 {
		c.see("every post", cover-1, 0, "the flange covers %s mm round the hole; a chip of 1 mm would show", tenth(cover))
	}
	if c.s.outline != nil {
		for _, p := range c.posts {
			c.see(str(p), *p.EdgeMM-f/2, 0.5, "%s mm from the flange to the edge (%s)", tenth(*p.EdgeMM-f/2), p.EdgePart)
		}
	}
	c.pairs(func(a, b Post, _, _ int) {
		gap := r2.Norm(r2.Sub(at(a), at(b))) - f
		c.see(pair(a, b), gap, 0.5, "%s mm between the flanges", tenth(gap))
	})
}

func checkKeepouts(c *checker) {
	r := c.spec.Tuner.holeRadiusMM()
	for _, p := range c.posts {
		for _, k := range c.spec.Keepout {
			rim := k.distance(at(p)) - r
			if k.GlueLine {
				result := Pass
				if rim < glueNearMM {
					result = Tight
				}
				c.seeAs(result, str(p), rim-glueNearMM, "%s mm from the hole's rim to %s (a glue line)", tenth(rim), k.Name)
				continue
			}
			c.see(str(p), rim-k.ClearMM, tightMM, "%s mm from the hole's rim to %s, %s mm asked", tenth(rim), k.Name, length(k.ClearMM))
		}
	}
}

// checkStringsPast: a string, from the nut to its own post, stays clear of the
// posts it passes.
func checkStringsPast(c *checker) {
	postR := c.spec.Posts.DiameterMM / 2
	c.pairs(func(_, _ Post, i, j int) {
		for _, k := range [2][2]int{{i, j}, {j, i}} {
			own, other := c.posts[k[0]], c.posts[k[1]]
			l := c.lines[own.String-1]
			meets := c.contact(own, l)
			d := r2.Norm(r2.Sub(at(other), footOnLine(at(other), l.At, meets)))
			clear := d - postR - l.RadiusMM - stringClearMM
			c.see(fmt.Sprintf("string %d past the post of string %d", own.String, other.String), clear, tightMM,
				"%s mm between string and post, %s mm wanted", tenth(d-postR-l.RadiusMM), length(stringClearMM))
		}
	})
}

// contact is where a string meets its own post.
func (c *checker) contact(p Post, l stringLine) r2.Vec {
	side := sideSign(p.Side)
	if c.spec.Posts.Wind == "outer" {
		side = -side
	}
	right := r2.Vec{X: l.Dir.Y, Y: -l.Dir.X}
	return r2.Sub(at(p), r2.Scale(side*(c.spec.Posts.DiameterMM/2+l.RadiusMM), right))
}

// Lateral tolerances next to the string: the two posts next to the nut matter
// more, because the same error turns the string further there.
const (
	lateralNearMM = 0.3
	lateralFarMM  = 0.5
)

func checkKink(c *checker) {
	for _, p := range c.posts {
		tol := lateralFarMM
		if p.Place <= 2 {
			tol = lateralNearMM
		}
		deg := KinkDeg(p.OffStringMM, c.fromNut(p))
		c.see(str(p), tol-math.Abs(p.OffStringMM), 0.05, "%s mm off its string, a kink of %.2f degrees", exact(fmt.Sprintf("%.2f", math.Abs(p.OffStringMM)), math.Abs(p.OffStringMM)), deg)
	}
}

// fromNut is the string's way from the nut to its post.
func (c *checker) fromNut(p Post) float64 {
	l := c.lines[p.String-1]
	return r2.Dot(r2.Sub(at(p), l.At), l.Dir)
}

// KinkDeg is the sideways turn of a string whose post is off by so much at a
// distance from the nut.
func KinkDeg(offMM, distanceMM float64) float64 {
	if distanceMM <= 0 {
		return 90
	}
	return degrees(math.Atan(math.Abs(offMM) / distanceMM))
}

// BreakDeg is the bend over the nut: the head's tilt and the string's way down
// from the slot to where it winds.
func BreakDeg(tiltDeg, slotMM, windMM, distanceMM float64) float64 {
	if distanceMM <= 0 {
		return 90
	}
	return tiltDeg + degrees(math.Atan((slotMM-windMM)/distanceMM))
}

func checkBreak(c *checker) {
	for _, p := range c.posts {
		d := c.fromNut(p)
		slot, wind := c.spec.Nut.SlotHeightMM, c.spec.Tuner.WindMM
		if slot == 0 || wind == 0 {
			slot, wind = 0, 0
		}
		deg := BreakDeg(c.spec.Head.TiltDeg, slot, wind, d)
		least := c.spec.Head.LeastBreakDeg
		result, help := Pass, ""
		if deg < least {
			result, help = Tight, "; a string tree, staggered posts or more windings help"
		}
		if deg <= 0 {
			result = Fail
		}
		// The clearance is how much lower the winding sits than it must.
		clear := d * (math.Tan(radians(deg)) - math.Tan(radians(least)))
		c.seeAs(result, str(p), clear, "break angle %.1f degrees, at least %s wanted%s", deg, trimMM(least), help)
	}
}

func checkStack(c *checker) {
	for _, p := range c.posts {
		sum, ok := StackOf(c.spec.Stack, c.spec.Tuner, []float64{p.YMM})
		if !ok {
			return
		}
		c.seeAs(sum.Result, str(p), sum.ClearanceMM, "%s", sum.told)
	}
	// One line for all posts when they say the same.
	if len(c.bad) == len(c.posts) && len(c.spec.Stack.CoreAt) == 0 && len(c.bad) > 1 {
		c.bad = c.bad[:1]
		c.bad[0].Where = "every post"
	}
}
