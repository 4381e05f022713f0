package jobs

import (
	"fmt"
	"slices"
	"strings"
	"time"
)

// Amendment is what is to be different about an entry. Nil leaves a thing as
// it is.
type Amendment struct {
	From, To  *time.Time
	SpentMin  *float64
	Counts    []Count // by neck; an empty neck means the only one
	Operation *Operation
	Done      bool // the step is done, with what is counted or planned
	Open      bool // the step is not done after all
	Confirm   bool // an assumed end was right
	Grade     *int
	Bit       *string // the code of the bit in the chuck
	Note      *string
	Person    *string
	Cause     *string // of rework; empty: it was the first time
	Payer     *string
	NoAway    bool // its breaks were none
	Away      []Span
}

// Empty says that nothing would change.
func (a Amendment) Empty() bool {
	return a.From == nil && a.To == nil && a.SpentMin == nil && len(a.Counts) == 0 && a.Operation == nil && !a.Done && !a.Open && !a.Confirm &&
		a.Grade == nil && a.Bit == nil && a.Note == nil && a.Person == nil && a.Cause == nil && a.Payer == nil && !a.NoAway && len(a.Away) == 0
}

// Apply gives the entry as amended. operation is the operation it then has; states are
// its necks, for planned quantities. What would make no sense is refused
// (*FieldError, *Refusal) and the entry stays.
func (a Amendment) Apply(e Entry, operation Operation, states []NeckState) (Entry, error) {
	was := e
	e.Shares, e.Away = slices.Clone(e.Shares), slices.Clone(e.Away)
	if a.Done && a.Open {
		return was, &Refusal{Code: "usage", Class: Invalid, Why: "a step is done or open, not both", Type: []string{fmt.Sprintf(`entry amend %d --done --why "it was done"`, e.ID)}}
	}
	if a.Confirm && !e.Assumed {
		return was, Refuse("not-assumed", fmt.Sprintf("entry %d has no assumed end to confirm", e.ID), "entry list --assumed --all")
	}
	if err := a.times(&e); err != nil {
		return was, err
	}
	if a.Operation != nil && a.Operation.Name != e.Operation {
		e.Operation = a.Operation.Name
		if e.Class != Rework {
			e.Class = classOf(*a.Operation)
		}
		for i := range e.Shares {
			e.Shares[i].Step = stepOn(states, e.Shares[i].Neck, e.Operation)
		}
	}
	if err := a.class(&e, operation); err != nil {
		return was, err
	}
	if a.Grade != nil {
		e.Grade = a.Grade
	}
	if a.Bit != nil {
		if operation.Drills == "" {
			return was, &FieldError{"bit", *a.Bit, "a drilling step: " + operation.Name + " uses no bit"}
		}
		e.Bit = *a.Bit
	}
	if a.Note != nil {
		e.Note = *a.Note
	}
	if a.Person != nil {
		e.Person = *a.Person
	}
	if a.Done || a.Open || len(a.Counts) > 0 {
		if err := a.counts(&e, operation, states); err != nil {
			return was, err
		}
		e.GradedNecks()
	}
	if !e.Running() && (len(a.Counts) > 0 || a.Operation != nil || a.Done) {
		e.SetupPart = setupPart(operation, e.TotalCount())
	}
	return e, e.Validate()
}

