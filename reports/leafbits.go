package reports

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
	"bookmatch/reports/draw"
)

// BitLifePaper is how long bits last, a page for each class: when to take one off, what
// was seen of every edge, and which bit is for the next necks.
func BitLifePaper(r *workshop.BitsResult) Report {
	out := Bits(r)
	classes := slices.Clone(r.Survival)
	slices.SortStableFunc(classes, func(a, b workshop.Survival) int {
		show := func(c workshop.Survival) int {
			if b, ok := showBit(r, c.Class); ok && b.Keep == jobs.KeepShow {
				return 0
			}
			return 1
		}
		return cmp.Compare(show(a), show(b))
	})
	x := letterSheet("bit life")
	if len(classes) == 1 {
		x.what += ", " + classes[0].Class
	}
	out.leaves(x, func(p *pen, page int) bool {
		if len(classes) == 0 {
			p.text(0, 24, "Nothing is known of any bit yet.", draw.Type{Points: 16.5, Bold: true})
			p.text(0, 32, "Add bits with an expected life and a price: bit add --help", bodyType)
			return false
		}
		bitLifePage(p, r, classes[page])
		return page+1 < len(classes)
	})
	return out
}

// showBit gives the show bit of a class that is in use, else any that is.
func showBit(r *workshop.BitsResult, class string) (best workshop.BitRow, ok bool) {
	for _, b := range r.Bits {
		if b.Class != class || b.Keep == jobs.KeepScrap || b.Away != "" {
			continue
		}
		if !ok || best.Keep != jobs.KeepShow && b.Keep == jobs.KeepShow {
			best, ok = b, true
		}
	}
	return best, ok
}

func bitLifeSentence(b workshop.BitRow, has bool) string {
	switch {
	case !has:
		return "No bit of this class is in the shop."
	case b.Keep != jobs.KeepShow:
		return fmt.Sprintf("%s is kept for %s: nothing tears there that shows.", b.Bit, jobs.KeepText(b.Keep))
	case b.RetireAt == nil:
		return fmt.Sprintf("%s has had %.0f holes. No age to take it off is known: it lacks a price or a life.", b.Bit, b.Wear)
	}
	age := *b.RetireAt
	s := fmt.Sprintf("Take a show bit off after %.0f holes, %s. %s has had %.0f", age, jobs.CountText(int(age/holesAHeadstock), "headstock"), b.Bit, b.Wear)
	left := int(math.Floor((age - b.Wear) / holesAHeadstock))
	switch {
	case left < 0:
		return s + ": take it off."
	case left == 0:
		return s + ": not one whole headstock is left."
	}
	return s + fmt.Sprintf(": %s to go.", jobs.CountText(left, "headstock"))
}

func bitLifePage(p *pen, r *workshop.BitsResult, c workshop.Survival) {
	bit, has := showBit(r, c.Class)
	p.fit(0, 16, p.room, "Life of the bits: "+c.Class, noteType)
	t := draw.Type{Points: 16.5, Bold: true}
	y := 23.5
	for _, l := range p.wrapped(bitLifeSentence(bit, has), t, p.room, 2) {
		p.text(0, y, l, t)
		y += 7.2
	}
	y = 42
	age := 0.0
	if has && bit.Keep == jobs.KeepShow && bit.RetireAt != nil {
		age = *bit.RetireAt
	}
	most := c.Curve[len(c.Curve)-1].Age
	for _, s := range c.Steps {
		most = max(most, s.Age)
	}
	edges := edgesOf(r, c.Class)
	for _, e := range edges {
		most = max(most, e.LifeHoles, e.Wear)
	}
	most = max(most, age*1.1, 1)
	const left, right0 = 22.0, 20.0
	x := func(holes float64) float64 { return left + (p.room-left-right0)*holes/most }
	lifeChart(p, c, bit, has, age, y, most, x)
	y = lifeEdges(p, edges, age, y+92, x)
	y = lifeFigures(p, r, bit, has, y+7)
	y = lifePress(p, r, c.Class, y+6)
	basis := "How it is calculated: " + c.Basis + ". A change is best when the cost of a hole is least (Barlow and Hunter 1960). Steps: product limit (Kaplan and Meier 1958). The pale band holds 8 times of 10."
	for _, l := range p.wrapped(basis, noteType, p.room, 3) {
		if y+noteLineMM < p.floor() {
			p.text(0, y+noteLineMM, l, noteType)
			y += noteLineMM
		}
	}
}

// edgesOf lists the edges of a class, the newest last, at most twelve.
func edgesOf(r *workshop.BitsResult, class string) []workshop.LifeRow {
	var out []workshop.LifeRow
	for _, l := range r.Lives {
		if slices.ContainsFunc(r.Bits, func(b workshop.BitRow) bool { return b.Bit == l.Bit && b.Class == class }) {
			out = append(out, l)
		}
	}
	slices.SortStableFunc(out, func(a, b workshop.LifeRow) int { return a.Since.Compare(b.Since) })
	return out
}

