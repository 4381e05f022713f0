package store

import (
	"bytes"
	"encoding/binary"
	"errors"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"bookmatch/jobs"

	bolt "go.etcd.io/bbolt"
)

func TestSoundFileIsSound(t *testing.T) {
	path := newFile(t)
	grow(t, path, small, 1)
	before, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	h := mustBeSound(t, path)
	if h.Schema != schemaVersion || h.Changes < 80 || h.Indexed < 3*small.entries {
		t.Errorf("got %+v", h)
	}
	after, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(before, after) {
		t.Error("the check changed the file")
	}
}

// raw changes the file below the journal.
func raw(t *testing.T, path string, fn func(tx *bolt.Tx) error) {
	t.Helper()
	db, err := bolt.Open(path, 0o600, nil)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	if err := db.Update(fn); err != nil {
		t.Fatal(err)
	}
}

func TestCheckFindsWhatIsWrong(t *testing.T) {
	put := func(bucket string, key, value []byte) func(*bolt.Tx) error {
		return func(tx *bolt.Tx) error { return tx.Bucket([]byte(bucket)).Put(key, value) }
	}
	sealed := func(bucket string, key, doc []byte) func(*bolt.Tx) error { return put(bucket, key, seal(key, doc)) }
	drop := func(bucket string, key []byte) func(*bolt.Tx) error {
		return func(tx *bolt.Tx) error { return tx.Bucket([]byte(bucket)).Delete(key) }
	}
	change := func(bucket string, key []byte, from, to string) func(*bolt.Tx) error {
		return func(tx *bolt.Tx) error {
			b := tx.Bucket([]byte(bucket))
			v := bytes.Replace(b.Get(key)[sealLen:], []byte(from), []byte(to), 1)
			if bytes.Equal(v, b.Get(key)[sealLen:]) {
				return errors.New("nothing to change in " + string(v))
			}
			return b.Put(key, seal(key, v))
		}
	}
	// flip changes a value and not its sum.
	flip := func(bucket string, key []byte) func(*bolt.Tx) error {
		return func(tx *bolt.Tx) error {
			b := tx.Bucket([]byte(bucket))
			v := bytes.Clone(b.Get(key))
			v[len(v)-3] ^= 1
			return b.Put(key, v)
		}
	}
	cases := []struct {
		name, where, text string
		harm              func(*bolt.Tx) error
	}{
		{"record that is no JSON", "record", "entry 3", sealed("entries", idKey(3), []byte("{"))},
		{"record with a value that cannot be", "record", "abrasion", change("woods", []byte("hard-maple"), `"abrasion":1`, `"abrasion":-1`)},
		{"record under the key of another", "record", "is stored under the key", func(tx *bolt.Tx) error {
			b := tx.Bucket([]byte("necks"))
			return b.Put([]byte("N9"), seal([]byte("N9"), b.Get([]byte("N1"))[sealLen:]))
		}},
		{"record and its sum under the key of another", "record", "checksum does not match", func(tx *bolt.Tx) error {
			b := tx.Bucket([]byte("necks"))
			return b.Put([]byte("N9"), b.Get([]byte("N1")))
		}},
		{"flipped bit in a record", "record", "entry 2 in the workshop file is damaged: its checksum", flip("entries", idKey(2))},
		{"flipped bit in the head", "pages", "its checksum", flip(bucketMeta, []byte(keyHead))},
		{"flipped bit in a summary", "record", "its checksum", flip(BitSummaries, []byte("S10-1"))},
		{"record altered behind the journal", "journal", "is not as the journal has it", change("entries", idKey(2), `"count":`, `"count":1`)},
		{"record that came from nowhere", "journal", "is not in the journal", sealed("woods", []byte("apple"), []byte(`{"wood":"apple","title":"","abrasion":1,"tear_out":0,"source":""}`))},
		{"record that is gone", "journal", "is in the journal but not among the records", drop("woods", []byte("hard-maple"))},
		{"index entry that is gone", "index", "misses", func(tx *bolt.Tx) error {
			k, _ := tx.Bucket([]byte(EntriesByTime)).Cursor().First()
			return tx.Bucket([]byte(EntriesByTime)).Delete(k)
		}},
		{"index entry too many", "index", "entries where the records ask for", put(EntriesByNeck, []byte("N1\x00aaaaaaaa\x00bbbbbbbb"), idKey(1))},
		{"index entry to another record", "index", "misses", func(tx *bolt.Tx) error {
			k, _ := tx.Bucket([]byte(EntriesByOperation)).Cursor().First()
			return tx.Bucket([]byte(EntriesByOperation)).Put(bytes.Clone(k), idKey(39))
		}},
		{"change that is gone", "journal", "are missing", drop("journal", idKey(5))},
		{"newest change gone", "journal", "the newest change is", func(tx *bolt.Tx) error {
			k, _ := tx.Bucket([]byte("journal")).Cursor().Last()
			return tx.Bucket([]byte("journal")).Delete(k)
		}},
		{"change altered", "record", "change 6 in the workshop file is damaged", flip("journal", idKey(6))},
		{"number that would be given again", "sequence", "entries would give number 5 again", change(bucketMeta, []byte(keyHead), `"entries":39`, `"entries":4`)},
		{"bucket of nobody", "record", `the file holds "other"`, func(tx *bolt.Tx) error { _, err := tx.CreateBucket([]byte("other")); return err }},
		{"bucket that is gone", "pages", `has no "lots" in it`, func(tx *bolt.Tx) error { return tx.DeleteBucket([]byte("lots")) }},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "shop.db")
			grow(t, path, small, 1)
			raw(t, path, c.harm)
			h, err := Check(path)
			if err != nil {
				t.Fatal(err)
			}
			for _, f := range h.Troubles {
				if f.Where == c.where && strings.Contains(f.Text, c.text) {
					return
				}
			}
			t.Errorf("not found among %v", h.Troubles)
		})
	}
}

