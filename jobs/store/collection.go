package store

import (
	"bytes"
	"encoding/json"
	"fmt"
	"reflect"
)

// Collection is one bucket of records of type T with its indexes. All
// collections are listed in collections.go; data check, export, import and
// undo walk that list, so a new record type needs no further wiring.
type Collection[T any] struct {
	bucket  string
	noun    string // for messages: neck "ada"
	key     func(*T) []byte
	valid   func(*T) error
	indexes []index[T]
}

type index[T any] struct {
	bucket string
	keys   func(*T) [][]byte // nil keys: not in this index
}

// indexed is one entry of an index.
type indexed struct{ bucket, key, value string }

// anyCollection is what the file-wide tasks need of a collection without
// knowing its type.
type anyCollection interface {
	name() string
	nounName() string
	indexNames() []string
	// rawIndex gives the index entries of a document.
	rawIndex(doc []byte) ([]indexed, error)
	// check decodes and validates a document, says whether it sits under its own
	// key, and gives its index entries.
	check(key, doc []byte) ([]indexed, error)
	// strict decodes and validates a document and gives the key it belongs under.
	strict(doc []byte) (key []byte, err error)
	// document is the type of the records.
	document() reflect.Type
}

func (c *Collection[T]) name() string { return c.bucket }

func (c *Collection[T]) nounName() string { return c.noun }

func (c *Collection[T]) indexNames() []string {
	var out []string
	for _, ix := range c.indexes {
		out = append(out, ix.bucket)
	}
	return out
}

func (c *Collection[T]) rawIndex(doc []byte) ([]indexed, error) {
	if doc == nil || len(c.indexes) == 0 {
		return nil, nil
	}
	var v T
	if err := json.Unmarshal(doc, &v); err != nil {
		return nil, fmt.Errorf("%s: %w", c.noun, err)
	}
	return c.entries(&v), nil
}

// entries gives the index entries of a record.
func (c *Collection[T]) entries(v *T) (out []indexed) {
	rec := c.key(v)
	for _, ix := range c.indexes {
		for _, k := range ix.keys(v) {
			full := append(append(append([]byte{}, k...), 0), rec...)
			out = append(out, indexed{ix.bucket, string(full), string(rec)})
		}
	}
	return out
}

func (c *Collection[T]) check(key, doc []byte) ([]indexed, error) {
	v, err := c.decode(doc)
	if err != nil {
		return nil, fmt.Errorf("%s %s: %w", c.noun, keyText(key), err)
	}
	if !bytes.Equal(c.key(&v), key) {
		return nil, fmt.Errorf("%s %s: is stored under the key of another", c.noun, keyText(key))
	}
	return c.entries(&v), nil
}

func (c *Collection[T]) strict(doc []byte) ([]byte, error) {
	v, err := c.decode(doc)
	if err != nil {
		return nil, err
	}
	return c.key(&v), nil
}

// decode reads a document that must be one that can be written.
func (c *Collection[T]) decode(doc []byte) (v T, err error) {
	if err := json.Unmarshal(doc, &v); err != nil {
		return v, err
	}
	if err := writable(reflect.ValueOf(v)); err != nil {
		return v, err
	}
	if c.valid != nil {
		err = c.valid(&v)
	}
	return v, err
}

func (c *Collection[T]) document() reflect.Type { return reflect.TypeFor[T]() }

// Put writes a record, its index entries and the journal of the change. It
// validates first.
func Put[T any](tx *Tx, c *Collection[T], v T) error {
	if c.valid != nil {
		if err := c.valid(&v); err != nil {
			return err
		}
	}
	raw, err := json.Marshal(v)
	if err != nil {
		return err
	}
	return tx.write(c, c.key(&v), raw)
}

// Delete removes a record by its key text or number. Removing what is not
// there does nothing.
func Delete[T any](tx *Tx, c *Collection[T], v T) error { return tx.write(c, c.key(&v), nil) }