// tickSteps are distances of ticks in holes: whole headstocks.
var tickSteps = []float64{1, 2, 3, 6, 12, 24, 48, 96, 192, 384, 768, 1536}

func lifeChart(p *pen, c workshop.Survival, bit workshop.BitRow, has bool, age, top, most float64, x func(float64) float64) {
	const tall = 76.0
	at := func(share float64) float64 { return top + 8 + tall*(1-share) }
	p.text(0, top+3, "of 100 edges still good", noteType)
	for _, share := range []float64{0, 0.25, 0.5, 0.75, 1} {
		p.line(x(0), at(share), x(most), at(share), draw.Hair, 0.25)
		p.text(x(0)-2, at(share)+1.2, fmt.Sprintf("%.0f", 100*share), right(noteType))
	}
	spot := func(holes, share float64) draw.Point { return draw.Point{X: p.left + x(holes), Y: at(share)} }
	var band, low, line []draw.Point
	for _, q := range c.Curve {
		band, low, line = append(band, spot(q.Age, q.High)), append(low, spot(q.Age, q.Low)), append(line, spot(q.Age, q.Model))
	}
	slices.Reverse(low)
	p.s.Path(draw.Poly(append(band, low...), true), draw.Look{Fill: draw.Tint})
	p.line(x(0), at(0), x(most), at(0), draw.Black, 0.4)
	p.s.Path(draw.Poly(line, false), draw.Look{Stroke: draw.Brown, Width: 0.9})
	if len(c.Steps) > 0 {
		seen := []draw.Point{spot(0, 1)}
		for _, q := range c.Steps {
			if q.Seen != nil {
				seen = append(seen, draw.Point{X: p.left + x(q.Age), Y: seen[len(seen)-1].Y}, spot(q.Age, *q.Seen))
			}
		}
		p.s.Path(draw.Poly(seen, false), draw.Look{Stroke: draw.Black, Width: 0.45, Dash: []float64{2, 1.4}})
	}
	step := tickSteps[len(tickSteps)-1]
	for _, s := range tickSteps {
		if most/s <= 9 {
			step = s
			break
		}
	}
	middle := noteType
	middle.Anchor = draw.Middle
	for h := 0.0; h <= most; h += step {
		p.line(x(h), at(0), x(h), at(0)+1.2, draw.Black, 0.3)
		p.text(x(h), at(0)+5, fmt.Sprintf("%.0f", h), middle)
	}
	p.text(x(most), at(0)+9.2, "holes on one edge (15 mm deep, hard maple)", right(noteType))
	// The label of the curve has its place where the curve is halfway down.
	for _, q := range c.Curve {
		if q.Model < 0.45 {
			p.text(x(q.Age)+3, at(q.Model)-3, "what to expect", headType)
			p.text(x(q.Age)+3, at(q.Model)+1.2, fmt.Sprintf("life %.0f holes", c.Life), noteType)
			break
		}
	}
	if len(c.Steps) > 0 {
		p.text(x(0)+3, at(0.12), "dashed: what was seen", bodyType)
	} else {
		p.text(x(0)+3, at(0.12), "never worn one out", bodyType)
	}
	if age > 0 {
		p.line(x(age), top+1, x(age), at(0), draw.Black, 1)
		p.text(x(age)+2, top+4.5, fmt.Sprintf("take it off: %.0f holes", age), draw.Type{Points: 11, Bold: true})
	}
	if has && bit.Keep == jobs.KeepShow && bit.Wear <= most {
		share := 1.0
		for _, q := range c.Curve {
			if q.Age <= bit.Wear {
				share = q.Model
			}
		}
		o := spot(bit.Wear, share)
		p.s.Path(draw.Ellipse(o.X, o.Y, 1.7, 1.7), draw.Look{Fill: draw.White, Stroke: draw.Black, Width: 0.7})
		p.text(x(bit.Wear)+2, at(share)-3, fmt.Sprintf("%s now: %.0f", bit.Bit, bit.Wear), bold(bodyType))
	}
}

// mostEdges is how many edges a page shows; the older ones are counted.
const mostEdges = 12

