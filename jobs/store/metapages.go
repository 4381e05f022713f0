package store

import (
	"encoding/binary"
	"hash/fnv"
	"os"
)

// otherMeta says which meta page of a file cannot be read; empty where both are
// sound, or neither.
func otherMeta(path string) string {
	f, err := os.Open(path)
	if err != nil {
		return ""
	}
	defer f.Close()
	w := &pageWalk{f: f}
	w.metas()
	if len(w.problems) == 2 { // one page, and that the other is used
		return w.problems[0]
	}
	return ""
}

type boltMeta struct {
	pageSize          uint32
	root, free, pages uint64
	transaction       uint64
}

func (w *pageWalk) readMeta(at int64) (m boltMeta, why string) {
	b := make([]byte, pageHeader+64)
	if _, err := w.f.ReadAt(b, at); err != nil {
		return m, "is cut off"
	}
	d := b[pageHeader:]
	u32, u64 := binary.NativeEndian.Uint32, binary.NativeEndian.Uint64
	h := fnv.New64a()
	h.Write(d[:56])
	switch {
	case u32(d) != boltMagic:
		return m, "is not one of bbolt's"
	case u32(d[4:]) != boltVersion:
		return m, "has another version of bbolt's format"
	case h.Sum64() != u64(d[56:]):
		return m, "does not match its check sum"
	}
	return boltMeta{pageSize: u32(d[8:]), root: u64(d[16:]), free: u64(d[32:]), pages: u64(d[40:]), transaction: u64(d[48:])}, ""
}

// metas reads both meta pages and gives the one to go by; ok is false where
// neither can be read.
func (w *pageWalk) metas() (m boltMeta, ok bool) {
	first, why := w.readMeta(0)
	size := int64(first.pageSize)
	if why != "" { // the page size is in the other one: try those that exist
		for size = 1024; size <= 1<<16; size *= 2 {
			if m, no := w.readMeta(size); no == "" && int64(m.pageSize) == size {
				break
			}
		}
	}
	second, why2 := w.readMeta(size)
	if why != "" {
		w.bad("meta page 0 %s", why)
	}
	if why2 != "" {
		w.bad("meta page 1 %s", why2)
	}
	m = first
	switch {
	case why != "" && why2 != "":
		return m, false
	case why != "" || why2 == "" && second.transaction > first.transaction:
		m = second
	}
	if why != "" || why2 != "" {
		w.bad("the other meta page is used, so the newest change may be missing")
	}
	w.size, w.pages = size, m.pages
	return m, true
}
