package jobs

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
)

// Caution about a request: Stops asks for a reason (--anyway "why") before the
// work goes on; the others are only reported.
type Caution struct {
	Code  string     `json:"code"`
	Text  string     `json:"text"`
	Stops bool       `json:"stops,omitempty"`
	Lifts *time.Time `json:"lifts_at,omitempty"` // when waiting alone lifts it
}

// Start is a request to begin work.
type Start struct {
	Operation Operation
	Necks     []NeckState
	Rework    string // cause; empty for a first pass
	Payer     string
	Anyway    string // reason that passes over what would stop
	Person    string
	Note      string
}

// Begin decides what starting the work means: the shares (which step of which
// neck), the class, and what speaks against it. It refuses closed and held necks,
// a step done already without a cause of rework, and what stops without a reason.
// A repair is of no step and may come back to a finished neck.
func (s Start) Begin(operations map[string]Operation, shop Shop, now time.Time) (Entry, []Caution, error) {
	e := Entry{Operation: s.Operation.Name, Class: First, Person: s.Person, Note: s.Note, Anyway: s.Anyway}
	if s.Operation.Decide {
		e.Class = Deciding
	}
	if s.Rework != "" {
		if !slices.Contains(ReworkCauses, s.Rework) {
			return e, nil, &FieldError{"rework", s.Rework, "a cause: " + strings.Join(ReworkCauses, ", ")}
		}
		e.Class, e.Cause, e.Payer = Rework, s.Rework, Payers[0]
		if s.Payer != "" {
			if !slices.Contains(Payers, s.Payer) {
				return e, nil, &FieldError{"payer", s.Payer, strings.Join(Payers, " or ")}
			}
			e.Payer = s.Payer
		}
	} else if s.Operation.Repair {
		return e, nil, Refuse("cause", s.Operation.Name+" puts right what was done, so it has a cause: "+strings.Join(ReworkCauses, ", "),
			fmt.Sprintf("on %s %s --rework %s", s.Operation.Name, NeckNames(s.Necks), ReworkCauses[0]))
	} else if s.Payer != "" {
		return e, nil, &FieldError{"payer", s.Payer, "--rework CAUSE as well: only rework asks who pays"}
	}
	var cautions []Caution
	for _, st := range s.Necks {
		share := Share{Neck: st.Neck.Code}
		if s.Operation.Repair && st.Neck.Status != Scrapped {
			e.Shares = append(e.Shares, share)
			continue
		}
		if err := takesWork(st.Neck); err != nil {
			return e, nil, err
		}
		v, again, ok := st.StepFor(s.Operation.Name)
		switch {
		case !ok:
			cautions = append(cautions, Caution{Code: "outside", Text: fmt.Sprintf("%s is not on the route of %s. Logged as extra work.", s.Operation.Name, st.Neck.Name())})
		case again && s.Rework == "" && !s.Operation.Decide:
			return e, nil, Refuse("done", fmt.Sprintf("%s is done on %s. To redo it, name the cause: %s", s.Operation.Name, st.Neck.Name(), strings.Join(ReworkCauses, ", ")),
				fmt.Sprintf("on %s %s --rework %s", s.Operation.Name, st.Neck.Name(), ReworkCauses[0]))
		default:
			if s.Rework != "" && !again {
				return e, nil, Refuse("never-done", fmt.Sprintf("%s was never done on %s, so it is no rework", s.Operation.Name, st.Neck.Name()), fmt.Sprintf("on %s %s", s.Operation.Name, st.Neck.Name()))
			}
			share.Step = v.No
			if !again {
				cautions = append(cautions, before(v, st, operations, shop, now)...)
			}
		}
		e.Shares = append(e.Shares, share)
	}
	if err := e.Validate(); err != nil {
		return e, nil, err
	}
	for _, c := range cautions {
		if c.Stops && s.Anyway == "" {
			r := Refuse(c.Code, strings.TrimSuffix(c.Text, "."), fmt.Sprintf("on %s %s --anyway \"label says 6 h\"", s.Operation.Name, NeckNames(s.Necks)))
			r.Lifts, r.Anyway = c.Lifts, true
			return e, cautions, r
		}
	}
	return e, cautions, nil
}

