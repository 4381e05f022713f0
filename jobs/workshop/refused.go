package workshop

import (
	"errors"
	"syscall"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// refused turns an error into a refusal that says what the verb did not do.
func refused(v Verb, err error) error {
	if v.Not == "" {
		return Refused("NOT SHOWN", err)
	}
	return Refused(v.Not, err)
}

// Refused turns an error into a refusal. what says in capitals what did not
// happen. An error that nobody can act on stays as it is.
func Refused(what string, err error) error {
	if err == nil {
		return nil
	}
	if r, ok := jobs.RefusalOf(what, err); ok {
		return r
	}
	for _, m := range machine {
		if errors.Is(err, m.is) {
			why := m.why
			if why == "" {
				why = err.Error()
			}
			return &jobs.Refusal{Code: m.code, Class: m.class, What: what, Why: why, Type: m.typed}
		}
	}
	return err
}

// machine lists what can be wrong with the file and what helps.
var machine = []struct {
	is    error
	code  string
	class jobs.RefusalClass
	why   string
	typed []string
}{
	{store.ErrMissing, "no-file", jobs.Missing, "", []string{`shop setup --name "..." --currency EUR --zone Europe/Berlin`}},
	{store.ErrBusy, "busy", jobs.Missing, "another bookmatch has the file open", nil},
	{store.ErrNewer, "newer", jobs.Missing, "", nil},
	{store.ErrDamaged, "damaged", jobs.Damaged, "", []string{"data check", "data restore"}},
	{syscall.ENOSPC, "no-space", jobs.Missing, "no space is left on the disk, so nothing was kept", nil},
}
