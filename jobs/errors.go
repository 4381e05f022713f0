package jobs

import (
	"errors"
	"fmt"
	"slices"
	"strings"
)

// Classes of failure. Test with errors.Is; the command line maps them to exit
// codes.
var (
	ErrNotFound = errors.New("not found")
	ErrConflict = errors.New("conflicts with the records")
	ErrInvalid  = errors.New("invalid value")
)

// FieldError says which value of which field does not fit, and what would
// fit. It answers errors.Is(err, ErrInvalid).
type FieldError struct{ Field, Value, Want string }

func (e *FieldError) Error() string {
	s := fmt.Sprintf("%s %q does not fit", e.Field, e.Value)
	if e.Want != "" {
		s += ": type " + e.Want
	}
	return s
}

// example gives the value that Want names after "such as", or "".
func (e *FieldError) example() string {
	_, after, ok := strings.Cut(e.Want, "such as ")
	if !ok {
		return ""
	}
	first, _, _ := strings.Cut(after, " ")
	return strings.TrimRight(first, ",;:.")
}

// Is answers to ErrInvalid.
func (e *FieldError) Is(target error) bool { return target == ErrInvalid }

// NotFoundError names what was asked for and the nearest things that exist. It
// answers errors.Is(err, ErrNotFound).
type NotFoundError struct {
	Noun, Value string
	Near        []string
}

func (e *NotFoundError) Error() string { return fmt.Sprintf("there is no %s %q", e.Noun, e.Value) }

// listed are the nouns that have a list to look in.
var listed = []string{"neck", "operation", "route", "wood", "entry", "bit", "supply", "part", "piece", "quote"}

// listed says that there is a list to look in.
func (e *NotFoundError) listed() bool { return slices.Contains(listed, e.Noun) }

// Hint offers the nearest names, else the list of what there is.
func (e *NotFoundError) Hint() string {
	if len(e.Near) == 0 {
		if e.listed() {
			return "see bookmatch " + e.Noun + " list"
		}
		return ""
	}
	return "did you mean " + strings.Join(e.Near, ", ") + "?"
}

// Is answers to ErrNotFound.
func (e *NotFoundError) Is(target error) bool { return target == ErrNotFound }

// ConflictError says what is against a request and how to go on. It
// answers errors.Is(err, ErrConflict).
type ConflictError struct{ What, How string }

func (e *ConflictError) Error() string { return e.What }

// Hint says how to go on.
func (e *ConflictError) Hint() string { return e.How }

// Is answers to ErrConflict.
func (e *ConflictError) Is(target error) bool { return target == ErrConflict }
