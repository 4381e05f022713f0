package bench

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
	ExitDone     = 0 // done
	ExitFailure  = 1 // failure: a thing that is not there, a file that cannot be read
	ExitUsage    = 2 // wrong usage: a word or a value that cannot be used
	ExitConflict = 3 // conflicts with the records
	ExitFound    = 4 // a check found problems, or a reader met a damaged record
)

// ExitTable says them in one line, for the help.
const ExitTable = `exit codes: 0 done, 1 failure, 2 wrong usage, 3 conflicts with the records, 4 a check found problems`

// UsageError is a command line that cannot be understood.
type UsageError struct{ what, how string }

func (e *UsageError) Error() string { return e.what }

// Hint says how to type it.
func (e *UsageError) Hint() string { return e.how }

// Usagef makes a *UsageError; how shows how to type it.
func Usagef(how, format string, args ...any) error {
	return &UsageError{fmt.Sprintf(format, args...), how}
}

type hinter interface{ Hint() string }

// Fail prints an error and gives the exit code. It is the only place where an
// error becomes text and a number.
func (e *Env) Fail(err error) int {
	if err == nil {
		return e.Code
	}
	text := strings.ReplaceAll(strings.TrimSpace(err.Error()), "\n", "; ")
	fmt.Fprintln(e.ErrOut, "bookmatch: "+plain.Clean(text))
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
		hint = "see all damage: bookmatch data check; go back to a sound copy: bookmatch data restore"
	case errors.Is(err, store.ErrNewer):
		hint = "use the newer program; nothing was changed"
	case errors.Is(err, fs.ErrExist):
		hint = "add --force to replace it"
	}
	if hint != "" {
		e.Hint("%s", hint)
	}
	return codeOf(err)
}

func codeOf(err error) int {
	var u *UsageError
	switch {
	case errors.As(err, &u), errors.Is(err, jobs.ErrInvalid):
		return ExitUsage
	case errors.Is(err, jobs.ErrConflict):
		return ExitConflict
	case errors.Is(err, store.ErrDamaged):
		return ExitFound
	case errors.Is(err, context.Canceled):
		return 130
	}
	return ExitFailure
}
