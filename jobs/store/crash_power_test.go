package store

import (
	"bytes"
	"encoding/binary"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
)

// Images of the file before and after a commit: the pages a commit writes may
// be on the disk in any part when the power goes, until the flush; then the meta
// page is written, whole or torn. Whatever lies there must open as it was
// before, or as it is after.
func TestPowerCutInACommit(t *testing.T) {
	path := crashFile(t)
	grow(t, path, small, 1)
	for range 30 {
		if _, err := appendPair(path); err != nil {
			t.Fatal(err)
		}
	}
	const pageSize = 4096
	read := func() []byte {
		b, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	seed := uint64(20260106)
	t.Logf("seed %d", seed)
	rng := rand.New(rand.NewPCG(seed, 9))
	torn := filepath.Join(t.TempDir(), "shop.db")
	for round := range 6 * scale() {
		before := read()
		was := digest(t, path)
		if _, err := appendPair(path); err != nil {
			t.Fatal(err)
		}
		after := read()
		is := digest(t, path)
		if len(after) < len(before) {
			t.Fatal("the file shrank")
		}
		before = append(before, make([]byte, len(after)-len(before))...)
		var changed []int
		meta := 0
		for p := 0; p < len(after)/pageSize; p++ {
			if !bytes.Equal(before[p*pageSize:(p+1)*pageSize], after[p*pageSize:(p+1)*pageSize]) {
				if p < 2 {
					meta = p
					continue
				}
				changed = append(changed, p)
			}
		}
		if len(changed) < 3 {
			t.Fatalf("a commit changed %d pages", len(changed))
		}
		for range 8 {
			image := bytes.Clone(before)
			for _, p := range changed { // each page: missing, there, or torn inside
				n := []int{0, pageSize, rng.IntN(pageSize/512) * 512}[rng.IntN(3)]
				copy(image[p*pageSize:p*pageSize+n], after[p*pageSize:])
			}
			if err := os.WriteFile(torn, image, 0o600); err != nil {
				t.Fatal(err)
			}
			mustBeSound(t, torn)
			if got := digest(t, torn); got != was {
				t.Fatalf("round %d: pages without their meta page changed the records", round)
			}
		}
		for n := 0; n <= 96; n += 8 { // all pages flushed, the meta page torn after n bytes
			image := bytes.Clone(after)
			at := meta * pageSize
			copy(image[at:at+pageSize], before[at:at+pageSize])
			copy(image[at:at+n], after[at:at+n])
			if err := os.WriteFile(torn, image, 0o600); err != nil {
				t.Fatal(err)
			}
			if got := digest(t, torn); got != was && got != is {
				t.Fatalf("round %d: a meta page torn after %d bytes gave other records", round, n)
			}
		}
		if binary.NativeEndian.Uint32(after[meta*pageSize+pageHeader:]) != boltMagic {
			t.Fatal("the page that changed is not a meta page")
		}
	}
}
