package layout

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

func validKeepouts(s Spec) *SpecError {
	if len(s.Keepout) > 50 {
		return specErr("keepout", len(s.Keepout), "at most 50 keep-outs")
	}
	for _, k := range s.Keepout {
		forms := 0
		if len(k.CentreMM) > 0 || k.RadiusMM != 0 {
			forms++
			if len(k.CentreMM) != 2 || k.RadiusMM <= 0 {
				return specErr("keepout.centre_mm", k.Name, "a disc is centre_mm = [x, y] and radius_mm above 0")
			}
		}
		if len(k.BoxMM) > 0 {
			forms++
			if len(k.BoxMM) != 4 {
				return specErr("keepout.box_mm", k.Name, "a box is [x0, y0, x1, y1]")
			}
		}
		if len(k.PointsMM) > 0 {
			forms++
			if len(k.PointsMM) < 2 || len(k.PointsMM) > 200 {
				return specErr("keepout.points_mm", k.Name, "2 to 200 points: two make a line, more a ring")
			}
			for _, p := range k.PointsMM {
				if len(p) != 2 {
					return specErr("keepout.points_mm", k.Name, "each point is [x, y]")
				}
			}
		}
		if forms != 1 {
			return specErr("keepout", k.Name, "one of centre_mm with radius_mm, box_mm, points_mm")
		}
		if k.ClearMM < 0 {
			return specErr("keepout.clear_mm", k.ClearMM, "not below zero")
		}
	}
	return nil
}

// ring is the keep-out's corners; nil for a disc.
func (k Keepout) ring() []r2.Vec {
	if len(k.BoxMM) == 4 {
		x0, x1 := math.Min(k.BoxMM[0], k.BoxMM[2]), math.Max(k.BoxMM[0], k.BoxMM[2])
		y0, y1 := math.Min(k.BoxMM[1], k.BoxMM[3]), math.Max(k.BoxMM[1], k.BoxMM[3])
		return []r2.Vec{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}
	}
	var pts []r2.Vec
	for _, p := range k.PointsMM {
		pts = append(pts, r2.Vec{X: p[0], Y: p[1]})
	}
	return pts
}

// distance from p to the keep-out, negative inside it.
func (k Keepout) distance(p r2.Vec) float64 {
	if len(k.CentreMM) == 2 {
		return r2.Norm(r2.Sub(p, r2.Vec{X: k.CentreMM[0], Y: k.CentreMM[1]})) - k.RadiusMM
	}
	pts := k.ring()
	d := math.Inf(1)
	in := false
	j := len(pts) - 1
	for i, a := range pts {
		b := pts[j]
		j = i
		d = math.Min(d, r2.Norm(r2.Sub(p, footOnLine(p, a, b))))
		if len(pts) > 2 && (a.Y > p.Y) != (b.Y > p.Y) && p.X < (b.X-a.X)*(p.Y-a.Y)/(b.Y-a.Y)+a.X {
			in = !in
		}
	}
	if in {
		return -d
	}
	return d
}

// holeRadiusMM is half the widest bore of the tuner.
func (t Tuner) holeRadiusMM() float64 {
	d := 0.0
	for _, b := range t.Bores {
		d = math.Max(d, b.DiameterMM)
	}
	return d / 2
}

// clearOfKeepouts is the least clearance of a hole at p over all keep-outs
// (glue lines aside) beyond what each asks for, and which one; +Inf when there are none.
func (s Spec) clearOfKeepouts(p r2.Vec) (float64, string) {
	best, name := math.Inf(1), ""
	for _, k := range s.Keepout {
		if k.GlueLine {
			continue
		}
		if c := k.distance(p) - s.Tuner.holeRadiusMM() - k.ClearMM; c < best {
			best, name = c, k.Name
		}
	}
	return best, name
}
