package store

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"
	"time"

	"bookmatch/jobs"

	bolt "go.etcd.io/bbolt"
)

// Tx is one transaction on the workshop's file. It carries one instant for all
// that happens in it and keeps the journal: put and delete record what stood
// before and after, so that no verb can forget to. Values never outlive it
// undecoded.
type Tx struct {
	of  *Store
	btx *bolt.Tx
	// Now is the instant of the transaction, UTC in whole seconds.
	Now time.Time
	// Verb, Ask, By and Why are what the journal keeps of the change: what was done,
	// what was asked (JSON; nil: nothing), who asked and the reason given.
	Verb string
	Ask  json.RawMessage
	By   string
	Why  string

	changes []Record
	at      map[string]int // bucket and key -> place in changes
	// Bits whose summary no longer says what their records do; woods: all of them.
	dirtyBits map[string]bool
	woods     bool
	necks     map[string]jobs.Neck
	buckets   map[string]*bolt.Bucket // found so far
	head      *head                   // read once it is needed
	undoes    uint64
	redoes    uint64
	schema    int
}

// Record is one changed record: its bucket and key, and the document before
// and after (null: was not there, is gone).
type Record struct {
	Bucket string          `json:"bucket"`
	Key    []byte          `json:"key"` // base64 in JSON
	Before json.RawMessage `json:"before"`
	After  json.RawMessage `json:"after"`
}

// Name says which record this is, in words.
func (r Record) Name() string {
	if c := named(r.Bucket); c != nil {
		return c.nounName() + " " + keyText(r.Key)
	}
	return r.Bucket + " " + keyText(r.Key)
}

// Change is one transaction as the journal keeps it.
type Change struct {
	Seq  uint64    `json:"seq"`
	At   time.Time `json:"at"`
	Verb string    `json:"verb,omitempty"`
	// Ask is what the verb was asked, as JSON, without folder names of this machine.
	Ask json.RawMessage `json:"ask,omitempty"`
	By  string          `json:"by,omitempty"`              // who or which device asked
	Why string          `json:"why,omitempty" own:"words"` // the reason given for a correction

	Undoes  uint64   `json:"undoes,omitempty"` // this change takes that one back
	Redoes  uint64   `json:"redoes,omitempty"` // this change brings that one in again
	Schema  int      `json:"schema,omitempty"` // a migration brought the file to this schema
	Records []Record `json:"records"`
}

func (tx *Tx) bucket(name string) *bolt.Bucket {
	if b := tx.buckets[name]; b != nil {
		return b
	}
	b := tx.btx.Bucket([]byte(name))
	if b == nil {
		panic(missingBucket(name))
	}
	if tx.buckets == nil {
		tx.buckets = map[string]*bolt.Bucket{}
	}
	tx.buckets[name] = b
	return b
}

// empty takes everything out of a bucket that is made from others.
func (tx *Tx) empty(name string) error {
	delete(tx.buckets, name)
	if err := tx.btx.DeleteBucket([]byte(name)); err != nil {
		return err
	}
	_, err := tx.btx.CreateBucket([]byte(name))
	return err
}

// appended is how full bbolt packs the pages of buckets that only grow at the
// end; its own half would leave a 20-year file twice as long.
const appended = 0.95

// write puts or (doc nil) deletes a record with its index entries. A damaged
// record is not written over.
func (tx *Tx) write(c anyCollection, key, doc []byte) error {
	b := tx.bucket(c.name())
	var before []byte
	if value := b.Get(key); value != nil {
		was, err := document(c.nounName(), key, value)
		if err != nil {
			return err
		}
		before = bytes.Clone(was)
	}
	if bytes.Equal(before, doc) {
		return nil
	}
	if len(doc) > maxRecord {
		return tooLarge(c.nounName()+" "+keyText(key), len(doc), maxRecord)
	}
	if err := tx.reindex(c, before, doc); err != nil {
		return err
	}
	var err error
	if doc == nil {
		err = b.Delete(key)
	} else {
		if numbered(key) {
			b.FillPercent = appended
		}
		err = b.Put(key, seal(key, doc))
	}
	if err != nil {
		return fmt.Errorf("%s %s: %w", c.name(), keyText(key), err)
	}
	tx.note(c.name(), key, before, doc)
	if err := tx.touch(c.name(), key, before, doc); err != nil {
		return err
	}
	if c.name() == Necks.bucket {
		delete(tx.necks, string(key))
	}
	return nil
}

// note keeps a changed record for the journal; one changed twice in a
// transaction is one change.
func (tx *Tx) note(bucket string, key, before, after []byte) {
	id := bucket + "\x00" + string(key)
	if i, again := tx.at[id]; again {
		tx.changes[i].After = after
		return
	}
	if tx.at == nil {
		tx.at = map[string]int{}
	}
	tx.at[id] = len(tx.changes)
	tx.changes = append(tx.changes, Record{bucket, bytes.Clone(key), before, after})
}

func (tx *Tx) reindex(c anyCollection, before, after []byte) error {
	old, err := c.rawIndex(before)
	if err != nil {
		return err
	}
	fresh, err := c.rawIndex(after)
	if err != nil {
		return err
	}
	stands := func(list []indexed, e indexed) bool {
		return slices.ContainsFunc(list, func(o indexed) bool { return o.bucket == e.bucket && o.key == e.key })
	}
	for _, e := range old {
		if stands(fresh, e) {
			continue
		}
		if err := tx.bucket(e.bucket).Delete([]byte(e.key)); err != nil {
			return err
		}
	}
	for _, e := range fresh {
		if slices.Contains(old, e) {
			continue
		}
		if err := tx.bucket(e.bucket).Put([]byte(e.key), []byte(e.value)); err != nil {
			return err
		}
	}
	return nil
}

// settle appends the journal entry of the transaction. A transaction that
// changed nothing leaves the file as it was.
func (tx *Tx) settle() (changed bool, err error) {
	var records []Record
	for _, r := range tx.changes {
		if !bytes.Equal(r.Before, r.After) {
			records = append(records, r)
		}
	}
	if len(records) == 0 {
		return false, nil
	}
	if err := tx.freshen(); err != nil {
		return false, err
	}
	seq, err := tx.nextNumber(bucketJournal)
	if err != nil {
		return false, err
	}
	ask, err := withoutFolders(tx.Ask)
	if err != nil {
		return false, err
	}
	raw, err := json.Marshal(Change{Seq: seq, At: tx.Now, Verb: tx.Verb, Ask: ask, By: tx.By, Why: tx.Why, Undoes: tx.undoes, Redoes: tx.redoes, Schema: tx.schema, Records: records})
	if err != nil {
		return false, err
	}
	if len(raw) > maxChange {
		return false, tooLarge("this change", len(raw), maxChange)
	}
	b := tx.bucket(bucketJournal)
	b.FillPercent = appended
	if err := b.Put(idKey(seq), seal(idKey(seq), raw)); err != nil {
		return false, err
	}
	return true, writeHead(tx.bucket(bucketMeta), *tx.head)
}

// Changed says whether anything was written so far.
func (tx *Tx) Changed() bool { return len(tx.changes) > 0 }

// Of says whether this is the numbered record of an owner: revision 2 of quote Q5.
func (r Record) Of(c interface{ name() string }, owner string, n int) bool {
	return r.Bucket == c.name() && bytes.Equal(r.Key, pair(owner, idKey(uint64(n))))
}

// Is says whether this is the record of a numbered collection.
func (r Record) Is(c interface{ name() string }, id uint64) bool {
	return r.Bucket == c.name() && bytes.Equal(r.Key, idKey(id))
}
