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
		what := "taken"
		if old.Code != "" {
			what = strings.TrimSpace(fmt.Sprintf("taken by neck %s (%s)", old.Name(), old.Status))
		}
		return jobs.Refuse("taken", fmt.Sprintf("neck %q is %s. A code is never used again", as, what), "neck list --all")
	}
	return b.freeNickname(n)
}

// freeNickname refuses a nickname that another open neck has, or that is the code
// of any, capitals aside.
func (b *Book) freeNickname(n jobs.Neck) error {
	for m, err := range store.Each(b.Tx, store.Necks) {
		if err != nil {
			return err
		}
		if m.Code == n.Code {
			continue
		}
		clash := n.Nickname != "" && strings.EqualFold(m.Nickname, n.Nickname) && !m.IsClosed()
		if clash || strings.EqualFold(m.Nickname, n.Code) || strings.EqualFold(m.Code, n.Nickname) {
			return jobs.Refuse("taken", fmt.Sprintf("the name %q is taken by neck %s", firstOf(clash || strings.EqualFold(m.Code, n.Nickname), n), m.Code), "neck show "+m.Code)
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