func TestCheckFindsBrokenReferences(t *testing.T) {
	path := newFile(t)
	grow(t, path, small, 1)
	update(t, path, start, "odd", func(tx *Tx) error {
		for _, id := range []uint64{901, 902} {
			e := jobs.Entry{ID: id, Operation: "whittle", Class: jobs.First, Shares: []jobs.Share{{Neck: "N99"}}, From: start}
			if err := Put(tx, Entries, e); err != nil {
				return err
			}
		}
		n, err := tx.numbers()
		n["entries"] = 1000
		return err
	})
	h, err := Check(path)
	if err != nil {
		t.Fatal(err)
	}
	var text strings.Builder
	for _, f := range h.Troubles {
		text.WriteString(f.Where + ": " + f.Text + "\n")
	}
	for _, want := range []string{`reference: entry 901 is of the operation "whittle"`, `reference: entry 902 is work on neck "N99"`, "reference: 2 entries are on at once"} {
		if !strings.Contains(text.String(), want) {
			t.Errorf("%q is not among\n%s", want, text.String())
		}
	}
}

func TestCheckTellsOfOpenAccess(t *testing.T) {
	path := newFile(t)
	if err := os.Chmod(path, 0o644); err != nil {
		t.Fatal(err)
	}
	h, err := Check(path)
	if err != nil || len(h.Troubles) != 1 || h.Troubles[0].Where != "access" {
		t.Errorf("got %v, %v", h.Troubles, err)
	}
}

// pageKinds sorts the pages of a file by what they are, as bbolt's format has
// it (see pages.go).
func pageKinds(image []byte, size int) map[string][]int {
	kinds := map[string][]int{}
	names := map[uint16]string{pageBranch: "branch", pageLeaf: "leaf", pageMeta: "meta", pageFree: "freelist"}
	for i := 0; i+1 <= len(image)/size; {
		p := image[i*size:]
		over := int(binary.NativeEndian.Uint32(p[12:]))
		kinds[names[binary.NativeEndian.Uint16(p[8:])]] = append(kinds[names[binary.NativeEndian.Uint16(p[8:])]], i)
		i += 1 + max(min(over, 1000), 0)
	}
	return kinds
}

// Flipped bytes in each kind of page: whatever is hit, no reader and no check
// may crash or hang, and damage to anything that is in use must be noticed.
// Where the file still passes, it must hold what it held before.
func TestFlippedBytesAreNoticed(t *testing.T) {
	path := newFile(t)
	grow(t, path, size{entries: 600, necks: 20, bits: 10, bitUses: 100, supplies: 10, lots: 40}, 3)
	image, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	pageSize := os.Getpagesize()
	want := digest(t, path)
	seed := uint64(11)
	t.Logf("seed %d", seed)
	rng := rand.New(rand.NewPCG(seed, 5))
	kinds := pageKinds(image, pageSize)
	hurt := filepath.Join(t.TempDir(), "shop.db")
	for _, kind := range []string{"meta", "freelist", "branch", "leaf"} {
		pages := kinds[kind]
		if len(pages) == 0 {
			t.Fatalf("the file has no %s page", kind)
		}
		noticed, harmless := 0, 0
		for range 12 * scale() {
			b := bytes.Clone(image)
			page := pages[rng.IntN(len(pages))]
			span := pageSize
			switch kind {
			case "meta", "freelist":
				span = 96 // beyond lies nothing
			case "branch":
				span = 200
			}
			for range 1 + rng.IntN(3) {
				b[page*pageSize+rng.IntN(span)] ^= byte(1 + rng.IntN(255))
			}
			if err := os.WriteFile(hurt, b, 0o600); err != nil {
				t.Fatal(err)
			}
			h, err := Check(hurt)
			switch {
			case err != nil || !h.Sound():
				noticed++
			default:
				harmless++ // a free page, or a byte that nothing reads
				if got := digest(t, hurt); got != want {
					t.Errorf("%s page %d: passed, but the records differ", kind, page)
				}
			}
			if pages, err := CheckPages(hurt); err == nil && len(pages) == 0 {
				readAll(hurt) // must not crash, whatever it says
			}
		}
		t.Logf("%s: %d noticed, %d without effect", kind, noticed, harmless)
		if noticed == 0 {
			t.Errorf("%s: nothing was noticed", kind)
		}
	}
}