func takesWork(n Neck) error {
	switch n.Status {
	case Finished, Scrapped:
		return Refuse("closed", fmt.Sprintf("neck %s is %s. Late work is entered with evening enter", n.Name(), n.Status), "neck resume "+n.Name())
	case Held:
		return Refuse("held", fmt.Sprintf("neck %s is on hold: %s", n.Name(), n.Why), "neck resume "+n.Name())
	}
	return nil
}

// before gives what a step waits for: a cure that is not over stops, a step that
// was passed over is only reported.
func before(v StepView, st NeckState, operations map[string]Operation, shop Shop, now time.Time) []Caution {
	if operations[v.Operation].Decide {
		return nil
	}
	var out []Caution
	for _, w := range v.Waits {
		switch {
		case w.Until != nil && operations[w.Step.Operation].Decide:
			out = append(out, Caution{Code: "order", Text: fmt.Sprintf("%s of %s has a lead time until %s. Started anyway.", w.Step.Operation, st.Neck.Name(), shop.WhenFrom(*w.Until, now))})
		case w.Until != nil && !slices.ContainsFunc(out, func(c Caution) bool { return c.Code == "cure" && c.Lifts.Equal(*w.Until) }):
			out = append(out, Caution{"cure", fmt.Sprintf("%s on %s cures until %s. That is a default. The label decides.", w.Step.Operation, st.Neck.Name(), shop.WhenFrom(*w.Until, now)), true, w.Until})
		}
	}
	if v.Before != nil {
		out = append(out, Caution{Code: "order", Text: fmt.Sprintf("%s on %s is not done yet. Started anyway.", v.Before.Operation, st.Neck.Name())})
	}
	return out
}

// When prints an instant for a person at the bench: "Wed 07:10", with the date
// when it is more than six days off.
func (s Shop) When(t time.Time) string {
	local := t.In(s.Location())
	return local.Format("Mon 15:04")
}

// WhenFrom prints an instant with its date where the weekday alone could be
// misread, a week or more away from now.
func (s Shop) WhenFrom(t, now time.Time) string {
	if d := t.Sub(now); d > 6*24*time.Hour || d < -6*24*time.Hour {
		return t.In(s.Location()).Format("Mon 2 Jan 2006 15:04")
	}
	return s.When(t)
}

// Count is what was done on one neck at the end of a session.
type Count struct {
	Neck string  // code; empty: the only neck
	N    float64 // units; negative: as planned
	Left bool    // dropped out midway: counts stay, the step stays open
	// Grade is the worst rim on that neck, nil where nobody said.
	Grade *int
}

// Finish ends an entry as done: counts are what was said, else what the step
// planned. Necks of the session that were not named, when any was, stay open.
// states gives each neck's planned quantities.
func Finish(e Entry, counts []Count, states []NeckState, operation Operation, end time.Time) (Entry, error) {
	e.Shares = slices.Clone(e.Shares)
	named := map[string]Count{}
	for _, c := range counts {
		code := c.Neck
		if code == "" {
			if len(e.Shares) > 1 && c.N >= 0 {
				return e, &FieldError{"count", trim(c.N), "a count for each neck of the session, such as: done ada 6, bo 8"}
			}
			for _, s := range e.Shares {
				named[s.Neck] = Count{Neck: s.Neck, N: c.N, Left: c.Left}
			}
			continue
		}
		if e.ShareOf(code) < 0 {
			return e, &ConflictError{fmt.Sprintf("neck %s is not in this session", code), "now"}
		}
		named[code] = c
	}
	for i := range e.Shares {
		s := &e.Shares[i]
		c, ok := named[s.Neck]
		if len(named) > 0 && !ok {
			s.Left = true
			continue
		}
		if !ok {
			c.N = -1
		}
		s.Left, s.Done = c.Left, !c.Left
		if c.Grade != nil {
			s.Grade = c.Grade
		}
		switch {
		case c.N >= 0:
			s.Count = c.N
		case c.Left:
		default:
			s.Count = planned(*s, states)
		}
		if s.Count == 0 && s.Done && (operation.Per == "neck" || operation.Decide) {
			s.Count = 1
		}
	}
	if e.To == nil {
		e.To = &end
	}
	e.SetupPart = setupPart(operation, e.TotalCount())
	return e, e.Validate()
}

