package store

import (
	"fmt"

	"bookmatch/jobs"
)

// Warnings says what opening the file found out that a person should know: that it
// was brought to a newer schema, that a meta page cannot be read, or that the last
// copy of an evening was not sound.
func (s *Store) Warnings() (out []jobs.Warning) {
	if s.opts.lent {
		return nil
	}
	const look = "see all damage: bookmatch data check; go back to a sound copy: bookmatch data restore"
	if s.Before != "" {
		out = append(out, jobs.Warning{Code: "migrated", Text: fmt.Sprintf("the file was brought to what this program writes, and as it was it is kept as %s", s.Before)})
	}
	if n := len(s.BeforeTroubles); n > 0 {
		out = append(out, jobs.Warning{Code: "damaged-before", Text: fmt.Sprintf("it was damaged before: %d found, first: %s", n, s.BeforeTroubles[0].Text), Hint: look})
	}
	if s.Fallback != "" {
		out = append(out, jobs.Warning{Code: "older-meta-page", Text: s.Fallback + ": the other one is used, so the newest change may be missing", Hint: "data check"})
	}
	if u := LastUnsound(s.path); u != nil {
		out = append(out, jobs.Warning{Code: "unsound-copy", Text: "no copy of the evening could be kept, since the file is damaged: " + u.Text, Hint: look})
	}
	return out
}
