package workbook

import (
	"fmt"

	"bookmatch/reports"
	"bookmatch/reports/plain"

	"github.com/xuri/excelize/v2"
)

const lineHeight = 13.5 // points

// sheet writes one table from its title to its charts.
func (b *book) sheet(p *place) error {
	if err := b.page(p); err != nil {
		return err
	}
	sw, err := b.f.NewStreamWriter(p.sheet)
	if err != nil {
		return err
	}
	for i, w := range p.widths {
		if err := sw.SetColWidth(i+1, i+1, w); err != nil {
			return err
		}
	}
	if err := sw.SetPanes(&excelize.Panes{Freeze: true, YSplit: p.head, TopLeftCell: ref(1, p.head+1), ActivePane: "bottomLeft"}); err != nil {
		return err
	}
	o := &sheetWriter{book: b, p: p, sw: sw}
	o.titles()
	o.header()
	sum := p.table.Sums(b.r.Currency)
	for row := range p.table.All() {
		sum.Add(row)
		o.row(row)
	}
	if o.err == nil && o.at != p.last {
		return fmt.Errorf("%d rows were announced, %d came", p.table.Size(), o.at-p.head)
	}
	for _, row := range p.table.Footer {
		o.row(row)
	}
	if row, ok := sum.Row(); ok {
		o.raw = make([]string, len(row.Cells))
		for i, c := range p.table.Columns {
			if c.Sum && !row.Cells[i].IsEmpty() {
				o.raw[i] = p.totalFormula(i + 1)
			}
		}
		o.row(row)
	}
	for range p.table.Ruled {
		o.ruled()
	}
	if p.table.Size() == 0 && p.table.Ruled == 0 && o.err == nil {
		said := p.table.Empty
		if said == "" {
			said = "nothing recorded yet"
		}
		o.note(said)
	}
	if p.last >= p.first && o.err == nil && !b.r.ForCustomer { // nobody filters an offer, and the filter is a hidden name
		o.err = b.f.AutoFilter(p.sheet, ref(1, p.head)+":"+ref(len(p.widths), p.last), nil)
	}
	o.notes()
	if o.err == nil {
		o.charts()
	}
	if o.err == nil {
		o.err = b.onePage(p, o.points)
	}
	if o.err == nil && p.table.Name == inputSheet {
		o.err = b.validate(p)
	}
	if o.err != nil {
		return o.err
	}
	return sw.Flush()
}

// sheetWriter writes rows from the top; the first error stops it.
type sheetWriter struct {
	*book
	p      *place
	sw     *excelize.StreamWriter
	at     int     // last row written
	points float64 // height so far
	vals   []any
	raw    []string // formulas of the total row, in cell names; nil before it
	cells  []excelize.Cell
	err    error
}

// tallest is the most that a row may be, in points (the limit of common
// readers; from memory). Text that needs more is cut there on paper and whole in
// the cell.
const tallest = 409.0

// write writes the next row; height 0 leaves it to the reader.
func (o *sheetWriter) write(vals []any, height float64) {
	o.at++
	height = min(height, tallest)
	if height == 0 {
		o.points += lineHeight
	} else {
		o.points += height
	}
	if o.err == nil {
		if height > 0 {
			o.err = o.sw.SetRow(ref(1, o.at), vals, excelize.RowOpts{Height: height})
		} else {
			o.err = o.sw.SetRow(ref(1, o.at), vals)
		}
	}
}

func (o *sheetWriter) titles() {
	title := o.styles.id(styleKey{role: roleTitle})
	for _, l := range plain.Wrap(o.p.title, o.p.titleRoom()) {
		o.write([]any{excelize.Cell{StyleID: title, Value: l}}, 22)
	}
	if o.p.below != "" {
		sub := o.styles.id(styleKey{role: roleSubtitle})
		for _, l := range plain.Wrap(o.p.below, o.p.noteRoom()) {
			o.write([]any{excelize.Cell{StyleID: sub, Value: l}}, 0)
		}
	}
	o.write(nil, 0)
}

func (o *sheetWriter) header() {
	vals := make([]any, len(o.p.table.Columns))
	lines := 1
	for i, c := range o.p.table.Columns {
		vals[i] = excelize.Cell{StyleID: o.styles.id(styleKey{role: roleHead, right: c.Numeric(), apart: o.apart(i)}), Value: plain.Clean(c.Head())}
		lines = max(lines, len(plain.Wrap(plain.Clean(c.Head()), int(o.p.widths[i]-2.5))))
	}
	o.write(vals, float64(lines)*lineHeight+3)
}

// apart says that a column of text is behind a column of numbers.
func (o *sheetWriter) apart(i int) bool {
	cols := o.p.table.Columns
	return i > 0 && !cols[i].Numeric() && cols[i-1].Numeric()
}

// row writes one row; wrapped text sets its height.
func (o *sheetWriter) row(row reports.Row) {
	cols := o.p.table.Columns
	if o.vals == nil {
		o.vals, o.cells = make([]any, len(cols)), make([]excelize.Cell, len(cols))
	}
	part := map[reports.RowStyle]role{reports.Plain: roleBody, reports.Group: roleGroup, reports.Sub: roleSub, reports.Total: roleTotal}[row.Style]
	lines := 1
	for i := range cols {
		c := row.At(i)
		cell := &o.cells[i]
		key := styleKey{role: part, format: numberFormat(o.v, c, cols[i]), right: cols[i].Numeric(), apart: o.apart(i), tone: c.Tone()}
		*cell = excelize.Cell{Value: o.value(c, cols[i])}
		switch {
		case c.IsMissing():
			key.format, key.grey, cell.Value = "", true, o.v.Show(c, cols[i])
		case c.Kind() == reports.KindText && row.Style != reports.Group && float64(len(c.Words())) > boldWider*o.p.widths[i]-1:
			room := o.p.widths[i]
			if row.Style != reports.Plain || c.Tone() == reports.Careful || c.Tone() == reports.Bad {
				room *= boldWider
			}
			key.wrap, lines = true, max(lines, len(plain.Wrap(plain.Clean(c.Words()), int(room))))
		}
		if o.raw != nil {
			cell.Formula = o.raw[i]
		}
		if c.Formula() != "" {
			f, err := resolve(c.Formula(), o.p, o.at+1, o.places)
			if err != nil && o.err == nil {
				o.err = err
			}
			cell.Formula = f
		}
		if o.p.table.Name == inputSheet && cols[i].Key == "value" {
			key.role = roleInput
		}
		cell.StyleID = o.styles.id(key)
		o.vals[i] = cell
	}
	height := 0.0
	if lines > 1 {
		height = float64(lines) * lineHeight
	}
	o.write(o.vals, height)
}

// ruled writes a line to fill in by hand.
func (o *sheetWriter) ruled() {
	id := o.styles.id(styleKey{role: roleRuled})
	vals := make([]any, len(o.p.widths))
	for i := range vals {
		vals[i] = excelize.Cell{StyleID: id, Value: ""}
	}
	o.write(vals, 27)
}

func (o *sheetWriter) notes() {
	for i, n := range o.p.table.Notes {
		if i == 0 {
			o.write(nil, 0)
		}
		o.note(n)
	}
}

// note writes a sentence over as many rows as it needs, without merging.
func (o *sheetWriter) note(s string) {
	id := o.styles.id(styleKey{role: roleNote})
	for _, l := range plain.Wrap(plain.Clean(s), o.p.noteRoom()) {
		o.write([]any{excelize.Cell{StyleID: id, Value: l}}, 0)
	}
}
