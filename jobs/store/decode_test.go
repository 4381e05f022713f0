package store

import (
	"bytes"
	"encoding/json"
	"os"
	"reflect"
	"testing"

	"bookmatch/jobs"

	"github.com/google/go-cmp/cmp"
)

// agrees holds decode against encoding/json on a document that the store could
// have written: the same value.
func agrees(t *testing.T, raw []byte, typ reflect.Type) {
	t.Helper()
	a, b := reflect.New(typ), reflect.New(typ)
	if err := json.Unmarshal(raw, b.Interface()); err != nil {
		t.Errorf("%s: encoding/json says %v", raw, err)
	}
	if err := decode(raw, a.Interface()); err != nil {
		t.Errorf("%s: %v", raw, err)
	} else if !reflect.DeepEqual(a.Interface(), b.Interface()) {
		t.Errorf("%s:\n%s", raw, cmp.Diff(b.Elem().Interface(), a.Elem().Interface(), cmp.Exporter(func(reflect.Type) bool { return true })))
	}
}

func TestDecodeAgreesOnEveryRecord(t *testing.T) {
	path := oneOfEach(t)
	view(t, path, func(tx *Tx) error {
		for _, c := range append([]anyCollection{journalDocuments{}}, collections...) {
			cur := tx.bucket(c.name()).Cursor()
			for k, v := cur.First(); k != nil; k, v = cur.Next() {
				agrees(t, v, c.document())
				var wide bytes.Buffer
				if err := json.Indent(&wide, v, "", "\t"); err != nil {
					return err
				}
				agrees(t, wide.Bytes(), c.document())
				for cut := 0; cut < len(v); cut += 1 + len(v)/40 {
					if err := decode(v[:cut], reflect.New(c.document()).Interface()); err == nil {
						t.Errorf("%s cut after %d bytes is read", c.name(), cut)
					}
				}
			}
		}
		return nil
	})
}

// What is read must not point into the file's memory, which is gone when the
// transaction ends.
func TestDecodeCopies(t *testing.T) {
	raw := []byte(`{"neck":"N1","version":1,"code":"ABCDE","solved":{"posts":[1,2]}}`)
	var p jobs.Plan
	if err := decode(raw, &p); err != nil {
		t.Fatal(err)
	}
	clear(raw)
	if p.Neck != "N1" || p.Code != "ABCDE" || string(p.Solved) != `{"posts":[1,2]}` {
		t.Errorf("the record changed with the bytes it was read from: %+v", p)
	}
}

type journalDocuments struct{ anyCollection }

func (journalDocuments) name() string           { return bucketJournal }
func (journalDocuments) document() reflect.Type { return changeType }

// FuzzDecode: no document makes the reader panic, and what the standard reader
// accepts reads the same once the store has written it.
func FuzzDecode(f *testing.F) {
	for _, s := range []string{
		`{"id":1,"operation":"drill","class":"first","necks":[{"neck":"N1","count":6,"done":true}],"from":"2026-01-06T18:30:00Z","written":"2026-01-06T18:30:00Z"}`,
		`{"id":01}`, `{"id":1.0}`, `{"id":-1}`, `{"id":1e2}`, `{"ID":1}`, `{"id":1,"id":2}`, `{"necks":null}`, `{"necks":[]}`, `{"necks":[null]}`, `{"to":null}`, `{"id":null}`,
		`{"note":"\u0041"}`, "{\"note\":\"\xff\"}", `{"grade":2}`, `{"grade":2.5}`, `{"temp_c":-1.5e-3}`, `{"away":[{"from":"x"}]}`, `null`, `[]`, `{} `, ` {}`, `{}x`, `{"id":18446744073709551615}`, `{"from":1}`, `{"setup_part":1e999}`,
	} {
		f.Add([]byte(s))
	}
	types := []reflect.Type{reflect.TypeFor[jobs.Entry](), reflect.TypeFor[jobs.BitUse](), reflect.TypeFor[jobs.Neck](), reflect.TypeFor[jobs.Lot](), reflect.TypeFor[jobs.Plan](), changeType}
	f.Fuzz(func(t *testing.T, raw []byte) {
		for _, typ := range types {
			_ = decode(raw, reflect.New(typ).Interface())
			v := reflect.New(typ)
			if json.Unmarshal(raw, v.Interface()) != nil {
				continue
			}
			written, err := json.Marshal(v.Interface())
			if err != nil {
				continue // a year that RFC 3339 cannot say
			}
			agrees(t, written, typ)
		}
	})
}

// BenchmarkDecode reads one entry both ways.
func BenchmarkDecode(b *testing.B) {
	document, err := os.ReadFile(fixture(documentSchema))
	if err != nil {
		b.Fatal(err)
	}
	var all struct {
		Records struct {
			Entries []json.RawMessage `json:"entries"`
			Uses    []json.RawMessage `json:"bit_uses"`
			Necks   []json.RawMessage `json:"necks"`
		} `json:"records"`
	}
	if err := json.Unmarshal(document, &all); err != nil {
		b.Fatal(err)
	}
	one := func(name string, raw json.RawMessage, v func() any) {
		b.Run(name+"/decode", func(b *testing.B) {
			for b.Loop() {
				if err := decode(raw, v()); err != nil {
					b.Fatal(err)
				}
			}
		})
		b.Run(name+"/encoding-json", func(b *testing.B) {
			for b.Loop() {
				if err := json.Unmarshal(raw, v()); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
	one("entry", all.Records.Entries[0], func() any { return new(jobs.Entry) })
	one("bit-use", all.Records.Uses[0], func() any { return new(jobs.BitUse) })
	one("neck", all.Records.Necks[0], func() any { return new(jobs.Neck) })
}
