package store

import (
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"

	"bookmatch/costing/money"
	"bookmatch/jobs"

	"github.com/shopspring/decimal"
	bolt "go.etcd.io/bbolt"
)

// madeUp fills any record with made-up values: every field, or most of them. A
// type of field that it does not know fails the test, so that a new field of a
// record cannot be left out of its row unseen.
func madeUp(t testing.TB, rng *rand.Rand, v reflect.Value, all bool) {
	t.Helper()
	if !all && rng.IntN(3) == 0 {
		return
	}
	exact := func() decimal.Decimal {
		if all {
			return decimal.New(1+rng.Int64N(1e9), -2)
		}
		return decimal.New(rng.Int64()-rng.Int64(), int32(rng.IntN(20)-18))
	}
	switch v.Interface().(type) {
	case time.Time:
		zone := []*time.Location{time.UTC, time.FixedZone("", 7200), time.FixedZone("", -16200)}[rng.IntN(3)]
		v.Set(reflect.ValueOf(time.Unix(rng.Int64N(4e9)-1e9, rng.Int64N(2)*rng.Int64N(1e9)).In(zone)))
		return
	case money.Qty:
		v.Set(reflect.ValueOf(money.Qty{Decimal: exact()}))
		return
	case money.Amount:
		v.Set(reflect.ValueOf(money.FromDecimal(exact())))
		return
	}
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			madeUp(t, rng, v.Field(i), all)
		}
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		madeUp(t, rng, v.Elem(), all)
	case reflect.Slice:
		n := 1 + rng.IntN(3)
		v.Set(reflect.MakeSlice(v.Type(), n, n))
		for i := range n {
			madeUp(t, rng, v.Index(i), all)
		}
	case reflect.String:
		v.SetString(strings.Repeat(string(rune('a'+rng.IntN(26)))+"é\x00", 1+rng.IntN(60)))
	case reflect.Bool:
		v.SetBool(true)
	case reflect.Int, reflect.Int64:
		v.SetInt(1 + rng.Int64N(1<<40) - int64(rng.IntN(2))<<41)
	case reflect.Uint64:
		v.SetUint(1 + rng.Uint64N(1<<60))
	case reflect.Float64:
		v.SetFloat(rng.NormFloat64() * 100)
	default:
		t.Fatalf("a field of type %s: tell the rows and this test about it", v.Type())
	}
}

func rowsSay[T any](t *testing.T, name string, c *Collection[T], id func(*T) *uint64) {
	rng := rand.New(rand.NewPCG(3, 9))
	packed := 0
	for i := range 3000 {
		var made, asDocument, asRow T
		madeUp(t, rng, reflect.ValueOf(&made).Elem(), i%3 == 0)
		*id(&made) = uint64(i + 1)
		document, err := json.Marshal(made)
		if err != nil {
			t.Fatal(err)
		}
		if err := decode(document, &asDocument); err != nil {
			t.Fatal(err)
		}
		row, ok := c.rows.pack(&asDocument)
		if !ok {
			continue
		}
		packed++
		if err := c.rows.unpack(uint64(i+1), row, &asRow); err != nil {
			t.Fatalf("%s %s: %v", name, document, err)
		}
		got, err := json.Marshal(asRow)
		if err != nil {
			t.Fatal(err)
		}
		want, _ := json.Marshal(asDocument)
		if string(got) != string(want) {
			t.Fatalf("the row of %s %s says\n%s", name, want, got)
		}
		for n := range row { // cut anywhere, it is refused and not half read
			if i%40 > 0 {
				break
			}
			if err := c.rows.unpack(1, row[:n], new(T)); err == nil {
				t.Fatalf("%d of %d bytes of the row of %s are read", n, len(row), document)
			}
		}
	}
	if packed < 2000 {
		t.Errorf("%s: only %d of 3000 have rows", name, packed)
	}
}

// A row says what the document says, whatever its fields hold.
func TestRowsSayWhatDocumentsSay(t *testing.T) {
	rowsSay(t, "entry", Entries, func(e *jobs.Entry) *uint64 { return &e.ID })
	rowsSay(t, "lot", Lots, func(l *jobs.Lot) *uint64 { return &l.ID })
	rowsSay(t, "use", Uses, func(u *jobs.SupplyUse) *uint64 { return &u.ID })
}

