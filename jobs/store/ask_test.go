package store

import (
	"encoding/json"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// Paths of a machine are cut to their last names. What only has a slash stays.
func TestAsksCarryNoFolders(t *testing.T) {
	for _, c := range []struct{ in, want string }{
		{`{"file":"/home/me/specs/ada.toml"}`, `{"file":"ada.toml"}`},
		{`{"words":"layout solve ada --spec /home/me/ada.toml --force"}`, `{"words":"layout solve ada --spec ada.toml --force"}`},
		{`{"words":"--file=/home/me/shop.db on drill ada"}`, `{"words":"--file=shop.db on drill ada"}`},
		{`{"list":["../a.csv","~/b.csv","C:\\Users\\me\\c.csv","specs/d.csv","./e"]}`, `{"list":["a.csv","b.csv","c.csv","d.csv","e"]}`},
		{`{"note":"oak/ash, 1/2 of it and/or less","n":1.50}`, `{"n":1.50,"note":"oak/ash, 1/2 of it and/or less"}`},
		{`{"why":"none"}`, `{"why":"none"}`},
	} {
		got, err := withoutFolders(json.RawMessage(c.in))
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(c.want, string(got)); diff != "" {
			t.Errorf("%s (-want +got):\n%s", c.in, diff)
		}
	}
	if _, err := withoutFolders(json.RawMessage(`{"a":"/x"`)); err == nil {
		t.Error("a broken ask was taken")
	}
}

func TestJournalKeepsFields(t *testing.T) {
	path := newFile(t)
	update(t, path, start, "", func(tx *Tx) error {
		tx.Verb, tx.Ask, tx.By, tx.Why = "wood.set", json.RawMessage(`{"wood":"apple"}`), "phone", "measured anew"
		return Put(tx, Woods, wood("apple", 2))
	})
	putWood(t, path, "apple", 3)
	view(t, path, func(tx *Tx) error {
		past, err := tx.History(RecordName{}, 2)
		if err != nil {
			return err
		}
		if c := past[1]; c.Verb != "wood.set" || string(c.Ask) != `{"wood":"apple"}` || c.By != "phone" || c.Why != "measured anew" || c.Words() != "wood.set" {
			t.Errorf("got %+v", c.Change)
		}
		if c := past[0]; c.Verb != "wood" || c.Words() != "wood set apple" {
			t.Errorf("a typed command: %+v", c.Change)
		}
		return nil
	})
	mustBeSound(t, path)
}
