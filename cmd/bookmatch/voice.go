package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"strings"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
	"bookmatch/reports/plain"
)

// The voice of the program. Data goes to stdout; all else goes to stderr as
// one line "bookmatch: ..." in lower case without a full stop, naming the thing
// and the value, with a hint line where one helps.
//
// Exit codes.
const (
	exitDone     = 0 // done
	exitFailure  = 1 // failure: a thing that is not there, a file that cannot be read
	exitUsage    = 2 // wrong usage: a word or a value that cannot be used
	exitConflict = 3 // conflicts with the records
	exitFound    = 4 // a check found problems
)

const exitTable = `exit codes: 0 done, 1 failure, 2 wrong usage, 3 conflicts with the records, 4 a check found problems`

// usageError is a command line that cannot be understood.
type usageError struct{ what, how string }

func (e *usageError) Error() string { return e.what }

// Hint says how to type it.
func (e *usageError) Hint() string { return e.how }

func usagef(how, format string, args ...any) error {
	return &usageError{fmt.Sprintf(format, args...), how}
}

type hinter interface{ Hint() string }

// fail prints an error and gives the exit code. It is the only place where an
// error becomes text and a number.
func (e *env) fail(err error) int {
	if err == nil {
		return e.code
	}
	text := strings.ReplaceAll(strings.TrimSpace(err.Error()), "\n", "; ")
	fmt.Fprintln(e.errOut, "bookmatch: "+plain.Clean(text))
	var h hinter
	hint := ""
	if errors.As(err, &h) {
		hint = h.Hint()
	}
	switch {
	case hint != "":
	case errors.Is(err, store.ErrMissing):
		hint = `start one with: bookmatch shop setup --name "..." --currency EUR --zone Europe/Berlin`
	case errors.Is(err, store.ErrBusy):
		hint = "wait until it is done, or look which terminal still runs one"
	case errors.Is(err, store.ErrDamaged):
		hint = "look for a copy with data restore; do not write to this file"
	case errors.Is(err, store.ErrNewer):
		hint = "use the newer program; nothing was changed"
	case errors.Is(err, fs.ErrExist):
		hint = "add --force to replace it"
	}
	if hint != "" {
		e.hint("%s", hint)
	}
	return codeOf(err)
}

func codeOf(err error) int {
	var u *usageError
	switch {
	case errors.As(err, &u), errors.Is(err, jobs.ErrInvalid):
		return exitUsage
	case errors.Is(err, jobs.ErrConflict):
		return exitConflict
	case errors.Is(err, context.Canceled):
		return 130
	}
	return exitFailure
}
