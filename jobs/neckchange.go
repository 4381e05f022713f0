package jobs

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
)

// ChangeStatus decides whether a neck may change to a status and gives it
// changed. Finishing with steps left needs a reason, scrapping always does.
// Refusals are *Refusal.
func ChangeStatus(st NeckState, to Status, why, anyway string, now time.Time) (Neck, error) {
	n := st.Neck
	name := n.Name()
	if n.Status == to {
		word := string(to)
		if to == Held {
			word = "on hold"
		}
		return n, Refuse("status", fmt.Sprintf("%s is %s already", name, word), "neck show "+name)
	}
	for _, v := range st.Steps {
		if v.State == On {
			return n, Refuse("running", fmt.Sprintf("%s is running on %s", v.Operation, name), "done", "off")
		}
	}
	switch to {
	case Open:
		n.Closed, n.Why = nil, ""
	case Held:
		if n.IsClosed() {
			return n, Refuse("closed", fmt.Sprintf("%s is %s", name, n.Status), "neck resume "+name)
		}
		n.Why = why
		if why == "" {
			n.Why = "no reason given"
		}
	case Finished:
		if n.Status == Scrapped {
			return n, Refuse("closed", name+" is scrapped", "neck resume "+name)
		}
		if v, open := st.Next(); open && anyway == "" {
			r := Refuse("steps-left", fmt.Sprintf("%s has %s left, next %s", name, CountText(st.StepsLeft(), "step"), v.Operation), fmt.Sprintf("neck finish %s --anyway \"sold as it is\"", name))
			r.Anyway = true
			return n, r
		}
		n.Closed, n.Why = &now, anyway
	case Scrapped:
		if why == "" {
			return n, &Refusal{Code: "usage", Class: Invalid, Why: "the reason is missing", Type: []string{fmt.Sprintf("neck scrap %s --why \"torn face\"", name)}}
		}
		n.Closed, n.Why = &now, why
	}
	n.Status = to
	return n, nil
}

// StepChange is a change to one step of a neck, or a step to add.
type StepChange struct {
	Word       string // number or operation
	Add        bool
	Quantity   *float64
	Difficulty *float64
	Skip       string
	Unskip     bool
	After      []string // changes of its needs, as Graph.WithNeeds reads them
	Note       string
}

// Apply changes the step and gives the neck and the step as they now are.
func (c StepChange) Apply(st NeckState, operations map[string]Operation) (Neck, Step, error) {
	n := st.Neck
	n.Steps = slices.Clone(n.Steps)
	i := -1
	if c.Add {
		k, err := FindOperation(c.Word, operations, nil)
		if err != nil {
			return n, Step{}, err
		}
		q := n.Quantities[k.Per]
		if q == 0 {
			q = 1
		}
		no := 1
		for _, s := range n.Steps {
			no = max(no, s.No+1)
		}
		g := n.Graph()
		added := Step{No: no, Operation: k.Name, Quantity: q, Name: k.Name}
		if slices.Contains(g.Names(), k.Name) {
			added.Name = fmt.Sprintf("%s#%d", k.Name, no)
		}
		if len(c.After) == 0 { // after all that is there
			for _, s := range g {
				if !slices.ContainsFunc(g, func(o GraphStep) bool {
					return slices.ContainsFunc(o.After, func(n Need) bool { return n.Step == s.Name })
				}) {
					added.After = append(added.After, Need{Step: s.Name})
				}
			}
		}
		n.Steps = append(n.named(g), added)
		i = len(n.Steps) - 1
	} else if no, err := strconv.Atoi(c.Word); err == nil {
		i = slices.IndexFunc(n.Steps, func(s Step) bool { return s.No == no })
	} else {
		k, err := FindOperation(c.Word, operations, []NeckState{st})
		if err != nil {
			return n, Step{}, err
		}
		if v, _, ok := st.StepFor(k.Name); ok {
			i = slices.IndexFunc(n.Steps, func(s Step) bool { return s.No == v.No })
		} else {
			i = slices.IndexFunc(n.Steps, func(s Step) bool { return s.Operation == k.Name })
		}
	}
	if i < 0 {
		return n, Step{}, &Refusal{Code: "missing", Class: Missing, Why: fmt.Sprintf("%s has no step %q", n.Name(), c.Word), Type: []string{fmt.Sprintf("neck step %s %s --add", n.Name(), c.Word), "neck show " + n.Name() + " --steps"}}
	}
	if len(c.After) > 0 {
		g := n.Graph()
		n.Steps = n.named(g)
		changed, err := g.WithNeeds(g[i].Name, c.After)
		if loop := changed.Loop(); len(loop) > 2 {
			return n, Step{}, Refuse("loop", strings.Join(loop, " needs "), "neck show "+n.Name())
		}
		if err != nil {
			return n, Step{}, err
		}
		n.Steps[i].After = changed[i].After
	}
	s := &n.Steps[i]
	if c.Quantity != nil {
		s.Quantity = *c.Quantity
	}
	if c.Difficulty != nil {
		if *c.Difficulty < 0.2 || *c.Difficulty > 10 {
			return n, *s, &FieldError{"difficulty", trim(*c.Difficulty), "a factor from 0.2 to 10 such as 1.3"}
		}
		s.Difficulty = *c.Difficulty
	}
	if c.Skip != "" {
		s.Skip = c.Skip
	}
	if c.Unskip {
		s.Skip = ""
	}
	if c.Note != "" {
		s.Note = c.Note
	}
	return n, *s, nil
}
