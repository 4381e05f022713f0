package store

import (
	"bytes"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"bookmatch/jobs"
)

// Past is a change as history shows it.
type Past struct {
	Change
	// Undone says that the change was taken back and stays so.
	Undone bool `json:"undone,omitempty"`
}

// RecordName chooses the history of one record; the zero value all of them.
type RecordName struct{ bucket, key string }

// FindRecord reads the noun of a record ("entry", "neck", "edge") and its name:
// a number, a code, or owner and number. A noun that does not exist is a
// *jobs.NotFoundError; a record need not be there any more.
func (tx *Tx) FindRecord(noun, name string) (RecordName, error) {
	var nouns []string
	for _, c := range collections {
		nouns = append(nouns, c.nounName())
		if c.nounName() != noun && c.name() != noun {
			continue
		}
		if c.name() == Necks.bucket {
			if n, err := tx.FindNeck(name); err == nil {
				name = n.Code
			}
		}
		key := []byte(name)
		if owner, no, ok := cutLast(name); ok {
			key = pair(owner, idKey(no))
		} else if no, err := strconv.ParseUint(name, 10, 64); err == nil && tx.keyedByNumber(c) {
			key = idKey(no)
		}
		return RecordName{c.name(), string(key)}, nil
	}
	return RecordName{}, &jobs.NotFoundError{Noun: "kind of record", Value: noun, Near: jobs.Nearest(noun, nouns)}
}

// keyedByNumber looks at what the bucket holds, or once held by its sequence.
func (tx *Tx) keyedByNumber(c anyCollection) bool {
	k, _ := tx.bucket(c.name()).Cursor().First()
	if k != nil {
		return numbered(k)
	}
	n, err := tx.numbers()
	return err == nil && n[c.name()] > 0
}

// cutLast splits "S10-1 2" into owner and number.
func cutLast(name string) (owner string, no uint64, ok bool) {
	i := strings.LastIndexByte(name, ' ')
	if i < 1 {
		return "", 0, false
	}
	no, err := strconv.ParseUint(name[i+1:], 10, 64)
	return name[:i], no, err == nil
}

// History gives at most n changes (0: all), newest first: of one record, or of
// all. A change of which one record is asked for shows that record only.
func (tx *Tx) History(of RecordName, n int) ([]Past, error) {
	gone := map[uint64]bool{}
	out := []Past{}
	mark := markOf(of.bucket, []byte(of.key))
	want := func(raw []byte) bool {
		return of.bucket == "" || bytes.Contains(raw, mark) || turns(raw)
	}
	for c, err := range changesThat(tx, true, want) {
		if err != nil {
			return nil, err
		}
		noteTurn(gone, c)
		if of.bucket != "" {
			c.Records = slices.DeleteFunc(c.Records, func(r Record) bool {
				return r.Bucket != of.bucket || !bytes.Equal(r.Key, []byte(of.key))
			})
			if len(c.Records) == 0 {
				continue
			}
		}
		out = append(out, Past{c, gone[c.Seq]})
		if n > 0 && len(out) == n {
			break
		}
	}
	return out, nil
}

// turns says from the document of a change that it may take another back, or
// bring it in again.
func turns(raw []byte) bool {
	return bytes.Contains(raw, []byte(`"undoes":`)) || bytes.Contains(raw, []byte(`"redoes":`))
}

// noteTurn notes in gone what a change says of another: true, it was taken back.
// Who walks the journal gives the newest first: the newest word about a change
// counts.
func noteTurn(gone map[uint64]bool, c Change) {
	of := max(c.Undoes, c.Redoes)
	if of == 0 || c.Redoes != 0 && gone[c.Seq] {
		return
	}
	if _, known := gone[of]; !known {
		gone[of] = c.Undoes != 0
	}
}

// What says in a few words which records a change touched.
func (c Change) What() string {
	const most = 3
	var names []string
	for i, r := range c.Records {
		if i == most && len(c.Records) > most+1 {
			names = append(names, fmt.Sprintf("and %d more", len(c.Records)-most))
			break
		}
		name := r.Name()
		switch {
		case noNull(r.Before) == nil:
			name = "+ " + name
		case noNull(r.After) == nil:
			name = "- " + name
		}
		names = append(names, name)
	}
	return strings.Join(names, ", ")
}