// lifeEdges draws every edge on the axis of the chart: worn out, retired while good or
// in use.
func lifeEdges(p *pen, edges []workshop.LifeRow, age, y float64, x func(float64) float64) float64 {
	p.text(0, y+4, "Every edge so far", headType)
	y += 7
	if older := len(edges) - mostEdges; older > 0 {
		p.text(x(0), y-3, fmt.Sprintf("and %d earlier", older), noteType)
		edges = edges[older:]
	}
	step := min(6.0, 50/float64(max(len(edges), 1)))
	if age > 0 {
		p.s.Path(draw.Stroke(p.left+x(age), y-2, p.left+x(age), y+step*float64(len(edges))), draw.Look{Stroke: draw.Black, Width: 0.35, Dash: []float64{1.5, 1.2}})
	}
	for _, e := range edges {
		mid := y + step/2
		name := e.Bit
		if e.Life > 1 {
			name += fmt.Sprintf("/%d", e.Life)
		}
		p.text(x(0)-2, mid+1.2, draw.Cut(p.s, name, bold(bodyType), 20), right(bold(bodyType)))
		end := e.LifeHoles
		if e.CountsAs == workshop.InUse {
			end = e.Wear
		}
		ink := draw.Brown
		if e.CountsAs == workshop.InUse {
			ink = draw.Black
		}
		p.line(x(0), mid, x(end), mid, ink, 0.9)
		px := p.left + x(end)
		switch e.CountsAs {
		case workshop.WornOut:
			p.s.Path(draw.Ellipse(px, mid, 1.3, 1.3), draw.Look{Fill: draw.Black})
		case workshop.Retired:
			p.s.Path(draw.Ellipse(px, mid, 1.3, 1.3), draw.Look{Fill: draw.White, Stroke: draw.Black, Width: 0.5})
		default:
			p.s.Path(draw.Poly([]draw.Point{{X: px - 0.4, Y: mid - 1.4}, {X: px + 2, Y: mid}, {X: px - 0.4, Y: mid + 1.4}}, true), draw.Look{Fill: draw.Black})
		}
		p.text(x(end)+3, mid+1.2, fmt.Sprintf("%.0f", end), bold(bodyType))
		words := e.CountsAs
		if e.End != "" {
			words = e.End
		}
		from := x(end) + 5 + p.s.Width(fmt.Sprintf("%.0f", end), bold(bodyType))
		if end < age {
			from = max(from, x(age)+3)
		}
		p.fit(from, mid+1.2, p.room-from, words, noteType)
		y += step
	}
	y += 4
	dot := func(at float64, look draw.Look, words string) {
		p.s.Path(draw.Ellipse(p.left+at, y-1.2, 1.3, 1.3), look)
		p.text(at+3, y, words, draw.Type{Points: 9})
	}
	dot(x(0)+1.5, draw.Look{Fill: draw.Black}, "worn out")
	dot(x(0)+30, draw.Look{Fill: draw.White, Stroke: draw.Black, Width: 0.5}, "retired while good: says only \u201cat least this long\u201d")
	return y
}

func lifeFigures(p *pen, r *workshop.BitsResult, bit workshop.BitRow, has bool, y float64) float64 {
	if !has {
		return y
	}
	f := formOf(r)
	chance, band := "not known", ""
	if c := bit.Next.ChanceDull; c != nil {
		chance = fmt.Sprintf("%.0f %%", 100**c)
		if bit.Next.Low != nil && bit.Next.High != nil {
			band = fmt.Sprintf("8 times of 10 between %.0f and %.0f %%", 100**bit.Next.Low, 100**bit.Next.High)
		}
	}
	w := (p.room - 10) / 3
	for i, c := range [][3]string{{fmt.Sprintf("Chance to go dull, next %s", jobs.CountText(bit.Next.Holes, "hole")), chance, band},
		{"A torn hole costs", f.money(bit.TornHoleCost), bit.TornHoleBasis}, {"A fresh edge costs", f.money(bit.Change), map[string]string{"own": "price of this bit", "class": "price of its class"}[bit.ChangeFrom]}} {
		x := float64(i) * (w + 5)
		p.line(x, y, x+w, y, draw.Black, 0.35)
		p.fit(x, y+4.4, w, c[0], noteType)
		p.big(x, y+11, w, c[1], true, 14, 12)
		for k, l := range p.wrapped(c[2], noteType, w, 2) {
			p.text(x, y+15.5+float64(k)*noteLineMM, l, noteType)
		}
	}
	return y + 20
}

// lifePress is which bit is for which neck that is drilled next.
func lifePress(p *pen, r *workshop.BitsResult, class string, y float64) float64 {
	var plan []workshop.PlanRow
	for _, x := range r.Plan {
		if x.Verdict == nil || x.Verdict.Class == class {
			plan = append(plan, x)
		}
	}
	if len(plan) == 0 {
		return y
	}
	p.text(0, y+4, "Next on the press", headType)
	p.rule(y+6, draw.Black, 0.35)
	y += 6
	for i, x := range plan {
		if i == 4 || y+14 > p.floor() {
			break
		}
		p.fit(0, y+4, 34, x.Neck, bold(bodyType))
		p.fit(36, y+4, 26, x.Bit, bodyType)
		words := x.Why
		if x.Verdict != nil {
			words = strings.ToLower(x.Verdict.VerdictText) + ", " + words
		}
		p.fit(64, y+4, p.room-64, words, bodyType)
		y += 5.4
		p.rule(y, draw.Hair, 0.2)
	}
	return y + 3
}
