package workbook

import (
	"math"
	"strings"

	"bookmatch/reports"
	"bookmatch/reports/plain"

	"github.com/xuri/excelize/v2"
)

// Paper codes of ECMA-376 part 1, 18.3.1.63, and sizes in points (1/72 in):
// A4 is 210 x 297 mm (ISO 216), Letter 8.5 x 11 in.
var papers = map[reports.Paper]struct {
	code          int
	width, height float64
}{
	reports.A4:     {9, 595.28, 841.89},
	reports.Letter: {1, 612, 792},
}

// Margins in inches.
const (
	sideMargin   = 0.55
	topMargin    = 0.6
	bottomMargin = 0.75
	footMargin   = 0.35
	pointsPerCh  = 5.25 // width of one character of the body face; a wider face shrinks the sheet and the page holds more
)

// page sets the sheet up for the shop's paper: one page wide, as many long as
// it takes, headers repeated, page numbers below.
func (b *book) page(p *place) error {
	fit, grid := true, false
	if err := b.f.SetSheetProps(p.sheet, &excelize.SheetPropsOptions{FitToPage: &fit}); err != nil {
		return err
	}
	if err := b.f.SetSheetView(p.sheet, 0, &excelize.ViewOptions{ShowGridLines: &grid}); err != nil {
		return err
	}
	paper, ok := papers[b.r.Paper]
	if !ok {
		paper = papers[reports.A4]
	}
	wide, tall, orientation := 1, 0, "portrait"
	if b.wide(p) {
		orientation = "landscape"
	}
	if err := b.f.SetPageLayout(p.sheet, &excelize.PageLayoutOptions{
		Size: &paper.code, Orientation: &orientation, FitToWidth: &wide, FitToHeight: &tall,
	}); err != nil {
		return err
	}
	side, top, bottom, foot := sideMargin, topMargin, bottomMargin, footMargin
	if err := b.f.SetPageMargins(p.sheet, &excelize.PageLayoutMarginsOptions{
		Left: &side, Right: &side, Top: &top, Bottom: &bottom, Header: &foot, Footer: &foot,
	}); err != nil {
		return err
	}
	amp := func(s string) string { return strings.ReplaceAll(plain.Shorten(plain.Clean(s), 60), "&", "&&") }
	left := amp(b.r.Title)
	if b.r.Shop != "" {
		left = amp(b.r.Shop) + " – " + left
	}
	if p.shown < len(p.widths) {
		if err := b.f.SetDefinedName(&excelize.DefinedName{Name: "_xlnm.Print_Area", Scope: p.sheet, RefersTo: p.quoted() + "$A:$" + strings.TrimRight(ref(p.shown, 1), "1")}); err != nil {
			return err
		}
	}
	if err := b.f.SetHeaderFooter(p.sheet, &excelize.HeaderFooterOptions{
		OddFooter: "&L&8 " + left + "&C&8&P / &N&R&8" + b.madeText(),
	}); err != nil {
		return err
	}
	return b.f.SetDefinedName(&excelize.DefinedName{
		Name: "_xlnm.Print_Titles", Scope: p.sheet,
		RefersTo: p.quoted() + "$" + rowName(p.head) + ":$" + rowName(p.head),
	})
}

func rowName(row int) string { return strings.TrimLeft(ref(1, row), "A") }

// rowsLying is how many rows and a chart fit on a landscape page.
const rowsLying = 14

// wide says that a table is landscape: its builder wants it so, or all of it would
// be hard to read upright.
func (b *book) wide(p *place) bool {
	all := 0.0
	for _, x := range p.widths {
		all += x
	}
	if p.front && len(p.table.Charts) > 0 && p.table.Size() > rowsLying {
		return false // upright it has room for its chart; columns at the right stay off the paper
	}
	return p.table.Wide || len(p.widths) > columnsUpright || all*pointsPerCh > 1.3*(papers[reports.A4].width-2*72*sideMargin)
}

// paper is the sheet's paper in points, turned as it is printed.
func (b *book) paper(p *place) (w, h float64) {
	paper, ok := papers[b.r.Paper]
	if !ok {
		paper = papers[reports.A4]
	}
	if b.wide(p) {
		return paper.height, paper.width
	}
	return paper.width, paper.height
}

// onePage makes the first sheet one page where its type stays nine points.
func (b *book) onePage(p *place, points float64) error {
	if !p.front || p.broken || points > b.pageHeight(p)/leastScale*b.scale(p) {
		return nil
	}
	one := 1
	return b.f.SetPageLayout(p.sheet, &excelize.PageLayoutOptions{FitToWidth: &one, FitToHeight: &one})
}

// scale is what makes the sheet one page wide, at most 1.
func (b *book) scale(p *place) float64 {
	w, _ := b.paper(p)
	return math.Min(1, (w-2*72*sideMargin)/math.Max(p.total()*pointsPerCh, chartWidth*0.75))
}

// pageHeight is the least room of one page in points of the sheet, at the
// scale that makes the sheet one page wide.
func (b *book) pageHeight(p *place) float64 {
	_, h := b.paper(p)
	return (h - 72*(topMargin+bottomMargin)) / b.scale(p)
}

// madeText says when the figures were made. A customer's paper has a date and no
// time of day.
func (b *book) madeText() string {
	at := b.r.Made.In(b.v.Zone)
	switch {
	case b.r.Made.IsZero():
		return ""
	case b.r.ForCustomer:
		return b.r.Made.Format("2006-01-02")
	}
	return "made " + at.Format("2006-01-02 15:04")
}