func (a Amendment) times(e *Entry) error {
	if a.SpentMin != nil {
		if e.SpentSec == 0 {
			return &Refusal{Code: "clocked", Class: Invalid, Why: fmt.Sprintf("entry %d was clocked: its time is its start and its end", e.ID), Type: []string{fmt.Sprintf(`entry amend %d --to 20:45 --why "read off the wall clock"`, e.ID)}}
		}
		e.SpentSec = int64(*a.SpentMin * 60)
	}
	if (a.From != nil || a.To != nil) && e.SpentSec > 0 {
		return &Refusal{Code: "no-clock", Class: Invalid, Why: fmt.Sprintf("entry %d was logged without a clock", e.ID), Type: []string{fmt.Sprintf(`entry amend %d --spent 30 --why "it took longer"`, e.ID)}}
	}
	if a.From != nil {
		e.From = a.From.UTC()
	}
	if a.To != nil {
		to := a.To.UTC()
		e.To = &to
	}
	if a.From != nil || a.To != nil || a.Confirm {
		e.Assumed, e.ClockBack = e.Assumed && a.To == nil && !a.Confirm, e.ClockBack && a.To == nil && a.From == nil
	}
	if a.NoAway {
		e.Away = nil
	}
	if len(a.Away) > 0 {
		e.Away = a.Away
	}
	if e.To != nil && !e.To.After(e.From) && (a.To != nil || a.From != nil) {
		if a.To == nil {
			return &FieldError{"from", e.From.Format(time.RFC3339), "a start before the end " + e.To.Format(time.RFC3339)}
		}
		return &FieldError{"to", e.To.Format(time.RFC3339), "an end after the start " + e.From.Format(time.RFC3339)}
	}
	if e.Go != nil && (e.Go.Before(e.From) || (e.To != nil && e.Go.After(*e.To))) {
		e.Go = nil
	}
	e.Away = within(e.Away, e.From, e.To)
	return nil
}

// within keeps the breaks that are inside an entry.
func within(away []Span, from time.Time, to *time.Time) []Span {
	var out []Span
	for _, a := range away {
		if a.From.Before(from) {
			a.From = from
		}
		if to != nil && (a.To == nil || a.To.After(*to)) {
			end := *to
			a.To = &end
		}
		if a.To != nil && !a.To.After(a.From) {
			continue
		}
		out = append(out, a)
	}
	return out
}

func classOf(k Operation) Class {
	if k.Decide {
		return Deciding
	}
	return First
}

func (a Amendment) class(e *Entry, operation Operation) error {
	if a.Cause != nil {
		switch {
		case *a.Cause == "":
			e.Class, e.Cause, e.Payer = classOf(operation), "", ""
		case !slices.Contains(ReworkCauses, *a.Cause):
			return &FieldError{"rework", *a.Cause, "a cause: " + strings.Join(ReworkCauses, ", ")}
		default:
			e.Class, e.Cause = Rework, *a.Cause
			if e.Payer == "" {
				e.Payer = Payers[0]
			}
		}
	}
	if a.Payer != nil {
		if !slices.Contains(Payers, *a.Payer) {
			return &FieldError{"payer", *a.Payer, strings.Join(Payers, " or ")}
		}
		if e.Class != Rework {
			return &FieldError{"payer", *a.Payer, "--rework CAUSE as well: only rework asks who pays"}
		}
		e.Payer = *a.Payer
	}
	return nil
}

func (a Amendment) counts(e *Entry, operation Operation, states []NeckState) error {
	if e.Running() {
		return Refuse("running", fmt.Sprintf("entry %d is still running", e.ID), "done", "off")
	}
	named := map[string]Count{}
	for _, c := range a.Counts {
		if c.Neck == "" {
			if len(e.Shares) > 1 {
				return &FieldError{"count", trim(c.N), `a count for each neck, such as --count "ada 6, bo 8"`}
			}
			c.Neck = e.Shares[0].Neck
		}
		if e.ShareOf(c.Neck) < 0 {
			return otherNeck(c.Neck, *e)
		}
		named[c.Neck] = c
	}
	for i := range e.Shares {
		s := &e.Shares[i]
		c, ok := named[s.Neck]
		switch {
		case a.Open:
			s.Done, s.Left = false, false
		case a.Done && (ok || len(named) == 0):
			s.Done, s.Left = true, false
		}
		if ok && c.Left {
			s.Left, s.Done = true, false
		}
		if ok && c.N >= 0 {
			s.Count = c.N
		}
		if ok && c.Grade != nil {
			s.Grade = c.Grade
		}
		if s.Done && s.Count == 0 && !(ok && c.N == 0) {
			s.Count = planned(*s, states)
			if s.Count == 0 && (operation.Per == "neck" || operation.Decide) {
				s.Count = 1
			}
		}
	}
	return nil
}

// stepOn gives the step that work of an operation on a neck belongs to; 0 when its
// route has none.
func stepOn(states []NeckState, neck, operation string) int {
	for _, st := range states {
		if st.Neck.Code != neck {
			continue
		}
		if v, _, ok := st.StepFor(operation); ok {
			return v.No
		}
	}
	return 0
}

