package store

import (
	"bytes"
	"errors"
	"iter"
	"strings"

	bolt "go.etcd.io/bbolt"
)

// Get reads one record by code or name.
func Get[T any](tx *Tx, c *Collection[T], key string) (T, bool, error) {
	return getRaw(tx, c, []byte(key))
}

// Taken gives the code of the record that answers to a code, capitals aside, ""
// where there is none: at the bench nobody types capitals, so that two codes that
// differ by them alone would be one.
func Taken[T any](tx *Tx, c *Collection[T], code string) string {
	if tx.bucket(c.bucket).Get([]byte(code)) != nil {
		return code
	}
	cur := tx.bucket(c.bucket).Cursor()
	for k, _ := cur.First(); k != nil; k, _ = cur.Next() {
		if strings.EqualFold(string(k), code) {
			return string(k)
		}
	}
	return ""
}

// GetID reads one numbered record.
func GetID[T any](tx *Tx, c *Collection[T], id uint64) (T, bool, error) {
	return getRaw(tx, c, idKey(id))
}

// GetPair reads one record of a collection keyed by owner and number (edges,
// plans, quotes).
func GetPair[T any](tx *Tx, c *Collection[T], owner string, n int) (T, bool, error) {
	return getRaw(tx, c, pair(owner, idKey(uint64(n))))
}

func getRaw[T any](tx *Tx, c *Collection[T], key []byte) (T, bool, error) {
	var v T
	ok, err := readInto(tx, c, key, &v)
	return v, ok, err
}

// readInto reads one record into a zero value. Who reads many lends the place in
// the slice: a copy of each would be most of the memory a bench word touches.
func readInto[T any](tx *Tx, c *Collection[T], key []byte, v *T) (bool, error) {
	return tx.readSealed(c.bucket, c.noun, key, v)
}

// addTo reads the record that an index entry leads to, to the end of a list.
func addTo[T any](tx *Tx, c *Collection[T], key []byte, list []T) ([]T, error) {
	var zero T
	list = append(list, zero)
	ok, err := readInto(tx, c, key, &list[len(list)-1])
	if err == nil && !ok {
		err = damaged(c.noun, key, errNotThere)
	}
	return list, err
}

var errNotThere = errors.New("it is in an index but not in the file")

// Each walks all records in key order. Stop by breaking; a record that cannot
// be read ends the walk with its error.
func Each[T any](tx *Tx, c *Collection[T]) iter.Seq2[T, error] {
	return eachUnder(tx, c, nil)
}

// EachOf walks the records of one owner in a collection keyed by owner and
// number.
func EachOf[T any](tx *Tx, c *Collection[T], owner string) iter.Seq2[T, error] {
	return eachUnder(tx, c, pair(owner, nil))
}

func eachUnder[T any](tx *Tx, c *Collection[T], prefix []byte) iter.Seq2[T, error] {
	return func(yield func(T, error) bool) {
		cur := tx.bucket(c.bucket).Cursor()
		for k, raw := cur.Seek(prefix); k != nil && bytes.HasPrefix(k, prefix); k, raw = cur.Next() {
			var v T
			err := readValue(c.noun, k, raw, &v)
			if !yield(v, err) || err != nil {
				return
			}
		}
	}
}

// All gathers Each.
func All[T any](tx *Tx, c *Collection[T]) ([]T, error) { return allUnder(tx, c, nil) }

// AllOf gathers EachOf.
func AllOf[T any](tx *Tx, c *Collection[T], owner string) ([]T, error) {
	return allUnder(tx, c, pair(owner, nil))
}

func allUnder[T any](tx *Tx, c *Collection[T], prefix []byte) ([]T, error) {
	var out []T
	var zero T
	cur := tx.bucket(c.bucket).Cursor()
	for k, raw := cur.Seek(prefix); k != nil && bytes.HasPrefix(k, prefix); k, raw = cur.Next() {
		out = append(out, zero)
		if err := readValue(c.noun, k, raw, &out[len(out)-1]); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// By gathers the records that an index lists under a name, in index order.
func By[T any](tx *Tx, c *Collection[T], ix, name string) ([]T, error) {
	return by(tx, c, ix, []byte(name))
}

func by[T any](tx *Tx, c *Collection[T], ix string, name []byte) (out []T, err error) {
	n := 0 // counting first is cheap: a list that grows is copied over and over
	for range scan(tx, ix, name, false) {
		n++
	}
	if n == 0 {
		return nil, nil
	}
	out = make([]T, 0, n)
	for rec := range scan(tx, ix, name, false) {
		if out, err = addTo(tx, c, rec, out); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// ByID gathers the records that an index lists under a number.
func ByID[T any](tx *Tx, c *Collection[T], ix string, id uint64) ([]T, error) {
	return by(tx, c, ix, idKey(id))
}

// Latest gathers at most n records of an index name, newest first.
func Latest[T any](tx *Tx, c *Collection[T], ix, name string, n int) ([]T, error) {
	out := make([]T, 0, min(n, 256))
	for rec := range scan(tx, ix, []byte(name), true) {
		if len(out) == n {
			break
		}
		var err error
		if out, err = addTo(tx, c, rec, out); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// scan walks the record keys of one name of an index, forwards or backwards.
func scan(tx *Tx, ix string, name []byte, back bool) iter.Seq[[]byte] {
	return func(yield func([]byte) bool) {
		prefix := append(append([]byte{}, name...), 0)
		cur := tx.bucket(ix).Cursor()
		k, rec := seek(cur, prefix, back)
		for ; k != nil && bytes.HasPrefix(k, prefix); k, rec = step(cur, back) {
			if !yield(rec) {
				return
			}
		}
	}
}

func seek(cur *bolt.Cursor, prefix []byte, back bool) ([]byte, []byte) {
	if !back {
		return cur.Seek(prefix)
	}
	after := append([]byte{}, prefix...)
	after[len(after)-1] = 1 // the byte behind the zero that ends the name
	if k, _ := cur.Seek(after); k == nil {
		return cur.Last()
	}
	return cur.Prev()
}

func step(cur *bolt.Cursor, back bool) ([]byte, []byte) {
	if back {
		return cur.Prev()
	}
	return cur.Next()
}
