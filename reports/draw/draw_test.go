package draw

import (
	"math"
	"testing"
)

// The circle of radius 10: its points, its length and its area, in closed form.
func TestEllipseIsRound(t *testing.T) {
	p := Ellipse(5, 7, 10, 10)
	runs := p.Flat(0.0001)
	if len(runs) != 1 || !runs[0].Closed {
		t.Fatalf("%d runs", len(runs))
	}
	area := 0.0
	pts := runs[0].Pts
	for i, q := range pts {
		if r := math.Hypot(q.X-5, q.Y-7); math.Abs(r-10) > 1e-4 {
			t.Fatalf("a point at %.6f mm from the centre", r)
		}
		n := pts[(i+1)%len(pts)]
		area += (q.X*n.Y - q.Y*n.X) / 2
	}
	if math.Abs(math.Abs(area)-100*math.Pi) > 0.01 {
		t.Errorf("area %.4f, want %.4f", area, 100*math.Pi)
	}
	lo, hi := Ellipse(0, 0, 3, 2).Bounds()
	if lo.X < -3.3 || hi.Y > 2.3 || hi.X < 3 || lo.Y > -2 {
		t.Errorf("bounds %v %v", lo, hi)
	}
}

// A square of 10 with a hole of 4 inside, hatched level and by 45 degrees: the
// strokes' length times the step is the area.
func TestHatchCoversTheArea(t *testing.T) {
	p := Box(1, 2, 10, 10)
	p.Steps = append(p.Steps, Box(4, 5, 4, 4).Steps...)
	for _, deg := range []float64{0, 45, -45, 90, 30} {
		const step = 0.05
		sum := 0.0
		for _, r := range Hatch(p, step, deg).Flat(0.1) {
			a, b := r.Pts[0], r.Pts[1]
			sum += math.Hypot(a.X-b.X, a.Y-b.Y) * step
			mid := Point{(a.X + b.X) / 2, (a.Y + b.Y) / 2}
			if mid.X < 1 || mid.X > 11 || mid.Y < 2 || mid.Y > 12 || mid.X > 4.01 && mid.X < 7.99 && mid.Y > 5.01 && mid.Y < 8.99 {
				t.Fatalf("%g degrees: a stroke in the hole or outside, at %v", deg, mid)
			}
		}
		if math.Abs(sum-84) > 0.6 {
			t.Errorf("%g degrees: the strokes cover %.2f mm2, want 84", deg, sum)
		}
	}
	// 45 degrees counter-clockwise rises to the right on a page whose y grows down.
	r := Hatch(Box(0, 0, 10, 10), 2, 45).Flat(0.1)[2]
	if dx, dy := r.Pts[1].X-r.Pts[0].X, r.Pts[1].Y-r.Pts[0].Y; dx*dy >= 0 {
		t.Errorf("45 degrees fall to the right: %v", r.Pts)
	}
	if n := len(Hatch(Box(0, 0, 1, 1), 0, 45).Steps) + len(Hatch(new(Path), 1, 45).Steps); n != 0 {
		t.Errorf("%d strokes of nothing", n)
	}
}
