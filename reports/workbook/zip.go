package workbook

import (
	"archive/zip"
	"bytes"
	"compress/flate"
	"hash"
	"hash/crc32"
	"io"
	"io/fs"
	"regexp"
	"slices"
	"sort"

	"github.com/xuri/excelize/v2"
)

// orderedZip keeps each part compressed until the end and writes them sorted by
// name, so that the same report gives the same bytes. Parts arrive one after
// another.
type orderedZip struct {
	w     io.Writer
	parts []*zipPart
}

// packLevel packs long sheets in a third of the usual time for a file that is a
// little larger.
const packLevel = flate.BestSpeed

type zipPart struct {
	name string
	data bytes.Buffer
	comp *flate.Writer
	crc  hash.Hash32
	size uint64
}

func newOrderedZip(w io.Writer) excelize.ZipWriter { return &orderedZip{w: w} }

// Create starts the next part and ends the one before.
func (z *orderedZip) Create(name string) (io.Writer, error) {
	if err := z.end(); err != nil {
		return nil, err
	}
	p := &zipPart{name: name, crc: crc32.NewIEEE()}
	var err error
	p.comp, err = flate.NewWriter(&p.data, packLevel)
	z.parts = append(z.parts, p)
	return p, err
}

// contentTypes is the one part whose lines come in changing order.
const contentTypes = "[Content_Types].xml"

var typeLine = regexp.MustCompile(`<(?:Default|Override)[^>]*></(?:Default|Override)>`)

// sortedTypes puts the lines of the content types into order; they mean the
// same in any (ECMA-376 part 2, 7.2.3).
func sortedTypes(b []byte) []byte {
	lines := typeLine.FindAll(b, -1)
	if len(lines) == 0 {
		return b
	}
	sort.Slice(lines, func(i, j int) bool { return bytes.Compare(lines[i], lines[j]) < 0 })
	at := typeLine.FindIndex(b)[0]
	rest := typeLine.ReplaceAll(b[at:], nil)
	return slices.Concat(b[:at], bytes.Join(lines, nil), rest)
}

func (p *zipPart) Write(b []byte) (int, error) {
	n := len(b)
	if p.name == contentTypes {
		b = sortedTypes(b)
	}
	p.crc.Write(b)
	p.size += uint64(len(b))
	if _, err := p.comp.Write(b); err != nil {
		return 0, err
	}
	return n, nil
}

func (z *orderedZip) end() error {
	if len(z.parts) == 0 {
		return nil
	}
	last := z.parts[len(z.parts)-1]
	if last.comp == nil {
		return nil
	}
	err := last.comp.Close()
	last.comp = nil
	return err
}

// AddFS is not needed for workbooks that are made here.
func (z *orderedZip) AddFS(fs.FS) error { return fs.ErrInvalid }

// Close writes the archive.
func (z *orderedZip) Close() error {
	if err := z.end(); err != nil {
		return err
	}
	sort.Slice(z.parts, func(i, j int) bool { return z.parts[i].name < z.parts[j].name })
	out := zip.NewWriter(z.w)
	for _, p := range z.parts {
		w, err := out.CreateRaw(&zip.FileHeader{Name: p.name, Method: zip.Deflate, CRC32: p.crc.Sum32(),
			CompressedSize64: uint64(p.data.Len()), UncompressedSize64: p.size})
		if err != nil {
			return err
		}
		if _, err := w.Write(p.data.Bytes()); err != nil {
			return err
		}
		p.data = bytes.Buffer{}
	}
	return out.Close()
}
