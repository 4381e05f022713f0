package store

import (
	"errors"
	"fmt"
	"syscall"
	"time"

	"bookmatch/jobs"
)

// ErrFull is a disk without room for what was to be written. A transaction is
// written whole or not at all, so that nothing of it was kept.
var ErrFull = errors.New("no space is left on the disk, nothing was kept")

// noRoom says of an error that the disk is full, where that is why.
func noRoom(err error) error {
	for _, e := range []error{syscall.ENOSPC, syscall.EDQUOT, syscall.EFBIG} {
		if errors.Is(err, e) {
			return fmt.Errorf("%w: %w", ErrFull, err)
		}
	}
	return err
}

// believable refuses a clock that no workshop of this program can have: what is
// written with it would be in the wrong century for good.
func believable(now time.Time) error {
	if y := now.UTC().Year(); y < 2000 || y >= 2200 {
		return &jobs.FieldError{Field: "clock", Value: now.UTC().Format(time.RFC3339), Want: "a time from 2000 to 2199: set the clock of this machine, or BOOKMATCH_NOW"}
	}
	return nil
}

// tooLarge refuses what an import would refuse to take in again.
func tooLarge(what string, bytes, limit int) error {
	return &jobs.ConflictError{What: fmt.Sprintf("%s takes %d MB where %d MB is the most. Import it in parts", what, bytes>>20, limit>>20)}
}
