package store

import "time"

// Session lends the open file to one command of many: its own clock and words
// for the journal, and a Close that leaves the file open. A demo or an import
// that plays thousands of commands opens the file once.
func (s *Store) Session(now func() time.Time, command string) *Store {
	o := s.opts
	o.Now, o.Command, o.lent = now, command, true
	lent := *s
	lent.opts = o
	return &lent
}

// Bulk stops waiting for the disk at each commit while on; turning it off
// writes all of it out. Only for a file that can be made again.
func (s *Store) Bulk(on bool) error {
	s.db.NoSync = on
	if on {
		return nil
	}
	return s.db.Sync()
}
