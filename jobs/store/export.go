package store

import (
	"bufio"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
)

// The export is the whole file as one JSON document (RFC 8259), one record a
// line, in the order of the drawing in schema.go and of their keys:
//
//	{
//	"format": "bookmatch export",
//	"schema": 1,
//	"made": "2027-01-05T18:00:00Z",
//	"sequences": {"shop": 0, ..., "entries": 7, ..., "journal": 12},
//	"records": {
//	"shop": [
//	{"name": ...}
//	],
//	...
//	},
//	"journal": [
//	{"seq": 1, "at": ..., "verb": ..., "ask": ..., "records": [{"bucket", "key", "before", "after"}]}
//	],
//	"sum": "1a2b3c4d"
//	}
//
// sequences are the last numbers given, so that none is given again after an
// import. The keys of records in the journal are base64. The sum is the CRC-32C of
// the documents of the records and of the journal in their order, without what
// is between them. Indexes are not in it: an import builds them. The same
// file gives the same bytes.
const exportFormat = "bookmatch export"

// exportHolds is after how many bytes of records an export lets go of the pages it
// read. Records of one operation are scattered, and the system maps up to 2 MB of
// neighbours with each: without it, the whole file counts as this process's memory.
const exportHolds = 1 << 18

// Export writes the document from a copy of the file, so that the bench does not
// wait for a slow reader. Its pages, records, indexes and journal are looked
// at first: what an import would refuse is not written, and ErrDamaged says why. It streams: memory does
// not grow with the file.
func Export(path string, to io.Writer) error {
	s, err := Open(path, Options{ReadOnly: true}) // brings an older file up
	if err != nil {
		return err
	}
	if err := s.Close(); err != nil {
		return err
	}
	m, err := takeCopy(path)
	if err != nil {
		return err
	}
	defer m.Close()
	h := Health{Path: path}
	if m.check(&h, false); !h.Sound() {
		return fmt.Errorf("%w, and nothing was exported: %s", ErrDamaged, h.Troubles[0].Text)
	}
	if s, err = m.open(); err != nil {
		return err
	}
	return errors.Join(s.export(to), s.Close())
}

func (s *Store) export(to io.Writer) error {
	w := bufio.NewWriterSize(to, 1<<18)
	err := s.View(func(tx *Tx) error {
		numbers, err := tx.numbers()
		if err != nil {
			return err
		}
		fmt.Fprintf(w, "{\n\"format\": %q,\n\"schema\": %d,\n\"made\": %q,\n\"sequences\": {", exportFormat, schemaVersion, tx.head.Made)
		for _, c := range collections {
			fmt.Fprintf(w, "%q: %d, ", c.name(), numbers[c.name()])
		}
		fmt.Fprintf(w, "%q: %d},\n\"records\": {", bucketJournal, numbers[bucketJournal])
		x := exporter{w: w}
		for i, c := range collections {
			if i > 0 {
				w.WriteByte(',')
			}
			fmt.Fprintf(w, "\n%q: ", c.name())
			if err := x.list(tx, c.name(), c.nounName()); err != nil {
				return err
			}
		}
		fmt.Fprintf(w, "\n},\n%q: ", bucketJournal)
		if err := x.list(tx, bucketJournal, "change"); err != nil {
			return err
		}
		_, err = fmt.Fprintf(w, ",\n\"sum\": %q\n}\n", sumText(x.sum))
		return err
	})
	if err != nil {
		return err
	}
	return w.Flush()
}

// exporter writes documents and sums them up.
type exporter struct {
	w    *bufio.Writer
	sum  uint32
	read int // bytes since pages were let go of
}

// list writes the documents of a bucket as they are, one a line. A document
// that is not as it was written ends it with a *DamagedRecordError.
func (x *exporter) list(tx *Tx, bucket, noun string) error {
	x.w.WriteByte('[')
	cur := tx.bucket(bucket).Cursor()
	sep := "\n"
	for k, v := cur.First(); k != nil; k, v = cur.Next() {
		doc, err := document(noun, k, v)
		if err != nil {
			return err
		}
		x.sum = crc32.Update(x.sum, castagnoli(), doc)
		x.w.WriteString(sep)
		if _, err := x.w.Write(doc); err != nil {
			return err
		}
		sep = ",\n"
		if x.read += len(v); x.read > exportHolds {
			letGo(tx.of.db, tx.btx.Size())
			x.read = 0
		}
	}
	if sep != "\n" {
		x.w.WriteByte('\n')
	}
	return x.w.WriteByte(']')
}
