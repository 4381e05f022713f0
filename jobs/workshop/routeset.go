package workshop

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// RouteStepFields are what can be said of one step of a route.
type RouteStepFields struct {
	After     []string `json:"after,omitempty" flag:"after" arg:"STEP" help:"steps it needs; +STEP adds, -STEP takes away, - needs none"`
	When      *string  `json:"when,omitempty" flag:"when" arg:"WHAT" help:"the quantity without which it falls away; - for none"`
	Repeat    *string  `json:"repeat,omitempty" flag:"repeat" arg:"WHAT" help:"the quantity that gives how many times; - for once"`
	Window    *string  `json:"window,omitempty" flag:"window" arg:"4h..48h" help:"when the next time may follow; - for any time"`
	Operation string   `json:"operation,omitempty" flag:"operation" help:"the operation, if not of the same name"`
}

// RouteSetAsk changes a route or one of its steps, or makes a route.
type RouteSetAsk struct {
	Asked
	Route string `json:"route" word:"ROUTE"`
	Step  string `json:"step,omitempty" word:"[STEP]"`
	RouteStepFields
	Drop       bool               `json:"drop,omitempty" flag:"drop" help:"take the step out"`
	Steps      string             `json:"steps,omitempty" flag:"steps" help:"operations in a line, comma between"`
	Title      string             `json:"title,omitempty" flag:"title" help:"what it is"`
	Quantities map[string]float64 `json:"quantities,omitempty" flag:"quantity" arg:"WHAT=N" help:"usual quantity, such as inlay=14"`
}

// RouteAddAsk adds a step to a route.
type RouteAddAsk struct {
	Asked
	Route string `json:"route" word:"ROUTE"`
	Step  string `json:"step" word:"STEP"`
	RouteStepFields
}

func (b *Book) routeSet(ask *RouteSetAsk, res *RouteResult) error {
	r, ok, err := store.Get(b.Tx, store.Routes, ask.Route)
	if err != nil {
		return err
	}
	if !ok && ask.Steps == "" {
		if r, err = b.FindRoute(ask.Route); err != nil {
			return err
		}
	} else if !ok {
		if err := jobs.ValidName("route", ask.Route); err != nil {
			return err
		}
		r = jobs.Route{Name: ask.Route, Title: ask.Route, Quantities: map[string]float64{"neck": 1, "choice": 1}}
	}
	if ask.Steps != "" {
		if r.Steps, err = b.line(ask.Steps); err != nil {
			return err
		}
	}
	if ask.Title != "" {
		r.Title = ask.Title
	}
	r.Quantities = maps.Clone(r.Quantities)
	for name, q := range ask.Quantities {
		unit, known := jobs.PerNamed(name)
		if !known {
			return &jobs.FieldError{Field: "quantity", Value: name, Want: "a unit that a run grows with, such as inlay=14"}
		}
		r.Quantities[unit.Name] = q
	}
	if err := jobs.CheckQuantities(r.Quantities); err != nil {
		return err
	}
	if ask.Step != "" {
		if r.Steps, err = b.routeStep(ask, r); err != nil {
			return b.routeRefused(r, ask.Step, r.Steps, err)
		}
	}
	return b.keepRoute(res, r, ask.Step)
}

func (b *Book) routeAdd(ask *RouteAddAsk, res *RouteResult) error {
	r, err := b.FindRoute(ask.Route)
	if err != nil {
		return err
	}
	s := jobs.GraphStep{Name: ask.Step, Operation: ask.Step}
	if err := jobs.ValidName("step", ask.Step); err != nil {
		return err
	}
	if ask.Operation == "" {
		if _, ok := b.Operations[ask.Step]; !ok {
			near := jobs.Nearest(ask.Step, jobs.SortedKeys(b.Operations))
			typed := []string{"operation add " + ask.Step + " --run 10"}
			if len(near) > 0 {
				typed = append(typed, fmt.Sprintf("route add %s %s --operation %s", r.Name, ask.Step, near[0]))
			}
			return jobs.Refuse("missing", "there is no operation "+ask.Step, typed...)
		}
	}
	if s, err = b.stepFields(s, ask.RouteStepFields); err != nil {
		return err
	}
	g, err := r.Steps.WithStep(s)
	if err == nil && len(ask.After) > 0 {
		g, err = g.WithNeeds(s.Name, splitNeeds(ask.After))
	}
	if err != nil {
		return b.routeRefused(r, s.Name, g, err)
	}
	r.Steps = g
	return b.keepRoute(res, r, s.Name)
}

