package store

import (
	"bytes"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"iter"

	"bookmatch/jobs"
)

// Changes walks the journal, oldest first, or newest first when back is set.
func Changes(tx *Tx, back bool) iter.Seq2[Change, error] {
	return changesThat(tx, back, func([]byte) bool { return true })
}

// changesThat walks those changes whose documents want says, from their bytes: to
// read a long journal is mostly to decode it, and what is asked for is mostly in
// few changes.
func changesThat(tx *Tx, back bool, want func(doc []byte) bool) iter.Seq2[Change, error] {
	return func(yield func(Change, error) bool) {
		cur := tx.bucket(bucketJournal).Cursor()
		k, raw := cur.First()
		if back {
			k, raw = cur.Last()
		}
		for ; k != nil; k, raw = step(cur, back) {
			doc, err := document("change", k, raw)
			if err == nil && !want(doc) {
				continue
			}
			var c Change
			if err == nil {
				c, err = changeOf(k, doc)
			}
			if !yield(c, err) || err != nil {
				return
			}
		}
	}
}

// recordMark is how a record of a bucket begins in the document of a change. It
// cannot be inside a text there, where quotes are escaped.
func recordMark(bucket string) string { return `{"bucket":"` + bucket + `","key":"` }

// markOf is how one record begins there.
func markOf(bucket string, key []byte) []byte {
	return []byte(recordMark(bucket) + base64.StdEncoding.EncodeToString(key) + `"`)
}

// readChange reads a value of the journal.
func readChange(key, value []byte) (Change, error) {
	doc, err := document("change", key, value)
	if err != nil {
		return Change{}, err
	}
	return changeOf(key, doc)
}

func changeOf(key, doc []byte) (c Change, err error) {
	if err := json.Unmarshal(doc, &c); err != nil {
		return c, damaged("change", key, err)
	}
	return c, nil
}

// Undo takes the newest change that still holds back, as a change of its own,
// and returns it. Nothing to take back is a *ConflictError.
func (tx *Tx) Undo() (Change, error) {
	undone := map[uint64]bool{}
	for c, err := range Changes(tx, true) {
		switch {
		case err != nil:
			return Change{}, err
		case c.Schema != 0:
			return Change{}, &jobs.ConflictError{What: fmt.Sprintf("what was written before the file came to schema %d cannot be taken back", c.Schema), How: "data history"}
		case c.Undoes != 0:
			if !undone[c.Seq] {
				undone[c.Undoes] = true
			}
		case c.Redoes != 0 && !undone[c.Seq]:
			// A redo counts as the change it brought back, and for the undo it cancelled.
			tx.undoes = c.Seq
			undone[c.Seq] = true
			return c, tx.reverse(c)
		case !undone[c.Seq]:
			tx.undoes = c.Seq
			return c, tx.reverse(c)
		}
	}
	return Change{}, &jobs.ConflictError{What: "there is nothing left to take back"}
}

// Redo brings in again what the newest undo that still holds took back;
// anything else written since then ends the chance (*ConflictError). Several
// undos are brought back one by one, the last first.
func (tx *Tx) Redo() (Change, error) {
	cancelled := 0
	for c, err := range Changes(tx, true) {
		switch {
		case err != nil:
			return Change{}, err
		case c.Redoes != 0:
			cancelled++
			continue
		case c.Undoes != 0 && cancelled > 0:
			cancelled--
			continue
		case c.Undoes != 0:
			tx.redoes = c.Undoes
			return c, tx.reverse(c)
		}
		break // an ordinary change
	}
	return Change{}, &jobs.ConflictError{What: "the last change was not an oops: there is nothing to bring back"}
}

// reverse writes what stood before a change. Each record must still be as
// the change left it.
func (tx *Tx) reverse(c Change) error {
	for i := len(c.Records) - 1; i >= 0; i-- {
		r := c.Records[i]
		col := named(r.Bucket)
		if col == nil {
			return fmt.Errorf("change %d touches %q, which this program does not know", c.Seq, r.Bucket)
		}
		var now []byte
		if value := tx.bucket(r.Bucket).Get(r.Key); value != nil {
			var err error
			if now, err = document(col.nounName(), r.Key, value); err != nil {
				return err
			}
		}
		if !bytes.Equal(now, noNull(r.After)) {
			return &jobs.ConflictError{What: fmt.Sprintf("change %d cannot be taken back: %s has changed since", c.Seq, r.Name()), How: "data history"}
		}
		if err := tx.write(col, r.Key, noNull(r.Before)); err != nil {
			return err
		}
	}
	return nil
}

// noNull turns the JSON null of an absent record into no bytes.
func noNull(raw json.RawMessage) []byte {
	if len(raw) == 0 || string(raw) == "null" {
		return nil
	}
	return raw
}
