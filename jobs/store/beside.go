package store

import "sync"

// Beside begins to read, at the same time, the file as it stood before this
// transaction wrote to it, and gives a function that waits for the end. It is for
// what a command tells but does not decide by: an estimate can be worked out
// while the disk takes the record. Closing the file waits for it, too.
func (tx *Tx) Beside(fn func(*Tx) error) (wait func() error) {
	b, err := tx.of.db.Begin(false) // here, so that it sees nothing of what this one will commit
	if err != nil {
		return func() error { return err }
	}
	done := make(chan error, 1)
	go func() {
		done <- guard(tx.of.path, func() error {
			defer b.Rollback()
			return fn(tx.of.tx(b))
		})
	}()
	return sync.OnceValue(func() error { return <-done })
}