// keepRoute writes a route that can be worked.
func (b *Book) keepRoute(res *RouteResult, r jobs.Route, step string) error {
	if err := r.Steps.Check(); err != nil {
		return b.routeRefused(r, step, r.Steps, err)
	}
	for _, s := range r.Steps {
		if b.Operations[s.Operation].Repair {
			return jobs.Refuse("repair", s.Operation+" puts right what was done, so it has no place of its own on a route", "on "+s.Operation+" NECK --rework wood")
		}
	}
	if err := b.routeLines(res, r); err != nil {
		return err
	}
	res.Changed = step
	return store.Put(b.Tx, store.Routes, r)
}

// line gives operations in a line: each needs the one before. A coat that cures
// is repeated.
func (b *Book) line(words string) (jobs.Graph, error) {
	var g jobs.Graph
	for _, word := range strings.Split(words, ",") {
		o, err := jobs.FindOperation(strings.TrimSpace(word), b.Operations, nil)
		if err != nil {
			return nil, err
		}
		s := jobs.GraphStep{Name: o.Name, Operation: o.Name}
		for n := 2; slices.Contains(g.Names(), s.Name); n++ {
			s.Name = fmt.Sprintf("%s-%d", o.Name, n)
		}
		if len(g) > 0 {
			s.After = []jobs.Need{{Step: g[len(g)-1].Name}}
		}
		switch o.Per {
		case "coats":
			s.Repeat = o.Per
		case "inlay":
			s.When = o.Per
		}
		g = append(g, s)
	}
	return g, nil
}

// routeStep changes one step of a route.
func (b *Book) routeStep(ask *RouteSetAsk, r jobs.Route) (jobs.Graph, error) {
	i, err := r.Steps.Step(ask.Step)
	if err != nil {
		return r.Steps, err
	}
	if ask.Drop {
		return r.Steps.WithoutStep(ask.Step)
	}
	g := slices.Clone(r.Steps)
	if g[i], err = b.stepFields(g[i], ask.RouteStepFields); err != nil {
		return g, err
	}
	if len(ask.After) == 0 {
		return g, nil
	}
	return g.WithNeeds(ask.Step, splitNeeds(ask.After))
}

func splitNeeds(after []string) (out []string) {
	for _, a := range after {
		for _, x := range strings.Split(a, ",") {
			if x = strings.TrimSpace(x); x != "" {
				out = append(out, x)
			}
		}
	}
	return out
}

// stepFields gives a step what was typed, but its needs.
func (b *Book) stepFields(s jobs.GraphStep, x RouteStepFields) (jobs.GraphStep, error) {
	for _, f := range []struct {
		field string
		typed *string
		to    *string
	}{{"when", x.When, &s.When}, {"repeat", x.Repeat, &s.Repeat}} {
		if f.typed == nil {
			continue
		}
		if *f.to = ""; *f.typed == "-" {
			continue
		}
		unit, ok := jobs.PerNamed(*f.typed)
		if !ok {
			return s, &jobs.FieldError{Field: f.field, Value: *f.typed, Want: "a quantity of a neck, such as inlay"}
		}
		*f.to = unit.Name
	}
	if x.Window != nil {
		w, err := parseWindow(*x.Window)
		if err != nil {
			return s, err
		}
		s.Window = w
	}
	if x.Operation != "" {
		o, err := jobs.FindOperation(x.Operation, b.Operations, nil)
		if err != nil {
			return s, err
		}
		s.Operation = o.Name
	}
	return s, nil
}

// parseWindow reads "4h..48h".
func parseWindow(text string) (*jobs.Window, error) {
	if text == "-" {
		return nil, nil
	}
	from, to, ok := strings.Cut(text, "..")
	a, err := strconv.ParseFloat(strings.TrimSuffix(from, "h"), 64)
	z, err2 := strconv.ParseFloat(strings.TrimSuffix(to, "h"), 64)
	if !ok || err != nil || err2 != nil || !(a >= 0 && z > a && z <= 8760) {
		return nil, &jobs.FieldError{Field: "window", Value: text, Want: "hours, the shorter first, such as 4h..48h"}
	}
	return &jobs.Window{FromH: a, ToH: z}, nil
}

// routeRefused says why a route cannot be worked and what to type.
func (b *Book) routeRefused(r jobs.Route, step string, g jobs.Graph, err error) error {
	if loop := g.Loop(); len(loop) > 2 {
		at := slices.Index(loop, step)
		if at < 0 || at+1 >= len(loop) {
			at = 0
		}
		return jobs.Refuse("loop", strings.Join(loop, " needs "), fmt.Sprintf("route set %s %s --after -%s", r.Name, loop[at+1], loop[min(at+2, len(loop)-1)]))
	}
	var missing *jobs.NotFoundError
	if errors.As(err, &missing) {
		return err
	}
	var field *jobs.FieldError
	if errors.As(err, &field) {
		return err
	}
	var conflict *jobs.ConflictError
	if errors.As(err, &conflict) {
		return jobs.Refuse("route", conflict.What, "route show "+r.Name)
	}
	return err
}
