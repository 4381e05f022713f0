package store

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"os"
)

// The pages of a bbolt file, read here without bbolt. bbolt trusts its pages:
// a page that names itself as its child would make it recurse until the stack
// ends, which nothing can catch. So a file of unknown health is walked here
// first, with every number looked at before it is used. The format is that of
// bbolt's internal/common/{page,meta,bucket}.go, version 2, in the byte order of
// the machine that wrote it.
const (
	pageBranch, pageLeaf, pageMeta, pageFree = 0x01, 0x02, 0x04, 0x10

	boltMagic    = 0xED0CDAED
	boltVersion  = 2
	pageHeader   = 16
	pageElement  = 16
	bucketHeader = 16
	maxTree      = 64 // levels of pages; bbolt needs four for a thousand million records
)

type pageWalk struct {
	f        *os.File
	size     int64 // of a page
	pages    uint64
	seen     []bool
	buffers  [][]byte // one a level: a page is looked at while its children are
	problems []string
}

// CheckPages walks the pages of a file and gives what is wrong with them, at
// most about a hundred lines. It never faults on damage; an error means that the
// file cannot be read at all.
func CheckPages(path string) (problems []string, err error) {
	if _, err := plainFile(path); err != nil {
		return nil, err
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return checkPages(f), nil
}

func checkPages(f *os.File) (problems []string) {
	w := &pageWalk{f: f}
	w.walk()
	return w.problems
}

func (w *pageWalk) bad(format string, args ...any) {
	if len(w.problems) < 100 {
		w.problems = append(w.problems, fmt.Sprintf(format, args...))
	}
}

func (w *pageWalk) walk() {
	info, err := w.f.Stat()
	if err != nil {
		w.bad("%v", err)
		return
	}
	m, ok := w.metas()
	if !ok {
		return
	}
	size := w.size
	if m.pages > math.MaxInt64/uint64(size) || int64(m.pages)*size > info.Size() {
		w.bad("the file has %d bytes where %d pages of %d bytes are in use: it was cut off", info.Size(), m.pages, size)
		return
	}
	w.seen = make([]bool, m.pages)
	w.seen[0], w.seen[1] = true, true
	if m.free != math.MaxUint64 {
		w.freePages(m.free)
	}
	w.tree(m.root, 0)
}

// page reads a whole page with its overflow; nil after saying what is wrong.
// It is good until the next page of the same depth.
func (w *pageWalk) page(id uint64, want uint16, depth int) []byte {
	if id < 2 || id >= w.pages {
		w.bad("page %d is outside the file", id)
		return nil
	}
	for len(w.buffers) <= depth {
		w.buffers = append(w.buffers, make([]byte, w.size))
	}
	head := w.buffers[depth][:w.size]
	if _, err := w.f.ReadAt(head, int64(id)*w.size); err != nil {
		w.bad("page %d: %v", id, err)
		return nil
	}
	own, flags, over := binary.NativeEndian.Uint64(head), binary.NativeEndian.Uint16(head[8:]), uint64(binary.NativeEndian.Uint32(head[12:]))
	switch {
	case own != id:
		w.bad("page %d calls itself %d", id, own)
		return nil
	case flags&want == 0:
		w.bad("page %d is of kind %#x where %#x was wanted", id, flags, want)
		return nil
	case over >= w.pages-id:
		w.bad("page %d runs on past the end of the file", id)
		return nil
	}
	for p := id; p <= id+over; p++ {
		if w.seen[p] {
			w.bad("page %d is used twice", p)
			return nil
		}
		w.seen[p] = true
	}
	if over == 0 {
		return head
	}
	b := make([]byte, int64(over+1)*w.size)
	if _, err := w.f.ReadAt(b, int64(id)*w.size); err != nil {
		w.bad("page %d: %v", id, err)
		return nil
	}
	return b
}

// freePages looks at the list of free pages: in order, inside the file. (That
// none of them is in use is left to bbolt's own check, which follows.)
func (w *pageWalk) freePages(id uint64) {
	b := w.page(id, pageFree, 0)
	if b == nil {
		return
	}
	n, d := uint64(binary.NativeEndian.Uint16(b[10:])), b[pageHeader:]
	if n == 0xFFFF {
		n, d = binary.NativeEndian.Uint64(d), d[8:]
	}
	if n > uint64(len(d)/8) {
		w.bad("page %d lists more free pages than it holds", id)
		return
	}
	for i := range n {
		if p := binary.NativeEndian.Uint64(d[i*8:]); p < 2 || p >= w.pages {
			w.bad("page %d lists page %d as free, which is outside the file", id, p)
			return
		}
	}
}

func (w *pageWalk) tree(id uint64, depth int) {
	if depth > maxTree {
		w.bad("page %d is deeper than any page can be", id)
		return
	}
	if b := w.page(id, pageBranch|pageLeaf, depth); b != nil {
		w.elements(pageName{id: id}, b, depth)
	}
}

// pageName says which page, or which small bucket inside it, is looked at.
type pageName struct {
	id     uint64
	bucket string
}

func (n pageName) String() string {
	if n.bucket != "" {
		return fmt.Sprintf("page %d, bucket %q", n.id, n.bucket)
	}
	return fmt.Sprintf("page %d", n.id)
}

// elements looks at the records of a branch or leaf page, whole or inside the
// value of a small bucket.
func (w *pageWalk) elements(name pageName, b []byte, depth int) {
	flags, n := binary.NativeEndian.Uint16(b[8:]), int(binary.NativeEndian.Uint16(b[10:]))
	if flags&(pageBranch|pageLeaf) == 0 || pageHeader+n*pageElement > len(b) {
		w.bad("%s has a broken head", name)
		return
	}
	var last []byte
	for i := range n {
		at := pageHeader + i*pageElement
		e := b[at : at+pageElement]
		u32 := binary.NativeEndian.Uint32
		if flags&pageBranch != 0 {
			key, ok := within(b, at, uint64(u32(e)), uint64(u32(e[4:])))
			if !ok || i > 0 && bytes.Compare(last, key) >= 0 {
				w.bad("%s: key %d is out of place", name, i)
				return
			}
			last = key
			w.tree(binary.NativeEndian.Uint64(e[8:]), depth+1)
			continue
		}
		pos, ksize, vsize := uint64(u32(e[4:])), uint64(u32(e[8:])), uint64(u32(e[12:]))
		key, ok := within(b, at, pos, ksize)
		value, ok2 := within(b, at, pos+ksize, vsize)
		if !ok || !ok2 || i > 0 && bytes.Compare(last, key) >= 0 {
			w.bad("%s: key %d is out of place", name, i)
			return
		}
		last = key
		switch kind := u32(e); {
		case kind == 0:
		case kind != 1 || len(value) < bucketHeader:
			w.bad("%s: key %d is of an unknown kind", name, i)
		case binary.NativeEndian.Uint64(value) != 0:
			w.tree(binary.NativeEndian.Uint64(value), depth+1)
		case len(value) < bucketHeader+pageHeader:
			w.bad("%s: bucket %q is cut off", name, key)
		default:
			w.elements(pageName{name.id, string(key)}, value[bucketHeader:], depth)
		}
	}
}

// within gives n bytes that are pos behind the element at an offset of page b.
func within(b []byte, at int, pos, n uint64) ([]byte, bool) {
	from := uint64(at) + pos
	if from > uint64(len(b)) || n > uint64(len(b))-from {
		return nil, false
	}
	return b[from : from+n], true
}
