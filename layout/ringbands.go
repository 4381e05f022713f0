package layout

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// ringBands sorts the sides of a ring into bands of y, so that a point is asked
// only against the sides at its height.
type ringBands struct {
	lo, step float64
	sides    [][]int32 // index i is the side from the point before i to i
}

const bandCount = 96

func bandsOf(ring []r2.Vec) ringBands {
	if len(ring) < 3 {
		return ringBands{}
	}
	b := ringBands{lo: math.Inf(1), sides: make([][]int32, bandCount)}
	hi := math.Inf(-1)
	for _, p := range ring {
		b.lo, hi = math.Min(b.lo, p.Y), math.Max(hi, p.Y)
	}
	b.step = math.Max((hi-b.lo)/bandCount, 1e-9)
	j := len(ring) - 1
	for i := range ring {
		from, to := b.band(math.Min(ring[i].Y, ring[j].Y)), b.band(math.Max(ring[i].Y, ring[j].Y))
		for k := max(from, 0); k <= min(to, bandCount-1); k++ {
			b.sides[k] = append(b.sides[k], int32(i))
		}
		j = i
	}
	return b
}

func (b *ringBands) band(y float64) int {
	f := (y - b.lo) / b.step
	if f < 0 {
		return -1
	}
	return int(min(f, bandCount)) // the top edge itself
}

// inside by the even-odd rule.
func (b *ringBands) inside(ring []r2.Vec, p r2.Vec) bool {
	k := b.band(p.Y)
	if len(b.sides) == 0 || k < 0 || k > bandCount {
		return false
	}
	in := false
	for _, i := range b.sides[min(k, bandCount-1)] {
		a, c := ring[i], ring[(int(i)+len(ring)-1)%len(ring)]
		if (a.Y > p.Y) != (c.Y > p.Y) && p.X < (c.X-a.X)*(p.Y-a.Y)/(c.Y-a.Y)+a.X {
			in = !in
		}
	}
	return in
}
