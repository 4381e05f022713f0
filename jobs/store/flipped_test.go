package store

import (
	"bytes"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"bookmatch/costing/money"
	"bookmatch/jobs"
)

// readings are what reports ask the store for, as text.
var readings = map[string]func(tx *Tx) (any, error){
	"necks":             func(tx *Tx) (any, error) { return All(tx, Necks) },
	"entries":           func(tx *Tx) (any, error) { return All(tx, Entries) },
	"operations":        func(tx *Tx) (any, error) { return All(tx, Operations) },
	"lots":              func(tx *Tx) (any, error) { return All(tx, Lots) },
	"uses":              func(tx *Tx) (any, error) { return All(tx, Uses) },
	"bits":              func(tx *Tx) (any, error) { return tx.BitBook() },
	"lives":             func(tx *Tx) (any, error) { return tx.BitBookLives() },
	"shop":              func(tx *Tx) (any, error) { v, _, err := Get(tx, Shops, "shop"); return v, err },
	"history":           func(tx *Tx) (any, error) { return tx.History(RecordName{}, 0) },
	"entries by a neck": func(tx *Tx) (any, error) { return By(tx, Entries, EntriesByNeck, "N1") },
	"uses by a supply":  func(tx *Tx) (any, error) { return By(tx, Uses, UsesBySupply, "supply-000") },
}

// read gives every reading of a file; one that could not be is its error.
func read(path string) (out map[string]string, errs map[string]error) {
	out, errs = map[string]string{}, map[string]error{}
	s, err := Open(path, Options{ReadOnly: true, Now: at(start)})
	if err != nil {
		for name := range readings {
			errs[name] = err
		}
		return out, errs
	}
	defer s.Close()
	for name, get := range readings {
		err := s.View(func(tx *Tx) error {
			v, err := get(tx)
			out[name] = fmt.Sprintf("%+v", v)
			return err
		})
		if err != nil {
			errs[name] = err
		}
	}
	return out, errs
}

// valuesIn finds where in the image of a file the sealed values of buckets lie.
func valuesIn(t *testing.T, path string, image []byte) (places []int) {
	t.Helper()
	view(t, path, func(tx *Tx) error {
		for _, name := range append([]string{bucketMeta}, bucketNames()...) {
			if strings.HasPrefix(name, indexPrefix) && name != BitSummaries {
				continue
			}
			cur := tx.bucket(name).Cursor()
			for k, v := cur.First(); k != nil; k, v = cur.Next() {
				if at := bytes.Index(image, append(bytes.Clone(k), v...)); at >= 0 {
					places = append(places, at+len(k)+len(v)/2, at+len(k), at)
				}
			}
		}
		return nil
	})
	return places
}

// One flipped byte in many places. In a stored value or its key every
// reading is refused as damage or gives what it gave before; anywhere else too, or
// data check finds it. An export that is written is the one from before.
func TestOneFlippedByte(t *testing.T) {
	path := newFile(t)
	grow(t, path, size{entries: 300, necks: 8, bits: 6, bitUses: 60, supplies: 5, lots: 20}, 3)
	image, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	want, errs := read(path)
	if len(errs) > 0 {
		t.Fatal(errs)
	}
	document := export(t, path)
	values := valuesIn(t, path, image)
	if len(values) < 1000 {
		t.Fatalf("only %d places in values", len(values))
	}
	seed := uint64(17)
	t.Logf("seed %d", seed)
	rng := rand.New(rand.NewPCG(seed, 5))
	hurt := filepath.Join(t.TempDir(), "shop.db")
	refused, same, found := 0, 0, 0
	used := int(usedBytes(t, path))
	for i := range 50 * scale() {
		at, inValue := rng.IntN(used), i%2 == 0
		if inValue {
			at = values[rng.IntN(len(values))]
		}
		b := bytes.Clone(image)
		b[at] ^= 1 << rng.IntN(8)
		if err := os.WriteFile(hurt, b, 0o600); err != nil {
			t.Fatal(err)
		}
		pages, err := CheckPages(hurt)
		if err != nil || len(pages) > 0 {
			found++ // bbolt could run for ever on such pages
			continue
		}
		got, errs := read(hurt)
		bad := false
		for name := range readings {
			switch {
			case errs[name] != nil && !errors.Is(errs[name], ErrDamaged):
				t.Errorf("byte %d: %s: %v", at, name, errs[name])
			case errs[name] == nil && got[name] != want[name]:
				bad = true
				if inValue {
					t.Errorf("byte %d in a value: %s reads otherwise", at, name)
				}
			}
		}
		switch h, err := Check(hurt); {
		case err != nil || !h.Sound():
			found++
		case bad:
			t.Errorf("byte %d: a reading changed and data check finds nothing", at)
		}
		if len(errs) > 0 {
			refused++
		} else {
			same++
		}
		var out bytes.Buffer
		if err := Export(hurt, &out); err == nil && !bytes.Equal(out.Bytes(), document) {
			t.Errorf("byte %d: the export is another", at)
		} else if err != nil && !errors.Is(err, ErrDamaged) {
			t.Errorf("byte %d: export: %v", at, err)
		}
	}
	t.Logf("%d refused, %d read as before, %d found by the check", refused, same, found)
	if refused == 0 || found == 0 {
		t.Error("nothing was noticed")
	}
}

// A damaged record is named with what to type, is not written over, and nothing
// is taken back over it.
func TestDamagedRecordIsNamed(t *testing.T) {
	path := newFile(t)
	grow(t, path, small, 1)
	flipIn(t, path, "lots", idKey(2))
	var damage *DamagedRecordError
	try := func(fn func(tx *Tx) error) error { return tryUpdate(path, start, "odd", fn) }
	for name, fn := range map[string]func(tx *Tx) error{
		"read":     func(tx *Tx) error { _, _, err := GetID(tx, Lots, 2); return err },
		"read all": func(tx *Tx) error { _, err := All(tx, Lots); return err },
		"walk": func(tx *Tx) error {
			for _, err := range Each(tx, Lots) {
				if err != nil {
					return err
				}
			}
			return nil
		},
		"write": func(tx *Tx) error {
			return Put(tx, Lots, jobs.Lot{ID: 2, Supply: "supply-000", Source: jobs.SourceBought, Received: start, Quantity: money.QtyOf(1)})
		},
		"take back": func(tx *Tx) error {
			for c, err := range Changes(tx, true) {
				if err != nil {
					return err
				}
				for _, r := range c.Records {
					if r.Bucket == Lots.bucket && keyNumber(r.Key) == 2 {
						return tx.reverse(c)
					}
				}
			}
			return nil
		},
		"delete": func(tx *Tx) error { return Delete(tx, Lots, jobs.Lot{ID: 2}) },
	} {
		err := try(fn)
		if !errors.As(err, &damage) || !errors.Is(err, ErrDamaged) || damage.Noun != "lot" || damage.Key != "2" {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if !strings.Contains(damage.Hint(), "data check") || !strings.Contains(damage.Hint(), "data restore") {
			t.Errorf("%s: hint %q", name, damage.Hint())
		}
	}
}
