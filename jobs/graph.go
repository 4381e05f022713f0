package jobs

import (
	"fmt"
	"slices"
	"strings"
)

// maxSteps is the most steps of a route.
const maxSteps = 200

// Window is how long after the copy before a repeated step may follow, in
// hours. Later it needs its setup again with scuffing.
type Window struct {
	FromH float64 `json:"from_h"`
	ToH   float64 `json:"to_h"`
}

// GraphStep is one step of a route that is a graph.
type GraphStep struct {
	Name      string `json:"name"`
	Operation string `json:"operation"`
	After     []Need `json:"after,omitempty"`
	// When is the quantity that takes the step out at 0, and Repeat the one
	// that gives how many copies follow each other.
	When   string  `json:"when,omitempty"`
	Repeat string  `json:"repeat,omitempty"`
	Window *Window `json:"window,omitempty"`
}

// Graph is the steps of a route. They may be listed in any order.
type Graph []GraphStep

// Step finds a step by name. It gives a *NotFoundError with the nearest names.
func (g Graph) Step(name string) (int, error) {
	for i, s := range g {
		if s.Name == name {
			return i, nil
		}
	}
	return -1, &NotFoundError{"step", name, Nearest(name, g.Names())}
}

// Names gives the steps' names.
func (g Graph) Names() []string {
	out := make([]string, len(g))
	for i, s := range g {
		out[i] = s.Name
	}
	return out
}

// Check refuses a route that cannot be worked: no step, more than 200 steps, a
// name twice, a need on itself or on what is not there, a window upside down, a
// loop (steps without a start always have one). The error names the step and
// its line.
func (g Graph) Check() error {
	switch {
	case len(g) == 0:
		return &ConflictError{"the route has no step, so it has no start. Give it a step first", ""}
	case len(g) > maxSteps:
		return &ConflictError{fmt.Sprintf("the route has %d steps, the most is %d. Take some out", len(g), maxSteps), ""}
	}
	seen := map[string]int{}
	for i, s := range g {
		line := func(err error) error { return fmt.Errorf("line %d, step %s: %w", i+1, s.Name, err) }
		plain, _, _ := strings.Cut(s.Name, "#") // a copy of a repeated step
		if err := ValidName("step", plain); err != nil {
			return line(err)
		}
		if before, twice := seen[s.Name]; twice {
			return line(&ConflictError{fmt.Sprintf("line %d has the same name. Give one of them another name", before), ""})
		}
		seen[s.Name] = i + 1
		if w := s.Window; w != nil && !(w.FromH >= 0 && w.ToH > w.FromH && w.ToH <= maxNeedHours) {
			return line(&FieldError{"window", fmt.Sprintf("%gh..%gh", w.FromH, w.ToH), "the shorter time first, such as 4h..48h"})
		}
		for _, n := range s.After {
			if n.Step == s.Name {
				return line(&ConflictError{s.Name + " needs itself. Leave it out of its own needs", ""})
			}
			if _, err := g.Step(n.Step); err != nil {
				return line(err)
			}
		}
	}
	if loop := g.Loop(); loop != nil {
		return &ConflictError{strings.Join(loop, " needs ") + ". Take one of these needs away", ""}
	}
	return nil
}

// CheckQuantities refuses a quantity below zero or without a number.
func CheckQuantities(quantities map[string]float64) error {
	names := make([]string, 0, len(quantities))
	for name := range quantities {
		names = append(names, name)
	}
	slices.Sort(names)
	for _, name := range names {
		if q := quantities[name]; !(q >= 0 && q <= 1e6) {
			return &FieldError{"quantity " + name, fmt.Sprint(q), "a number from 0 up"}
		}
	}
	return nil
}

// Loop gives a loop of needs from a step back to itself, or nil.
func (g Graph) Loop() []string {
	_, loop := g.sort()
	return loop
}

// Order gives the steps' places, each after its needs and else as listed. The
// needs must have no loop.
func (g Graph) Order() []int {
	order, _ := g.sort()
	return order
}

// sort walks the needs depth first.
func (g Graph) sort() (order []int, loop []string) {
	at := map[string]int{}
	for i, s := range g {
		at[s.Name] = i
	}
	const open, closed = 1, 2
	state := make([]int, len(g))
	var path []string
	var visit func(i int) bool
	visit = func(i int) bool {
		path = append(path, g[i].Name)
		if state[i] == open {
			first := slices.Index(path, g[i].Name)
			loop = slices.Clone(path[first:])
			return false
		}
		if state[i] == 0 {
			state[i] = open
			for _, n := range g[i].After {
				if j, ok := at[n.Step]; ok && !visit(j) {
					return false
				}
			}
			state[i] = closed
			order = append(order, i)
		}
		path = path[:len(path)-1]
		return true
	}
	for i := range g {
		if !visit(i) {
			return nil, loop
		}
	}
	return order, nil
}
