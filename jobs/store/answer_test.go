package store

import (
	"encoding/json"
	"errors"
	"path/filepath"
	"testing"
	"time"

	"bookmatch/jobs"

	bolt "go.etcd.io/bbolt"
)

// answered gives what the file has for a token.
func answered(t *testing.T, path, token, verb string) (body string, change uint64, undone bool, err error) {
	t.Helper()
	view(t, path, func(tx *Tx) error {
		var raw json.RawMessage
		raw, change, undone, err = tx.Answer(token, verb)
		body = string(raw)
		return nil
	})
	return body, change, undone, err
}

// once is a change with an answer, as a verb writes them.
func once(t *testing.T, path, token string, now time.Time, abrasion float64) {
	t.Helper()
	update(t, path, now, "wood set", func(tx *Tx) error {
		if err := Put(tx, Woods, wood("apple", abrasion)); err != nil {
			return err
		}
		return tx.PutAnswer(token, "wood set", json.RawMessage(`{"wood":"apple"}`))
	})
}

func TestAnswerBelongsToItsChange(t *testing.T) {
	path := newFile(t)
	putWood(t, path, "pear", 1)
	once(t, path, "t1", start, 2)
	body, change, undone, err := answered(t, path, "t1", "wood set")
	if body != `{"wood":"apple"}` || change != 3 || undone || err != nil {
		t.Errorf("got %s, change %d, undone %v, %v", body, change, undone, err)
	}
	for _, step := range []struct {
		do   func(*testing.T, string) error
		want bool
	}{{undo, true}, {redo, false}, {undo, true}, {redo, false}} {
		if err := step.do(t, path); err != nil {
			t.Fatal(err)
		}
		if _, _, undone, _ := answered(t, path, "t1", "wood set"); undone != step.want {
			t.Errorf("undone %v, want %v", undone, step.want)
		}
	}
	var used *TokenError
	if _, _, _, err := answered(t, path, "t1", "neck add"); !errors.As(err, &used) || !errors.Is(err, jobs.ErrConflict) {
		t.Errorf("another verb: %v", err)
	}
	if body, _, _, err := answered(t, path, "t2", "wood set"); body != "" || err != nil {
		t.Errorf("unknown token: %s, %v", body, err)
	}
	mustBeSound(t, path)
}

// An answer is neither journalled nor exported, and lasts 30 days.
func TestAnswersAreSwept(t *testing.T) {
	path := newFile(t)
	once(t, path, "t1", start, 2)
	once(t, path, "t2", start.AddDate(0, 0, 29), 3)
	once(t, path, "t3", start.AddDate(0, 0, 31), 4)
	for token, want := range map[string]string{"t1": "", "t2": `{"wood":"apple"}`, "t3": `{"wood":"apple"}`} {
		if body, _, _, err := answered(t, path, token, "wood set"); body != want || err != nil {
			t.Errorf("%s: got %q, %v", token, body, err)
		}
	}
	mustBeSound(t, path)
	other := filepath.Join(t.TempDir(), "shop.db")
	if _, err := importDocument(t, other, export(t, path)); err != nil {
		t.Fatal(err)
	}
	if body, _, _, _ := answered(t, other, "t3", "wood set"); body != "" {
		t.Errorf("the export carried an answer: %s", body)
	}
}

// A change that does nothing keeps no answer, and a token is needed.
func TestAnswerNeedsAChange(t *testing.T) {
	path := newFile(t)
	update(t, path, start, "nothing", func(tx *Tx) error { return tx.PutAnswer("t1", "x", json.RawMessage(`1`)) })
	if body, _, _, _ := answered(t, path, "t1", "x"); body != "" {
		t.Errorf("kept %s", body)
	}
	if err := tryUpdate(path, start, "x", func(tx *Tx) error { return tx.PutAnswer("", "x", nil) }); !errors.Is(err, errNoToken) {
		t.Errorf("no token: %v", err)
	}
}

func TestCheckLooksAtAnswers(t *testing.T) {
	path := newFile(t)
	once(t, path, "t1", start, 2)
	raw(t, path, func(tx *bolt.Tx) error {
		b := tx.Bucket([]byte(bucketAnswers))
		v := append([]byte{}, b.Get([]byte("t1"))...)
		v[len(v)-3] ^= 1
		return b.Put([]byte("t1"), v)
	})
	h, err := Check(path)
	if err != nil || h.Sound() || h.Troubles[0].Where != "record" {
		t.Errorf("got %+v, %v", h.Troubles, err)
	}
	if _, _, _, err := answered(t, path, "t1", "wood set"); !errors.Is(err, ErrDamaged) {
		t.Errorf("a damaged answer was given: %v", err)
	}
}
