package workshop

import (
	"fmt"
	"strings"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// FreeNeckName refuses a code that any neck ever had (also one that was taken
// back with oops and is in the journal only) and a nickname that an open neck
// has, capitals aside.
func (b *Book) FreeNeckName(n jobs.Neck) error {
	if as := store.Taken(b.Tx, store.Necks, n.Code); as != "" {
		old, _, err := store.Get(b.Tx, store.Necks, as)
		if err != nil {
			return err
		}
		return &jobs.ConflictError{What: fmt.Sprintf("neck %q is taken by %q (%s)", as, old.Title, old.Status), How: "a code is never used again: choose another"}
	}
	for m, err := range store.Each(b.Tx, store.Necks) {
		if err != nil {
			return err
		}
		clash := n.Nickname != "" && strings.EqualFold(m.Nickname, n.Nickname) && !m.IsClosed()
		if clash || strings.EqualFold(m.Nickname, n.Code) || strings.EqualFold(m.Code, n.Nickname) {
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
func (b *Book) FindWood(word string) (jobs.Wood, error) {
	woods, err := store.All(b.Tx, store.Woods)
	if err != nil {
		return jobs.Wood{}, err
	}
	return jobs.NewWoodTable(woods).Find(word)
}