// A quantity too long for a row is read from its document.
func TestWithoutARow(t *testing.T) {
	path := newFile(t)
	long := money.Qty{Decimal: decimal.RequireFromString("0.1234567890123456789012345")}
	update(t, path, start, "supply add", func(tx *Tx) error {
		if err := Put(tx, Supplies, jobs.Supply{Name: "glue", Unit: jobs.UnitGram}); err != nil {
			return err
		}
		id, err := NextID(tx, Uses)
		if err != nil {
			return err
		}
		return Put(tx, Uses, jobs.SupplyUse{ID: id, Supply: "glue", Kind: jobs.UseIssue, Quantity: long, On: start, Written: start})
	})
	mustBeSound(t, path)
	view(t, path, func(tx *Tx) error {
		got, err := By(tx, Uses, UsesBySupply, "glue")
		if err != nil || len(got) != 1 || !got[0].Quantity.Equal(long.Decimal) {
			t.Errorf("%+v, %v", got, err)
		}
		return nil
	})
}

// A row that is not what its record says is found, and one that cannot be read
// ends the command that needs it.
func TestDamagedRow(t *testing.T) {
	for _, c := range []struct {
		name, want string
		change     func([]byte) []byte
	}{
		{"another count", "is not what the record says", func(v []byte) []byte { v[len(v)-1] ^= 1; return v }},
		{"cut off", "is not what the record says", func(v []byte) []byte { return v[:idBytes+3] }},
		{"no row", "is not what the record says", func(v []byte) []byte { return v[:idBytes] }},
		{"another record", "misses uses", func(v []byte) []byte { v[idBytes-1] ^= 0x55; return v }},
	} {
		path := filepath.Join(t.TempDir(), "shop.db")
		grow(t, path, small, 4)
		raw(t, path, func(tx *bolt.Tx) error {
			b := tx.Bucket([]byte(UsesBySupply))
			k, v := b.Cursor().First()
			return b.Put(k, c.change(append([]byte{}, v...)))
		})
		h, err := Check(path)
		if err != nil {
			t.Fatal(err)
		}
		if len(h.Troubles) == 0 || !strings.Contains(fmt.Sprint(h.Troubles), c.want) {
			t.Errorf("%s: %v", c.name, h.Troubles)
		}
		if c.name != "cut off" {
			continue
		}
		view(t, path, func(tx *Tx) error {
			all, err := All(tx, Supplies)
			if err != nil {
				return err
			}
			for _, s := range all {
				if _, err = By(tx, Uses, UsesBySupply, s.Name); err != nil {
					break
				}
			}
			if !errors.Is(err, ErrDamaged) || !errors.Is(err, errRow) {
				t.Errorf("%s: %v", c.name, err)
			}
			return nil
		})
	}
}

// Any bytes are a row or are refused.
func FuzzRow(f *testing.F) {
	rng := rand.New(rand.NewPCG(5, 1))
	for range 8 {
		var e jobs.Entry
		var l jobs.Lot
		var u jobs.SupplyUse
		madeUp(f, rng, reflect.ValueOf(&e).Elem(), true)
		madeUp(f, rng, reflect.ValueOf(&l).Elem(), true)
		madeUp(f, rng, reflect.ValueOf(&u).Elem(), true)
		if row, ok := entryRows.pack(&e); ok {
			f.Add(row)
		}
		if row, ok := lotRows.pack(&l); ok {
			f.Add(row)
		}
		if row, ok := useRows.pack(&u); ok {
			f.Add(row)
		}
	}
	f.Fuzz(func(t *testing.T, row []byte) {
		var u, again jobs.SupplyUse
		if useRows.unpack(1, row, &u) == nil {
			back, ok := useRows.pack(&u)
			if !ok || useRows.unpack(1, back, &again) != nil {
				t.Errorf("%x is read as %+v, which has no row", row, u)
			}
		}
		var e jobs.Entry
		if entryRows.unpack(1, row, &e) == nil {
			back, ok := entryRows.pack(&e)
			if !ok || entryRows.unpack(1, back, new(jobs.Entry)) != nil {
				t.Errorf("%x is read as %+v, which has no row", row, e)
			}
		}
		lotRows.unpack(1, row, new(jobs.Lot))
		if _, err := unpackAges(row, "B-1", jobs.BitClass{}, nil); (err == nil) != (len(row)%packedAge == 0) {
			t.Errorf("%d bytes of ages: %v", len(row), err)
		}
	})
}
