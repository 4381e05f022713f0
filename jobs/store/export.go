package store

import (
	"bufio"
	"encoding/json"
	"fmt"
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
//	{"seq": 1, "at": ..., "command": ..., "records": [{"bucket", "key", "before", "after"}], "sum": ...}
//	]
//	}
//
// sequences are the last numbers given, so that none is given again after an
// import. The keys of records in the journal are base64; sum is the CRC-32C of
// the line without its sum. Indexes are not in it: an import builds them. The
// same file gives the same bytes.
const exportFormat = "bookmatch export"

// exportHolds is after how many bytes of records an export lets go of the pages it
// read. Records of one operation lie scattered, and the system maps up to 2 MB of
// neighbours with each: without it, the whole file counts as this process's memory.
const exportHolds = 1 << 18

// Export writes the document. It streams: memory does not grow with the file.
func (s *Store) Export(to io.Writer) error {
	w := bufio.NewWriterSize(to, 1<<18)
	err := s.View(func(tx *Tx) error {
		meta := tx.bucket(bucketMeta)
		made, err := json.Marshal(string(meta.Get([]byte(keyMade))))
		if err != nil {
			return err
		}
		fmt.Fprintf(w, "{\n\"format\": %q,\n\"schema\": %d,\n\"made\": %s,\n\"sequences\": {", exportFormat, documentSchema, made)
		for _, c := range collections {
			fmt.Fprintf(w, "%q: %d, ", c.name(), tx.bucket(c.name()).Sequence())
		}
		fmt.Fprintf(w, "%q: %d},\n\"records\": {", bucketJournal, tx.bucket(bucketJournal).Sequence())
		for i, c := range collections {
			if i > 0 {
				w.WriteByte(',')
			}
			fmt.Fprintf(w, "\n%q: ", c.name())
			if err := tx.exportList(w, c.name()); err != nil {
				return err
			}
		}
		fmt.Fprintf(w, "\n},\n%q: ", bucketJournal)
		if err := tx.exportList(w, bucketJournal); err != nil {
			return err
		}
		_, err = w.WriteString("\n}\n")
		return err
	})
	if err != nil {
		return err
	}
	return w.Flush()
}

// exportList writes the documents of a bucket as they stand, one a line.
func (tx *Tx) exportList(w *bufio.Writer, bucket string) error {
	w.WriteByte('[')
	cur := tx.bucket(bucket).Cursor()
	sep, read := "\n", 0
	for k, v := cur.First(); k != nil; k, v = cur.Next() {
		if !json.Valid(v) {
			return fmt.Errorf("%w: %s %s cannot be read", ErrDamaged, bucket, keyText(k))
		}
		w.WriteString(sep)
		if _, err := w.Write(v); err != nil {
			return err
		}
		sep = ",\n"
		if read += len(v); read > exportHolds {
			letGo(tx.of.db, tx.btx.Size())
			read = 0
		}
	}
	if sep != "\n" {
		w.WriteByte('\n')
	}
	return w.WriteByte(']')
}
