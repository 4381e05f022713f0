package layout

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r2"
)

// locate turns coordinates and distance readings into one place per hole by
// least squares (Gauss-Newton from the plan's places). Every reading counts
// alike. A hole that the readings leave free is an error naming it.
func locate(p Plan, marks []Mark, readings []Reading) (map[int]r2.Vec, error) {
	if err := checkMarks(p, marks, readings); err != nil {
		return nil, err
	}
	found := map[int]r2.Vec{}
	if len(readings) == 0 {
		count := map[int]float64{}
		for _, m := range marks { // a hole measured twice counts as its mean
			found[m.Hole] = r2.Add(found[m.Hole], r2.Vec{X: m.XMM, Y: m.YMM})
			count[m.Hole]++
		}
		for h, n := range count {
			found[h] = r2.Scale(1/n, found[h])
		}
		return found, nil
	}
	var outline *Outline
	if slices.ContainsFunc(readings, func(r Reading) bool { return r.From == "edge" }) {
		o, err := p.Spec.BuildOutline()
		if err != nil {
			return nil, err
		}
		outline = o
	}
	holes := involved(marks, readings)
	start := make([]float64, 0, 2*len(holes))
	for _, h := range holes {
		post, _ := p.PostOf(h)
		start = append(start, post.XMM, post.YMM)
	}
	at := func(v []float64, h int) r2.Vec {
		i, _ := slices.BinarySearch(holes, h)
		return r2.Vec{X: v[2*i], Y: v[2*i+1]}
	}
	miss := func(v []float64) []float64 {
		var f []float64
		for _, m := range marks {
			q := at(v, m.Hole)
			f = append(f, q.X-m.XMM, q.Y-m.YMM)
		}
		for _, r := range readings {
			q := at(v, r.Hole)
			switch r.From {
			case "end":
				f = append(f, q.Y-r.MM)
			case "edge":
				f = append(f, outline.signed(q)-r.MM)
			case "hole":
				f = append(f, r2.Norm(r2.Sub(q, at(v, r.To)))-r.MM)
			}
		}
		return f
	}
	v, free, ok := gaussNewton(start, miss)
	if !ok {
		return nil, specErr("points", nil, "the readings contradict each other; check them for a slip")
	}
	if free >= 0 {
		h := holes[free/2]
		return nil, specErr("points", fmt.Sprintf("hole %d", h), "the readings do not fix this hole; add its distance to the fretboard end, to the edge or to another hole")
	}
	for i, h := range holes {
		found[h] = r2.Vec{X: v[2*i], Y: v[2*i+1]}
	}
	return found, nil
}

func checkMarks(p Plan, marks []Mark, readings []Reading) error {
	if len(marks)+len(readings) == 0 {
		return specErr("points", nil, "no marks given")
	}
	if len(marks)+len(readings) > 2000 {
		return specErr("points", len(marks)+len(readings), "at most 2000 readings")
	}
	known := func(h int) *SpecError {
		if _, ok := p.PostOf(h); !ok {
			return specErr("hole", h, "a string of the plan (1 is the lowest bass, %d strings)", len(p.Posts))
		}
		return nil
	}
	for _, m := range marks {
		if err := known(m.Hole); err != nil {
			return err
		}
		if !(math.Abs(m.XMM) <= maxCoordMM && math.Abs(m.YMM) <= maxCoordMM) {
			return specErr("x_mm, y_mm", fmt.Sprintf("%g, %g", m.XMM, m.YMM), "at most %g mm", maxCoordMM)
		}
	}
	for _, r := range readings {
		if err := known(r.Hole); err != nil {
			return err
		}
		if !(r.MM > 0 && r.MM <= maxCoordMM) {
			return specErr("mm", r.MM, "a distance above 0")
		}
		switch r.From {
		case "end":
		case "edge":
			if !p.Spec.Outline.given() {
				return specErr("from", r.From, "the plan has no outline to measure from")
			}
		case "hole":
			if err := known(r.To); err != nil {
				return err
			}
			if r.To == r.Hole {
				return specErr("from", r.To, "a distance between two different holes")
			}
		default:
			return specErr("from", r.From, "end, edge or another hole's number")
		}
	}
	return nil
}

func involved(marks []Mark, readings []Reading) []int {
	var hs []int
	for _, m := range marks {
		hs = append(hs, m.Hole)
	}
	for _, r := range readings {
		hs = append(hs, r.Hole)
		if r.From == "hole" {
			hs = append(hs, r.To)
		}
	}
	slices.Sort(hs)
	return slices.Compact(hs)
}

// gaussNewton minimises |miss|^2. free is the index of an unknown that nothing
// fixes, or -1; ok is false when it does not settle.
func gaussNewton(v []float64, miss func([]float64) []float64) (out []float64, free int, ok bool) {
	v = slices.Clone(v)
	n := len(v)
	const h = 1e-5
	for range 40 {
		f := miss(v)
		jac := mat.NewDense(len(f), n, nil)
		for j := range n {
			keep := v[j]
			v[j] = keep + h
			up := miss(v)
			v[j] = keep - h
			down := miss(v)
			v[j] = keep
			for i := range f {
				jac.Set(i, j, (up[i]-down[i])/(2*h))
			}
		}
		if free := freeUnknown(jac); free >= 0 {
			return nil, free, true
		}
		var step mat.VecDense
		if err := step.SolveVec(jac, mat.NewVecDense(len(f), f)); err != nil {
			return nil, -1, false
		}
		size := mat.Norm(&step, 2)
		damp := math.Min(1, 10/math.Max(size, 1e-300))
		for j := range n {
			v[j] -= damp * step.AtVec(j)
		}
		if math.IsNaN(size) {
			return nil, -1, false
		}
		if size < 1e-9 {
			return v, -1, true
		}
	}
	return v, -1, true
}

// freeUnknown finds an unknown that is in the null space of the Jacobian.
func freeUnknown(jac *mat.Dense) int {
	rows, n := jac.Dims()
	full := jac
	if rows < n { // pad, so that the thin SVD has all right vectors
		full = mat.NewDense(n, n, nil)
		full.Copy(jac)
	}
	var svd mat.SVD
	if !svd.Factorize(full, mat.SVDThin) {
		return 0
	}
	vals := svd.Values(nil)
	var v mat.Dense
	svd.VTo(&v)
	for k, s := range vals {
		if s > 1e-4*math.Max(vals[0], 1e-9) && s > 1e-9 {
			continue
		}
		best := 0
		for j := range n {
			if math.Abs(v.At(j, k)) > math.Abs(v.At(best, k))+1e-9 {
				best = j
			}
		}
		return best
	}
	return -1
}