// planned is what is left of a step's quantity.
func planned(s Share, states []NeckState) float64 {
	for _, st := range states {
		if st.Neck.Code != s.Neck {
			continue
		}
		if v, ok := st.View(s.Step); ok {
			if left := v.Quantity - v.Counted; left > 0 && v.State != Done {
				return left
			}
			return v.Quantity
		}
	}
	return 0
}

// setupPart is the proportion of setup in the standard's time for q units.
func setupPart(k Operation, q float64) float64 {
	if all := k.StandardMin(q); all > 0 {
		return k.SetupMin / all
	}
	return 0
}

// Stop ends an entry without saying that its step is done. Work stopped while
// away ended when the builder went away.
func Stop(e Entry, operation Operation, states []NeckState, end time.Time) Entry {
	if end.Before(e.From) {
		end, e.ClockBack = e.From, true
	}
	if n := len(e.Away); n > 0 && e.Away[n-1].To == nil {
		end = e.Away[n-1].From
		e.Away = slices.Clone(e.Away[:n-1])
	}
	e.To = &end
	if e.SetupPart == 0 {
		q := e.TotalCount()
		if q == 0 {
			for _, s := range e.Shares {
				q += planned(s, states)
			}
		}
		e.SetupPart = setupPart(operation, q)
	}
	return e
}

func trim(f float64) string { return strconv.FormatFloat(f, 'f', -1, 64) }

// FindOperation resolves a typed word to an operation: exact name or alias, unique
// prefix, or, of several that fit, the one these necks need next.
func FindOperation(word string, operations map[string]Operation, necks []NeckState) (Operation, error) {
	var names []string
	for _, n := range SortedKeys(operations) {
		if operations[n].Became == "" {
			names = append(names, n)
		}
	}
	owner := map[string]string{}
	all := slices.Clone(names)
	for _, n := range names {
		owner[n] = n
	}
	for _, n := range names {
		for _, a := range operations[n].Aliases {
			if _, taken := owner[a]; !taken {
				owner[a] = n
				all = append(all, a)
			}
		}
	}
	var hits []string
	for _, c := range Candidates(word, all) {
		if !slices.Contains(hits, owner[c]) {
			hits = append(hits, owner[c])
		}
	}
	switch len(hits) {
	case 0:
		near := Nearest(word, all)
		slices.SortStableFunc(near, func(a, b string) int { return onRoute(owner[b], necks) - onRoute(owner[a], necks) })
		return Operation{}, &NotFoundError{"operation", word, near}
	case 1:
		return operations[hits[0]], nil
	}
	for _, wantOpen := range []bool{true, false} {
		for _, st := range necks {
			for _, v := range st.Steps {
				open := v.DoneAt == nil || v.State == On
				if slices.Contains(hits, v.Operation) && v.State != Skipped && (open || !wantOpen) {
					return operations[v.Operation], nil
				}
			}
		}
	}
	return Operation{}, Ambiguous("operation", word, hits)
}

// onRoute is 1 when one of the necks has a step of the operation, else 0.
func onRoute(operation string, necks []NeckState) int {
	for _, st := range necks {
		if _, _, ok := st.StepFor(operation); ok {
			return 1
		}
	}
	return 0
}
