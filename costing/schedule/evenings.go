package schedule

import "sort"

// weekMin is the minutes of a week.
const weekMin = 7 * 24 * 60

// evenings is the row of coming evenings. A position in it is the number of
// evenings before a moment, with the share of the one it falls in: 2.5 is the
// middle of the third.
type evenings struct{ from, to []float64 }

// repeatWeeks is how far the last week of a list is carried on. Later moments
// count as the end of the row.
const repeatWeeks = 156

func newEvenings(later []Window) evenings {
	var e evenings
	for _, w := range later {
		e.from, e.to = append(e.from, w.FromMin), append(e.to, w.ToMin)
	}
	n := len(e.from)
	if n == 0 {
		return e
	}
	first := sort.Search(n, func(i int) bool { return e.from[i] > e.from[n-1]-weekMin })
	for week := 1; week <= repeatWeeks; week++ {
		for i := first; i < n; i++ {
			e.from = append(e.from, e.from[i]+float64(week)*weekMin)
			e.to = append(e.to, e.to[i]+float64(week)*weekMin)
		}
	}
	return e
}

// position gives where a moment falls, in minutes from now.
func (e *evenings) position(min float64) float64 {
	if len(e.from) == 0 || min <= e.from[0] {
		return 0
	}
	lo, hi := 0, len(e.to)
	for lo < hi {
		if mid := (lo + hi) / 2; e.to[mid] <= min {
			lo = mid + 1
		} else {
			hi = mid
		}
	}
	if lo == len(e.to) || min <= e.from[lo] {
		return float64(lo)
	}
	return float64(lo) + (min-e.from[lo])/(e.to[lo]-e.from[lo])
}

// moment gives the minutes from now of a position. A whole number is the end
// of the evening before.
func (e *evenings) moment(pos float64) float64 {
	i := int(pos)
	if len(e.from) == 0 {
		return 0
	}
	if i >= len(e.from) {
		return e.to[len(e.to)-1]
	}
	if share := pos - float64(i); share > 0 || i == 0 {
		return e.from[i] + share*(e.to[i]-e.from[i])
	}
	return e.to[i-1]
}
