package paper

import (
	"fmt"
	"io"
	"math"
	"path/filepath"
	"strings"
	"time"

	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
	"bookmatch/layout"
	"bookmatch/reports"
	"bookmatch/reports/draw"
)

// Template is the drawing of a headstock at true scale: what is pricked
// through, stuck down and drilled. Lengths are mm on paper. The same Template
// gives the same bytes, at any time and in any zone.
type Template struct {
	Plan  layout.Plan
	Shop  string
	Neck  string // as people call it
	Title string
	Paper reports.Paper // A4 unless Letter
	Made  time.Time     // of the plan, printed and kept in the file; zero: neither
	// State is printed next to the code: "frozen", "out of date: nut changed"; may be
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

// Sides of a template.
const (
	FaceSide = "face"
	BackSide = "back"
)

// WriteTemplate writes t as PDF (one page or tiles for each side) or SVG (one
// sheet, as large as it needs to be), after the file name's ending. The letters of
// the SVG are shapes: the file needs no font. The warnings name the letters that
// the face lacks.
func WriteTemplate(w io.Writer, path string, t Template) (warnings []jobs.Warning, err error) {
	if err := t.check(); err != nil {
		return nil, err
	}
	k, err := layout.NewSketch(t.Plan)
	if err == nil {
		err = k.AddBand(t.Plan)
	}
	if err != nil {
		return nil, err
	}
	switch strings.ToLower(filepath.Ext(path)) {
	case ".pdf":
		s := NewPDF(Info{Title: "Layout " + t.Plan.Code + " of " + t.Neck, Subject: "Drilling template at true scale", Author: t.Shop, Made: t.Made})
		for _, side := range t.sides() {
			t.pages(s, k, side, true)
		}
		_, err = s.WriteTo(w)
		return s.Warnings(), err
	case ".svg":
		s := &SVG{Outlines: true}
		t.pages(s, k, t.sides()[0], false)
		_, err = s.WriteTo(w)
		return s.Warnings(), err
	}
	return nil, &jobs.FieldError{Field: "file name", Value: filepath.Base(path), Want: "an ending of .pdf or .svg"}
}

// barTolerance: a bar further off than this was misread or printed "to fit".
const barTolerance = 0.05

func (t Template) check() error {
	for _, b := range []struct {
		field string
		v     float64
	}{{"bar along", t.BarAlongMM}, {"bar across", t.BarAcrossMM}} {
		if b.v != 0 && !(math.Abs(b.v/barMM-1) <= barTolerance) {
			return &jobs.FieldError{Field: b.field, Value: fmt.Sprintf("%g", b.v), Want: "the measured length of the 100 mm bar, 95 to 105; print at 100 % without fitting to the page"}
		}
	}
	if t.Side != "" && t.Side != FaceSide && t.Side != BackSide {
		return &jobs.FieldError{Field: "side", Value: t.Side, Want: "face or back"}
	}
	if t.Paper != "" && t.Paper != reports.A4 && t.Paper != reports.Letter {
		return &jobs.FieldError{Field: "paper", Value: string(t.Paper), Want: "a4 or letter"}
	}
	if len(t.Plan.Posts) == 0 {
		return &jobs.FieldError{Field: "plan", Value: t.Plan.Code, Want: "a plan with posts"}
	}
	return nil
}

// correction is what lengths are multiplied by, across and up the page.
func (t Template) correction() (x, y float64) {
	x, y = 1, 1
	if t.BarAcrossMM > 0 {
		x = barMM / t.BarAcrossMM
	}
	if t.BarAlongMM > 0 {
		y = barMM / t.BarAlongMM
	}
	return x, y
}

func (t Template) sides() []string {
	if t.Side != "" {
		return []string{t.Side}
	}
	return []string{FaceSide, BackSide}
}

// pages draws one side: one page when it fits, else a page that says how the
// tiles come together, and the tiles.
func (t Template) pages(s draw.Surface, k layout.Sketch, side string, tiled bool) {
	f := t.fit(k, side, tiled)
	p := &plate{s: s, t: t, k: k, f: f, side: side}
	if len(f.tiles) > 1 {
		p.cover()
	}
	for i := range f.tiles {
		p.tile = i
		p.draw()
	}
}

// TemplateOf is the template of a neck's plan as the shop keeps it.
func TemplateOf(r *workshop.DrawResult) Template {
	m := workshop.MetaOf(r)
	t := Template{Plan: r.Plan, Shop: m.ShopName, Neck: r.NeckName, Title: r.Title, Paper: reports.Paper(m.Paper), Made: r.PlanMade, State: r.State(),
		BarAcrossMM: r.BarAcrossMM, BarAlongMM: r.BarAlongMM}
	if r.Neck != r.NeckName {
		t.Neck = fmt.Sprintf("%s (%s)", r.Neck, r.NeckName)
	}
	return t
}
