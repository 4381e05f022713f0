package reports

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"strings"
	"time"

	"bookmatch/jobs"
	"bookmatch/layout"
	"bookmatch/reports/plain"

	"github.com/tdewolff/canvas"
	"github.com/tdewolff/canvas/renderers/pdf"
	"github.com/tdewolff/canvas/renderers/svg"
)

// Template is the drawing of a headstock at true scale: what is pricked
// through, stuck down and drilled. Lengths are mm on paper. The same Template
// gives the same bytes, at any time and in any zone.
type Template struct {
	Plan  layout.Plan
	Neck  string // as people call it
	Title string
	Paper Paper     // A4 unless Letter
	Made  time.Time // of the plan, printed and kept in the file; zero: neither
	// State is printed beside the code: "frozen", "stale: nut changed"; may be
	// empty.
	State string
	// BarAlongMM and BarAcrossMM are what the printed 100 mm bars measured, up
	// the page and across it; the drawing makes up for the printer's error. Zero
	// means not measured.
	BarAlongMM, BarAcrossMM float64
	// Side picks what an SVG shows, "face" (default) or "back"; a PDF holds both
	// unless a side is given.
	Side string
}

// IsDrawing says that a file of that name can hold a drawing at true scale.
func IsDrawing(path string) bool {
	switch strings.ToLower(filepath.Ext(path)) {
	case ".pdf", ".svg":
		return true
	}
	return false
}

// Sides of a drawing.
const (
	FaceSide = "face"
	BackSide = "back"
)

// WriteDrawing writes d as PDF (one page or tiles for each side) or SVG (one
// sheet, as large as it needs to be), after the file name's ending. Letters are
// drawn as outlines: the file needs no font.
func WriteDrawing(w io.Writer, path string, d Template) error {
	if err := d.check(); err != nil {
		return err
	}
	sketch, err := layout.NewSketch(d.Plan)
	if err != nil {
		return err
	}
	switch strings.ToLower(filepath.Ext(path)) {
	case ".pdf":
		return d.pdf(w, sketch)
	case ".svg":
		return d.svg(w, sketch)
	}
	return &jobs.FieldError{Field: "file name", Value: filepath.Base(path), Want: "an ending of .pdf or .svg"}
}

// barTolerance: a bar further off than this was misread or printed "to fit".
const barTolerance = 0.05

func (d Template) check() error {
	for _, b := range []struct {
		field string
		v     float64
	}{{"bar along", d.BarAlongMM}, {"bar across", d.BarAcrossMM}} {
		if b.v != 0 && !(math.Abs(b.v/barMM-1) <= barTolerance) {
			return &jobs.FieldError{Field: b.field, Value: fmt.Sprintf("%g", b.v), Want: "the measured length of the 100 mm bar, 95 to 105; print at 100 % without fitting to the page"}
		}
	}
	if d.Side != "" && d.Side != FaceSide && d.Side != BackSide {
		return &jobs.FieldError{Field: "side", Value: d.Side, Want: "face or back"}
	}
	if d.Paper != "" && d.Paper != A4 && d.Paper != Letter {
		return &jobs.FieldError{Field: "paper", Value: string(d.Paper), Want: "a4 or letter"}
	}
	if len(d.Plan.Posts) == 0 {
		return &jobs.FieldError{Field: "plan", Value: d.Plan.Code, Want: "a plan with posts"}
	}
	return nil
}

// correction is what lengths are multiplied by, across and up the page.
func (d Template) correction() (x, y float64) {
	x, y = 1, 1
	if d.BarAcrossMM > 0 {
		x = barMM / d.BarAcrossMM
	}
	if d.BarAlongMM > 0 {
		y = barMM / d.BarAlongMM
	}
	return x, y
}

func (d Template) sides() []string {
	if d.Side != "" {
		return []string{d.Side}
	}
	return []string{FaceSide, BackSide}
}

func (d Template) pdf(w io.Writer, k layout.Sketch) error {
	var buf bytes.Buffer
	var out *pdf.PDF
	for _, side := range d.sides() {
		pages, err := d.pages(k, side, true)
		if err != nil {
			return err
		}
		for _, c := range pages {
			if out == nil {
				out = pdf.New(&buf, c.W, c.H, &pdf.Options{Compress: true})
				out.SetInfo("Layout "+d.Plan.Code+" of "+plain.Clean(d.Neck), "Drilling template at true scale", "", "", "bookmatch")
			} else {
				out.NewPage(c.W, c.H)
			}
			c.RenderTo(out)
		}
	}
	if err := out.Close(); err != nil {
		return err
	}
	data, err := datePDF(buf.Bytes(), d.Made)
	if err != nil {
		return err
	}
	_, err = w.Write(data)
	return err
}

func (d Template) svg(w io.Writer, k layout.Sketch) error {
	pages, err := d.pages(k, d.sides()[0], false)
	if err != nil {
		return err
	}
	c := pages[0]
	out := svg.New(w, c.W, c.H, &svg.Options{SizeUnits: "mm"})
	c.RenderTo(out)
	return out.Close()
}

// pages draws one side: one page when it fits, else tiles.
func (d Template) pages(k layout.Sketch, side string, tiled bool) ([]*canvas.Canvas, error) {
	f := d.fit(k, side, tiled)
	var out []*canvas.Canvas
	for i := range f.tiles {
		s := &sheetOfPaper{c: canvas.New(f.w, f.h)}
		s.ctx = canvas.NewContext(s.c)
		p := &plate{sheetOfPaper: s, d: d, k: k, f: f, tile: i, side: side}
		p.draw()
		if s.err != nil {
			return nil, s.err
		}
		out = append(out, s.c)
	}
	return out, nil
}
