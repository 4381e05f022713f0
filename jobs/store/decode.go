package store

import (
	"encoding/json"

	"bookmatch/jobs"

	fastjson "github.com/segmentio/encoding/json"
)

// decode reads a document of the store into a zero value. Reading a long log is
// mostly decoding; this library reads it about three times as fast as the
// standard one and copies what it keeps, so nothing points into the file. A
// fuzz test holds the two together.
func decode(raw []byte, v any) error { return fastjson.Unmarshal(raw, v) }

// learn has the reader work out how the records of every command are read. It
// takes as long as opening the file does, and happens beside it.
func learn() {
	empty := []byte("{}")
	decode(empty, new(jobs.Shop))
	decode(empty, new(jobs.Operation))
	decode(empty, new(jobs.Entry))
	decode(empty, new(jobs.Neck))
	json.Marshal(jobs.Entry{})
	json.Marshal(Change{Records: []Record{{}}})
}
