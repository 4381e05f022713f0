package paper

import (
	"io"
	"path/filepath"
	"strings"

	"bookmatch/jobs"
	"bookmatch/reports/draw"
)

// pictureDPI is the fineness of a PNG.
const pictureDPI = 200

// IsPicture says that a file of that name holds a picture.
func IsPicture(path string) bool {
	switch strings.ToLower(filepath.Ext(path)) {
	case ".png", ".svg":
		return true
	}
	return false
}

// WritePicture draws p as PNG or SVG, after the file name's ending. Letters of
// the SVG are shapes: the file needs no font. The warnings name the letters that
// the face lacks.
func WritePicture(w io.Writer, path string, p draw.Picture) (warnings []jobs.Warning, err error) {
	switch strings.ToLower(filepath.Ext(path)) {
	case ".svg":
		s := &SVG{Outlines: true}
		width, height := p.Size()
		s.Page(width, height)
		s.Path(draw.Box(0, 0, width, height), draw.Look{Fill: draw.White})
		p.Draw(s)
		_, err = s.WriteTo(w)
		return s.Warnings(), err
	case ".png":
		s := NewPNG(pictureDPI)
		s.Page(p.Size())
		p.Draw(s)
		_, err = s.WriteTo(w)
		return s.Warnings(), err
	}
	return nil, &jobs.FieldError{Field: "file name", Value: filepath.Base(path), Want: "an ending of .png or .svg"}
}

// Fragment is p as SVG to be in a page: words stay words, and inks have
// classes. name is spoken in its place; id sets its ids apart from other
// fragments of the page.
func Fragment(p draw.Picture, name, id string) (svg string, warnings []jobs.Warning, err error) {
	s := &SVG{Name: name, ID: id}
	s.Page(p.Size())
	p.Draw(s)
	var b strings.Builder
	_, err = s.WriteTo(&b)
	return b.String(), s.Warnings(), err
}
