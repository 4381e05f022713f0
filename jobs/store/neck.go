package store

import (
	"fmt"

	"bookmatch/jobs"
)

// FreeNeckName refuses a code that any neck ever had (also one that was taken
// back with oops and is in the journal only) and a nickname that an open neck
// has.
func (tx *Tx) FreeNeckName(n jobs.Neck) error {
	if old, ok, err := Get(tx, Necks, n.Code); err != nil {
		return err
	} else if ok {
		return &jobs.ConflictError{What: fmt.Sprintf("neck %q is taken by %q (%s)", n.Code, old.Title, old.Status), How: "a code is never used again: choose another"}
	}
	for m, err := range Each(tx, Necks) {
		if err != nil {
			return err
		}
		clash := n.Nickname != "" && m.Nickname == n.Nickname && !m.IsClosed()
		if clash || m.Nickname == n.Code || (n.Nickname != "" && m.Code == n.Nickname) {
			return &jobs.ConflictError{What: fmt.Sprintf("the name %q is taken by neck %s", firstOf(clash, n), m.Code), How: "choose another nickname"}
		}
	}
	return nil
}

func firstOf(nickname bool, n jobs.Neck) string {
	if nickname {
		return n.Nickname
	}
	return n.Code
}

// FindWood resolves a typed wood by name or unique prefix.
func (tx *Tx) FindWood(word string) (jobs.Wood, error) {
	woods, err := All(tx, Woods)
	if err != nil {
		return jobs.Wood{}, err
	}
	return jobs.NewWoodTable(woods).Find(word)
}
