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

// same compares the quick way with encoding/json: the same value or both an
// error.
func same(t *testing.T, raw []byte, typ reflect.Type) (quickly bool) {
	t.Helper()
	a, b, c := reflect.New(typ), reflect.New(typ), reflect.New(typ)
	errA, errB := decode(raw, a.Interface()), json.Unmarshal(raw, b.Interface())
	if (errA == nil) != (errB == nil) {
		t.Errorf("%s: the quick way says %v, encoding/json %v", raw, errA, errB)
	}
	if errA == nil && !reflect.DeepEqual(a.Interface(), b.Interface()) {
		t.Errorf("%s:\n%s", raw, cmp.Diff(b.Elem().Interface(), a.Elem().Interface(), cmp.Exporter(func(reflect.Type) bool { return true })))
	}
	d := quick{b: raw}
	p := planOf(typ)
	return p.set != nil && p.set(&d, c.Elem()) && d.atEnd()
}

func TestQuickReaderAgreesOnEveryRecord(t *testing.T) {
	path := oneOfEach(t)
	view(t, path, func(tx *Tx) error {
		for _, c := range append([]anyCollection{journalDocuments{}}, collections...) {
			n, quickly := 0, 0
			cur := tx.bucket(c.name()).Cursor()
			for k, v := cur.First(); k != nil; k, v = cur.Next() {
				n++
				if same(t, v, c.document()) {
					quickly++
				}
				var wide bytes.Buffer
				if err := json.Indent(&wide, v, "", "\t"); err != nil {
					return err
				}
				same(t, wide.Bytes(), c.document())
				for cut := 0; cut < len(v); cut += 1 + len(v)/40 {
					same(t, v[:cut], c.document())
				}
			}
			if n > 0 && quickly*3 < n {
				t.Errorf("%s: only %d of %d records are read the quick way", c.name(), quickly, n)
			}
		}
		return nil
	})
}

type journalDocuments struct{ anyCollection }

func (journalDocuments) name() string           { return bucketJournal }
func (journalDocuments) document() reflect.Type { return changeType }

func FuzzQuickReader(f *testing.F) {
	for _, s := range []string{
		`{"id":1,"kind":"drill","class":"first","necks":[{"neck":"N1","count":6,"done":true}],"from":"2026-01-06T18:30:00Z","written":"2026-01-06T18:30:00Z"}`,
		`{"id":01}`, `{"id":1.0}`, `{"id":-1}`, `{"id":1e2}`, `{"ID":1}`, `{"id":1,"id":2}`, `{"necks":null}`, `{"necks":[]}`, `{"necks":[null]}`, `{"to":null}`, `{"id":null}`,
		`{"note":"\u0041"}`, "{\"note\":\"\xff\"}", `{"grade":2}`, `{"grade":2.5}`, `{"temp_c":-1.5e-3}`, `{"away":[{"from":"x"}]}`, `null`, `[]`, `{} `, ` {}`, `{}x`, `{"id":18446744073709551615}`, `{"from":1}`, `{"setup_part":1e999}`,
	} {
		f.Add([]byte(s))
	}
	types := []reflect.Type{reflect.TypeFor[jobs.Entry](), reflect.TypeFor[jobs.BitUse](), reflect.TypeFor[jobs.Neck](), reflect.TypeFor[jobs.Lot](), reflect.TypeFor[jobs.Plan](), changeType}
	f.Fuzz(func(t *testing.T, raw []byte) {
		for _, typ := range types {
			same(t, raw, typ)
		}
	})
}

// BenchmarkDecode reads one entry both ways.
func BenchmarkDecode(b *testing.B) {
	document, err := os.ReadFile(fixture(schemaVersion))
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
		b.Run(name+"/quick", func(b *testing.B) {
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
