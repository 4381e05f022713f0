package jobs

import "fmt"

// Graph gives the steps of a neck as a graph, in the order of Steps. A neck
// none of whose steps names a need is worked in the order of its steps: each
// needs the one before it.
func (n Neck) Graph() Graph {
	g := make(Graph, len(n.Steps))
	seen := map[string]bool{}
	line := true
	for i, s := range n.Steps {
		name := s.Name
		if name == "" {
			name = s.Operation
		}
		if seen[name] {
			name = fmt.Sprintf("%s#%d", name, s.No)
		}
		seen[name] = true
		g[i] = GraphStep{Name: name, Operation: s.Operation, After: s.After}
		line = line && len(s.After) == 0
	}
	for i := range g {
		if line && i > 0 {
			g[i].After = []Need{{Step: g[i-1].Name}}
		}
	}
	return g
}

// OpenGraph gives the graph without the steps that are skipped and needs on
// steps that are not there, with the place of each in Steps. What needed a
// skipped step needs what that one needed.
func (n Neck) OpenGraph() (g Graph, at []int) {
	all := n.Graph()
	place := map[string]int{}
	for i, s := range all {
		place[s.Name] = i
	}
	for i := range all {
		var after []Need
		for _, need := range all[i].After {
			if _, ok := place[need.Step]; ok && need.Step != all[i].Name {
				after = append(after, need)
			}
		}
		all[i].After = after
	}
	g = all.Without(func(s GraphStep) bool { return n.Steps[place[s.Name]].Skip != "" })
	for _, s := range g {
		at = append(at, place[s.Name])
	}
	return g, at
}

// named gives the steps with the names and needs of their graph written down.
func (n Neck) named(g Graph) []Step {
	out := make([]Step, len(n.Steps), len(n.Steps)+1)
	for i, s := range n.Steps {
		s.Name, s.After = g[i].Name, g[i].After
		out[i] = s
	}
	return out
}
