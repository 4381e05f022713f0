package store

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"slices"
	"time"

	"bookmatch/jobs"

	bolt "go.etcd.io/bbolt"
)

func buildFrom(path string, r io.Reader) error {
	db, err := bolt.Open(path, 0o600, &bolt.Options{Timeout: DefaultTimeout, NoSync: true, FreelistType: bolt.FreelistMapType})
	if err != nil {
		return err
	}
	b := &builder{db: db}
	err = b.read(newExportReader(r))
	if err == nil {
		err = b.flush()
	}
	if b.tx != nil {
		b.tx.Rollback()
	}
	if err == nil {
		err = db.Update(func(tx *bolt.Tx) error { return (&Tx{btx: tx}).rebuildIndexes() })
	}
	if err == nil {
		err = db.Sync()
	}
	return errors.Join(err, db.Close())
}

// builder puts documents into a new file, some thousands a transaction.
type builder struct {
	db    *bolt.DB
	tx    *bolt.Tx
	bytes int
	count int
	sum   uint32 // of the documents so far
}

func (b *builder) bucket(name string) (*bolt.Bucket, error) {
	if b.tx == nil {
		tx, err := b.db.Begin(true)
		if err != nil {
			return nil, err
		}
		b.tx = tx
	}
	return b.tx.Bucket([]byte(name)), nil
}

func (b *builder) put(name string, key, doc []byte) error {
	if b.count++; b.bytes > 8<<20 || b.count > 20000 {
		if err := b.flush(); err != nil {
			return err
		}
	}
	b.bytes += len(doc)
	b.sum = crc32.Update(b.sum, castagnoli(), doc)
	bucket, err := b.bucket(name)
	if err != nil {
		return err
	}
	bucket.FillPercent = appended
	return bucket.Put(key, seal(key, doc))
}

func (b *builder) flush() error {
	if b.tx == nil {
		return nil
	}
	err := b.tx.Commit()
	b.tx, b.bytes, b.count = nil, 0, 0
	return err
}

// read takes the document in its one order.
func (b *builder) read(d *exportReader) error {
	if err := d.delim('{', "$"); err != nil {
		return err
	}
	var format, made string
	var version int
	sequences := map[string]uint64{}
	for _, m := range []struct {
		name string
		to   any
	}{{"format", &format}, {"schema", &version}, {"made", &made}, {"sequences", &sequences}} {
		if err := d.member(m.name, "$"); err != nil {
			return err
		}
		raw, err := d.element("$."+m.name, maxRecord)
		if err != nil {
			return err
		}
		if err := json.Unmarshal(raw, m.to); err != nil {
			return d.bad("$."+m.name, "%v", err)
		}
		switch {
		case m.name == "format" && format != exportFormat:
			return d.bad("$.format", "is %q and must be %q", format, exportFormat)
		case m.name == "schema" && version != schemaVersion:
			return d.bad("$.schema", "is %d; this program reads %d", version, schemaVersion)
		case m.name == "made":
			if _, err := time.Parse(time.RFC3339, made); err != nil {
				return d.bad("$.made", "is no RFC 3339 time")
			}
		}
	}
	if err := b.begin(d, made, sequences); err != nil {
		return err
	}
	if err := d.member("records", "$"); err != nil {
		return err
	}
	if err := d.delim('{', "$.records"); err != nil {
		return err
	}
	for _, c := range collections {
		if err := d.member(c.name(), "$.records"); err != nil {
			return err
		}
		if err := b.records(d, c); err != nil {
			return err
		}
	}
	if err := d.delim('}', "$.records"); err != nil {
		return err
	}
	if err := d.member(bucketJournal, "$"); err != nil {
		return err
	}
	if err := b.journal(d, sequences[bucketJournal]); err != nil {
		return err
	}
	if err := d.member("sum", "$"); err != nil {
		return err
	}
	raw, err := d.element("$.sum", maxRecord)
	if err != nil {
		return err
	}
	if sum := sumText(b.sum); string(raw) != fmt.Sprintf("%q", sum[:]) {
		return d.bad("$.sum", "does not match: a record or a change is not as it was exported")
	}
	return d.end()
}

// begin makes the buckets with their sequences.
func (b *builder) begin(d *exportReader, made string, sequences map[string]uint64) error {
	if _, err := b.bucket(bucketMeta); err != nil {
		return err
	}
	if err := ensureBuckets(b.tx); err != nil {
		return err
	}
	meta, err := b.tx.CreateBucket([]byte(bucketMeta))
	if err != nil {
		return err
	}
	names := []string{bucketJournal}
	for _, c := range collections {
		names = append(names, c.name())
	}
	for _, name := range names {
		n, ok := sequences[name]
		if !ok {
			return d.bad("$.sequences", "%q is missing", name)
		}
		if n == 0 {
			delete(sequences, name) // as a file has it that gave none
		}
	}
	for _, name := range jobs.SortedKeys(sequences) {
		if !slices.Contains(names, name) {
			return d.bad("$.sequences."+clip(name), "is not known to this program")
		}
	}
	return writeHead(meta, head{Schema: schemaVersion, Made: made, Numbers: sequences})
}

func (b *builder) records(d *exportReader, c anyCollection) error {
	return d.list("$.records."+c.name(), maxRecord, func(raw []byte, at string) error {
		if err := strictForm(raw, c.document()); err != nil {
			return d.inside(at, err)
		}
		key, err := c.strict(raw)
		if err != nil {
			return d.inside(at, err)
		}
		if d.last != nil && bytes.Compare(d.last, key) >= 0 {
			return d.bad(at, "comes twice or out of order: %s", keyText(key))
		}
		d.last = bytes.Clone(key)
		return b.put(c.name(), key, raw)
	})
}

func (b *builder) journal(d *exportReader, sequence uint64) error {
	seq := uint64(0)
	err := d.list("$."+bucketJournal, maxChange, func(raw []byte, at string) error {
		if err := strictForm(raw, changeType); err != nil {
			return d.inside(at, err)
		}
		seq++
		var c Change
		if err := json.Unmarshal(raw, &c); err != nil {
			return d.inside(at, err)
		}
		if c.Seq != seq {
			return d.bad(at+".seq", "is %d and must be %d", c.Seq, seq)
		}
		return b.put(bucketJournal, idKey(seq), raw)
	})
	if err == nil && seq != sequence {
		err = d.bad("$."+bucketJournal, "has %d changes where %d were written", seq, sequence)
	}
	return err
}