// A page that names itself as its own child would send bbolt into a recursion
// without end.
func TestPageThatIsItsOwnChild(t *testing.T) {
	path := newFile(t)
	grow(t, path, size{entries: 600, necks: 20, bits: 10, bitUses: 100, supplies: 10, lots: 40}, 3)
	image, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	pageSize := os.Getpagesize()
	for _, p := range pageKinds(image, pageSize)["branch"] {
		at := p * pageSize
		binary.NativeEndian.PutUint64(image[at+pageHeader+8:], uint64(p))
	}
	if err := os.WriteFile(path, image, 0o600); err != nil {
		t.Fatal(err)
	}
	h, err := Check(path)
	if err != nil || h.Sound() || h.Troubles[0].Where != "pages" {
		t.Errorf("got %v, %v", h.Troubles, err)
	}
}

func TestTruncatedFilesAreNoticed(t *testing.T) {
	path := newFile(t)
	grow(t, path, small, 1)
	image, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	used := int(usedBytes(t, path))
	hurt := filepath.Join(t.TempDir(), "shop.db")
	for _, n := range []int{1, 100, 4096, 8192, 8193, 12288, used / 3, used / 2, used - 4096, used - 1} {
		if err := os.WriteFile(hurt, image[:n], 0o600); err != nil {
			t.Fatal(err)
		}
		h, err := Check(hurt)
		if err == nil && h.Sound() {
			t.Errorf("cut to %d of %d bytes: not noticed", n, used)
		}
		// An ordinary reader meets the hole as a memory fault: an error, no crash.
		if err := readAll(hurt); err != nil && !errors.Is(err, ErrDamaged) {
			t.Errorf("cut to %d bytes: %v", n, err)
		}
	}
}

func usedBytes(t *testing.T, path string) (n int64) {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	w := &pageWalk{f: f}
	a, _ := w.readMeta(0)
	b, _ := w.readMeta(int64(a.pageSize))
	return int64(max(a.pages, b.pages)) * int64(a.pageSize)
}

// readAll reads every record and change like a report would.
func readAll(path string) error {
	s, err := Open(path, Options{ReadOnly: true})
	if err != nil {
		return err
	}
	defer s.Close()
	return s.View(func(tx *Tx) error {
		for _, c := range collections {
			cur := tx.bucket(c.name()).Cursor()
			for k, v := cur.First(); k != nil; k, v = cur.Next() {
				doc, err := document(c.nounName(), k, v)
				if err == nil {
					_, err = c.check(k, doc)
				}
				if err != nil {
					return errors.Join(ErrDamaged, err)
				}
			}
		}
		for _, err := range Changes(tx, false) {
			if err != nil {
				return err
			}
		}
		return nil
	})
}

// Whatever bytes lie there, the walk over the pages ends with an answer.
func FuzzCheckPages(f *testing.F) {
	path := filepath.Join(f.TempDir(), "seed.db")
	db, err := bolt.Open(path, 0o600, &bolt.Options{PageSize: 1024})
	if err != nil {
		f.Fatal(err)
	}
	err = db.Update(func(tx *bolt.Tx) error {
		b, err := tx.CreateBucket([]byte("b"))
		if err != nil {
			return err
		}
		for i := range 60 {
			if err := b.Put(idKey(uint64(i)), bytes.Repeat([]byte{byte(i)}, 40)); err != nil {
				return err
			}
		}
		_, err = tx.CreateBucket([]byte("small"))
		return err
	})
	if err := errors.Join(err, db.Close()); err != nil {
		f.Fatal(err)
	}
	image, err := os.ReadFile(path)
	if err != nil {
		f.Fatal(err)
	}
	f.Add(image, 2048, byte(1))
	f.Add(image, 2060, byte(255))
	f.Add(image[:3000], 0, byte(0))
	f.Add([]byte("short"), 0, byte(0))
	f.Fuzz(func(t *testing.T, b []byte, at int, flip byte) {
		if at >= 0 && at < len(b) {
			b = bytes.Clone(b)
			b[at] ^= flip
		}
		path := filepath.Join(t.TempDir(), "shop.db")
		if err := os.WriteFile(path, b, 0o600); err != nil {
			t.Fatal(err)
		}
		if _, err := CheckPages(path); err != nil && !errors.Is(err, ErrDamaged) {
			t.Error(err)
		}
	})
}
