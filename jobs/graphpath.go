package jobs

import (
	"fmt"
	"slices"
)

// Without takes steps out. What needed one of them needs from then on what it
// needed, with the degrees of those needs.
func (g Graph) Without(out func(GraphStep) bool) Graph {
	kept := map[string][]Need{} // what a need on a step becomes
	var result Graph
	for _, i := range g.Order() {
		s := g[i]
		var after []Need
		for _, n := range s.After {
			if inherited, gone := kept[n.Step]; gone {
				for _, h := range inherited {
					after = addNeed(after, h)
				}
			} else {
				after = addNeed(after, n)
			}
		}
		if out(s) {
			kept[s.Name] = after
			continue
		}
		s.After = after
		result = append(result, s)
	}
	// The order of the list stays.
	place := g.Names()
	slices.SortStableFunc(result, func(a, b GraphStep) int { return slices.Index(place, a.Name) - slices.Index(place, b.Name) })
	return result
}

// addNeed adds a need; of two on one step the longer wait is kept.
func addNeed(needs []Need, n Need) []Need {
	for i, o := range needs {
		if o.Step == n.Step {
			if strength(n) > strength(o) {
				needs[i] = n
			}
			return needs
		}
	}
	return append(needs, n)
}

// strength orders the degrees. No degree counts as cured.
func strength(n Need) float64 {
	switch {
	case n.Hours > 0:
		return 3 + n.Hours
	case n.Degree == DegreeDone:
		return 0
	case n.Degree == DegreeHandled:
		return 1
	}
	return 2
}

// Unfold gives the steps of a neck with its quantities: a step whose When or
// Repeat is 0 is taken out, a repeated one becomes copies in a row, each after
// the one before is cured.
func (g Graph) Unfold(quantities map[string]float64) Graph {
	plain := g.Without(func(s GraphStep) bool {
		return s.When != "" && quantities[s.When] == 0 || s.Repeat != "" && quantities[s.Repeat] == 0
	})
	last := map[string]string{}
	var out Graph
	for _, s := range plain {
		copies := 1
		if s.Repeat != "" {
			copies = int(quantities[s.Repeat])
		}
		if s.Repeat == "" || copies < 1 {
			out = append(out, s)
			continue
		}
		name := s.Name
		for k := range copies {
			s.Name = fmt.Sprintf("%s#%d", name, k+1)
			out = append(out, s)
			s.After = []Need{{Step: s.Name, Degree: DegreeCured}}
		}
		last[name] = fmt.Sprintf("%s#%d", name, copies)
	}
	for i := range out {
		out[i].After = slices.Clone(out[i].After)
		for k, n := range out[i].After {
			if copy, ok := last[n.Step]; ok {
				out[i].After[k].Step = copy
			}
		}
	}
	return out
}

// LongestPath gives the steps of the path with the most minutes, from a start
// to an end. minutes gives those of a step, wait those of a need on a step.
func (g Graph) LongestPath(minutes func(GraphStep) float64, wait func(n Need, on GraphStep) float64) (path []string, total float64) {
	at := map[string]int{}
	for i, s := range g {
		at[s.Name] = i
	}
	length := make([]float64, len(g))
	from := make([]int, len(g))
	end := -1
	for _, i := range g.Order() {
		from[i] = -1
		before := 0.0
		for _, n := range g[i].After {
			j := at[n.Step]
			if l := length[j] + wait(n, g[j]); from[i] < 0 || l > before {
				before, from[i] = l, j
			}
		}
		length[i] = before + minutes(g[i])
		if end < 0 || length[i] > length[end] {
			end = i
		}
	}
	if end < 0 {
		return nil, 0
	}
	for i := end; i >= 0; i = from[i] {
		path = append(path, g[i].Name)
	}
	slices.Reverse(path)
	return path, length[end]
}
