package jobs

import (
	"slices"
	"strings"
)

// WithNeeds changes the needs of a step: x,y replaces them, +x adds, -x takes
// away. It gives a new route, or an error and nothing changed.
func (g Graph) WithNeeds(step string, changes []string) (Graph, error) {
	i, err := g.Step(step)
	if err != nil {
		return nil, err
	}
	after := slices.Clone(g[i].After)
	replaced := false
	for _, change := range changes {
		text := strings.TrimSpace(change)
		name := strings.TrimLeft(text, "+-")
		if name == "" && text != "-" {
			return nil, &FieldError{"after", change, "a step, +step or -step"}
		}
		if strings.HasPrefix(text, "-") {
			if after, err = takeNeed(after, name, step); err != nil {
				return nil, err
			}
			continue
		}
		n, err := ParseNeed(name)
		if err != nil {
			return nil, err
		}
		if _, err := g.Step(n.Step); err != nil {
			return nil, err
		}
		if !strings.HasPrefix(text, "+") && !replaced {
			after, replaced = nil, true
		}
		after = slices.DeleteFunc(after, func(o Need) bool { return o.Step == n.Step })
		after = append(after, n)
	}
	out := slices.Clone(g)
	out[i].After = after
	return out, out.Check()
}

// takeNeed takes one need away; "-" alone takes all of them.
func takeNeed(after []Need, name, step string) ([]Need, error) {
	if name == "" {
		return nil, nil
	}
	name, _, _ = strings.Cut(name, ":")
	kept := slices.DeleteFunc(slices.Clone(after), func(n Need) bool { return n.Step == name })
	if len(kept) == len(after) {
		var names []string
		for _, n := range after {
			names = append(names, n.Step)
		}
		near := Nearest(name, names)
		if len(near) == 0 {
			near = names
		}
		return nil, &NotFoundError{"need of " + step, name, near}
	}
	return kept, nil
}

// WithStep adds a step.
func (g Graph) WithStep(s GraphStep) (Graph, error) {
	if _, err := g.Step(s.Name); err == nil {
		return nil, &ConflictError{"the route has a step " + s.Name + ". Give the new one another name", ""}
	}
	out := append(slices.Clone(g), s)
	return out, out.Check()
}

// WithoutStep takes a step out. What needed it needs what it needed.
func (g Graph) WithoutStep(name string) (Graph, error) {
	if _, err := g.Step(name); err != nil {
		return nil, err
	}
	out := g.Without(func(s GraphStep) bool { return s.Name == name })
	return out, out.Check()
}
