package jobs

import (
	"errors"
	"fmt"
	"strings"
	"time"
)

// RefusalClass sorts refusals by what the builder can do about them. The programs map
// it to an exit code, the page to a status.
type RefusalClass string

// The classes of refusal.
const (
	Missing  RefusalClass = "missing"  // what was asked for is not there
	Invalid  RefusalClass = "invalid"  // a word or a value cannot be used
	Conflict RefusalClass = "conflict" // the records do not allow it
	Damaged  RefusalClass = "damaged"  // a record or the file cannot be trusted
)

// Refusal says in three parts that something was not done: What did not happen
// ("NOT STARTED"), Why, and what to Type. Code is stable for programs. Lifts is
// when waiting alone will help. Anyway says that a reason passes over it.
//
// A refusal is an error, so that a rule can return it. Errors.Is answers to
// ErrNotFound, ErrInvalid and ErrConflict by its class.
type Refusal struct {
	Code   string       `json:"code"`
	Class  RefusalClass `json:"class"`
	What   string       `json:"what"`
	Why    string       `json:"why"`
	Type   []string     `json:"type"`
	Lifts  *time.Time   `json:"lifts_at,omitempty"`
	Anyway bool         `json:"anyway,omitempty"`
	// Swap names a typed word and the words that may have been meant. Who knows
	// what was typed makes Type lines of it.
	Word string   `json:"word,omitempty"`
	Swap []string `json:"swap,omitempty"`
}

// Error prints what and why in one line.
func (r *Refusal) Error() string {
	if r.What == "" {
		return r.Why
	}
	return r.What + ": " + r.Why
}

// Hint joins what to type, for one line of text.
func (r *Refusal) Hint() string { return strings.Join(r.Type, ", or ") }

// Is answers to the class errors of this package.
func (r *Refusal) Is(target error) bool {
	switch r.Class {
	case Missing:
		return target == ErrNotFound
	case Invalid:
		return target == ErrInvalid
	case Conflict:
		return target == ErrConflict
	}
	return false
}

// Refuse makes a refusal of class Conflict. Its What is left to the verb.
func Refuse(code, why string, typed ...string) *Refusal {
	return &Refusal{Code: code, Class: Conflict, Why: why, Type: typed}
}

// RefusalOf turns any error of a rule into a refusal that says what did not
// happen. A refusal that says it already keeps its own words. Errors that are
// no rule's (a disk, a bug) come back as ok false.
func RefusalOf(what string, err error) (r *Refusal, ok bool) {
	var field *FieldError
	var missing *NotFoundError
	var conflict *ConflictError
	switch {
	case errors.As(err, &r):
		copied := *r
		r = &copied
	case errors.As(err, &field):
		r = &Refusal{Code: "invalid", Class: Invalid, Why: field.Error(), Word: field.Value}
		if x := field.example(); x != "" {
			r.Swap = []string{x}
		}
	case errors.As(err, &missing):
		r = &Refusal{Code: "missing", Class: Missing, Why: missing.Error(), Word: missing.Value, Swap: missing.Near}
		if len(missing.Near) == 0 && missing.listed() {
			r.Type = []string{missing.Noun + " list"}
		}
	case errors.As(err, &conflict):
		r = &Refusal{Code: "conflict", Class: Conflict, Why: conflict.What}
		if conflict.How != "" {
			r.Type = []string{conflict.How}
		}
	default:
		return nil, false
	}
	if r.What == "" {
		r.What = what
	}
	return r, true
}

// Warning is reported next to a result. Code is stable for programs, Hint is what to
// type, or empty.
type Warning struct {
	Code string `json:"code"`
	Text string `json:"text"`
	Hint string `json:"hint,omitempty"`
}

// Warningf makes a warning without a hint.
func Warningf(code, format string, args ...any) Warning {
	return Warning{Code: code, Text: fmt.Sprintf(format, args...)}
}

// Ambiguous refuses a word that may mean several things of one noun.
func Ambiguous(noun, word string, may []string) *Refusal {
	return &Refusal{Code: "ambiguous", Class: Conflict, Why: fmt.Sprintf("%s %q can be %s", noun, word, strings.Join(may, " or ")), Word: word, Swap: may}
}

// NeckNames joins the names of necks with pluses, as they are typed.
func NeckNames(states []NeckState) string {
	var out []string
	for _, st := range states {
		out = append(out, st.Neck.Name())
	}
	return strings.Join(out, "+")
}
