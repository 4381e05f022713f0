package jobs

import (
	"fmt"
	"slices"
	"strconv"
	"time"
)

// ChangeStatus decides whether a neck may change to a status and gives it
// changed. Finishing with steps open needs a reason; scrapping needs one always.
// The warnings are told and do not stop.
func ChangeStatus(st NeckState, to Status, why, anyway string, now time.Time) (Neck, []string, error) {
	n := st.Neck
	name := n.Name()
	if n.Status == to {
		return n, nil, &ConflictError{fmt.Sprintf("neck %s is already %s", name, to), ""}
	}
	for _, v := range st.Steps {
		if v.State == On {
			return n, nil, &ConflictError{fmt.Sprintf("%s is on for %s", v.Operation, name), "say off or done first"}
		}
	}
	var warns []string
	switch to {
	case Open:
		n.Closed, n.Why = nil, ""
	case Held:
		if n.IsClosed() {
			return n, nil, &ConflictError{fmt.Sprintf("neck %s is %s", name, n.Status), "neck resume " + name}
		}
		n.Why = why
		if why == "" {
			n.Why = "no reason given"
		}
	case Finished:
		if n.Status == Scrapped {
			return n, nil, &ConflictError{fmt.Sprintf("neck %s is scrapped", name), "neck resume " + name}
		}
		if v, open := st.Next(); open && anyway == "" {
			return n, nil, &ConflictError{fmt.Sprintf("neck %s has steps open, the first is %s", name, v.Operation), `say done, skip them with neck step, or finish with --anyway "why"`}
		}
		if n.Papers == "" {
			warns = append(warns, "before a sale or a journey abroad: check current trade rules for the woods and shell used")
		}
		n.Closed, n.Why = &now, anyway
	case Scrapped:
		if why == "" {
			return n, nil, &FieldError{"why", "", `a reason, such as --why "torn face"`}
		}
		n.Closed, n.Why = &now, why
	}
	n.Status = to
	return n, warns, nil
}

// StepChange is a change to one step of a neck, or a step to add.
type StepChange struct {
	Word       string // number or operation
	Add        bool
	Quantity   *float64
	Difficulty *float64
	Skip       string
	Unskip     bool
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
		n.Steps = append(n.Steps, Step{No: no, Operation: k.Name, Quantity: q})
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
		return n, Step{}, &NotFoundError{"step of " + n.Name(), c.Word, nil}
	}
	s := &n.Steps[i]
	if c.Quantity != nil {
		s.Quantity = *c.Quantity
	}
	if c.Difficulty != nil {
		if *c.Difficulty < 0.2 || *c.Difficulty > 10 {
			return n, *s, &FieldError{"difficulty", trim(*c.Difficulty), "a factor from 0.2 to 10"}
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