// otherNeck refuses a neck that is not in an entry.
func otherNeck(neck string, e Entry) error {
	return Refuse("other-neck", fmt.Sprintf("neck %s is not in entry %d", neck, e.ID), "entry list --neck "+e.Shares[0].Neck)
}

// MoveTo gives the entry with the share of one neck booked on another: its
// count, and whether it ended the step, stay. The step is that of the same
// operation on the new neck; a step done there already is refused unless the entry
// is rework.
func MoveTo(e Entry, from string, to NeckState, decide bool) (Entry, error) {
	i := e.ShareOf(from)
	switch {
	case i < 0:
		return e, otherNeck(from, e)
	case e.ShareOf(to.Neck.Code) >= 0:
		return e, Refuse("same-neck", fmt.Sprintf("entry %d is on %s already", e.ID, to.Neck.Name()), fmt.Sprintf(`entry amend %d --count "%s 6" --why "counted again"`, e.ID, to.Neck.Name()))
	}
	moved := e
	moved.Shares = slices.Clone(e.Shares)
	s := &moved.Shares[i]
	s.Neck, s.Step = to.Neck.Code, 0
	v, again, ok := to.StepFor(e.Operation)
	if ok {
		if again && e.Class == First && s.Done && !decide {
			return e, Refuse("done", fmt.Sprintf("%s is already done on %s. One of the two may be rework", e.Operation, to.Neck.Name()), fmt.Sprintf(`entry amend %d --rework other --why "done twice"`, e.ID))
		}
		s.Step = v.No
	}
	return moved, moved.Validate()
}

// Difference names what is different between two states of an entry, for the
// history and for the echo of an amendment. A time on the day of a's start has no date.
func Difference(a, b Entry, shop Shop) []string {
	var out []string
	clock := func(t *time.Time) string {
		if t == nil {
			return "running"
		}
		at := t.In(shop.Location())
		if DayOf(at) == DayOf(a.From.In(shop.Location())) {
			return at.Format("15:04")
		}
		return at.Format("2 Jan 2006 15:04")
	}
	put := func(what, was, is string) {
		if was != is {
			out = append(out, fmt.Sprintf("%s %s (was %s)", what, orDash(is), orDash(was)))
		}
	}
	put("operation", a.Operation, b.Operation)
	put("class", string(a.Class)+" "+a.Cause+" "+a.Payer, string(b.Class)+" "+b.Cause+" "+b.Payer)
	put("from", clock(&a.From), clock(&b.From))
	put("to", clock(a.To), clock(b.To))
	put("end", endWord(a), endWord(b))
	put("minutes", minutes(a.SpentSec), minutes(b.SpentSec))
	put("necks", sharesText(a), sharesText(b))
	put("away", spansText(a.Away, clock), spansText(b.Away, clock))
	put("bit", a.Bit, b.Bit)
	put("grade", gradeText(a.Grade), gradeText(b.Grade))
	put("by", a.Person, b.Person)
	put("note", a.Note, b.Note)
	return out
}

func orDash(s string) string {
	if s = strings.TrimSpace(s); s == "" {
		return "none"
	}
	return s
}

func endWord(e Entry) string {
	if e.Assumed {
		return "assumed"
	}
	return "confirmed"
}

func minutes(sec int64) string {
	if sec == 0 {
		return ""
	}
	return trim(float64(sec) / 60)
}

func gradeText(g *int) string {
	if g == nil {
		return "not seen"
	}
	return fmt.Sprint(*g)
}

func sharesText(e Entry) string {
	var parts []string
	for _, s := range e.Shares {
		t := s.Neck
		if s.Count > 0 {
			t += " " + trim(s.Count)
		}
		switch {
		case s.Done:
			t += " done"
		case s.Left:
			t += " left"
		}
		parts = append(parts, t)
	}
	return strings.Join(parts, ", ")
}

func spansText(spans []Span, clock func(*time.Time) string) string {
	var parts []string
	for _, s := range spans {
		parts = append(parts, clock(&s.From)+" to "+clock(s.To))
	}
	return strings.Join(parts, ", ")
}
