// Package screen prints reports for a terminal, and writes them as CSV and
// JSON. It is the only package that knows the table library.
//
// A screen is 60 to 200 columns wide, 80 where nobody says otherwise. Columns of
// text take what the numbers leave; below 60 columns a table becomes one block
// a row. Nothing is said by colour alone.
package screen

import (
	"fmt"
	"io"
	"strings"

	"bookmatch/reports"
	"bookmatch/reports/plain"
)

// Widths of a screen, in columns.
const (
	Usual  = 80
	Narrow = 60 // below it a table becomes one block a row
	Widest = 200
)

// gap is the space between two columns.
const gap = 2

// Screen says how to print. The zero value is 80 columns in plain characters
// without colour, which suits a pipe.
type Screen struct {
	Width  int  // in columns; 0 is 80, more than 200 is 200
	Colour bool // bold, dim and the colours of meaning
	Few    bool // the terminal has 16 colours: bold and dim only
	Blocks bool // bars of block characters; otherwise # - |
	Bare   bool // one table alone, without titles and notes
}

// Columns is the width to draw for.
func (s Screen) Columns() int {
	switch {
	case s.Width <= 0:
		return Usual
	case s.Width > Widest:
		return Widest
	}
	return s.Width
}

// Print writes the report: the first line of its headline in bold, then its
// sections, its notes, and what to type next. A report without a headline
// begins with its title. The report is printed as it is: see Report.At.
func (s Screen) Print(w io.Writer, r reports.Report) error {
	if err := r.Check(); err != nil {
		return err
	}
	s.Width = s.Columns()
	if s.Width < Usual && r.Narrow != nil {
		r = *r.Narrow
	}
	p := &printer{w: w, s: s}
	if !s.Bare {
		p.top(r)
	}
	tables := len(r.Tables())
	for _, x := range r.Sections {
		if x.Table == nil || !x.Table.SheetOnly || tables == 1 {
			p.section(r, x)
		}
	}
	if !s.Bare {
		p.foot(r)
	}
	return p.err
}

// PrintTable writes one table alone, under the title of its report.
func (s Screen) PrintTable(w io.Writer, r reports.Report, name string) error {
	t, err := named(r, name)
	if err != nil {
		return err
	}
	r.Sections = []reports.Section{{Table: t}}
	return s.Print(w, r)
}

// printer writes lines; the first error stops it.
type printer struct {
	w     io.Writer
	s     Screen
	err   error
	wrote bool
}

func (p *printer) line(l string) {
	if p.err == nil {
		_, p.err = fmt.Fprintln(p.w, strings.TrimRight(l, " "))
	}
	p.wrote = true
}

// apart leaves one empty line after what was written.
func (p *printer) apart() {
	if p.wrote {
		p.line("")
	}
}

func (p *printer) text(words string) { p.inked(words, func(l string) string { return l }) }
func (p *printer) bold(words string) { p.inked(words, p.s.bold) }
func (p *printer) dim(words string)  { p.inked(words, p.s.dim) }

func (p *printer) inked(words string, ink func(string) string) {
	words = plain.Clean(words)
	indent := words[:len(words)-len(strings.TrimLeft(words, " "))]
	for _, l := range plain.Lines(words, p.s.Width-len(indent)) {
		p.line(indent + ink(l))
	}
}

// top prints what is above the sections: the answer, or the title.
func (p *printer) top(r reports.Report) {
	tables := r.Tables()
	switch {
	case len(r.Headline) > 0:
		p.bold(r.Headline[0])
		for _, l := range r.Headline[1:] {
			p.text(l)
		}
	case r.Title != "" && !(len(r.Sections) == 1 && len(tables) == 1 && tables[0].Title == r.Title):
		p.heading(r.Title, r.Subject)
	}
	for _, c := range r.Cautions {
		for _, l := range plain.Lines(plain.Clean(c), p.s.Width-2) {
			p.line("! " + l)
		}
	}
}

func (p *printer) heading(title, sub string) {
	p.apart()
	p.bold(title)
	if sub != "" {
		p.text(sub)
	}
}

func (p *printer) section(r reports.Report, x reports.Section) {
	switch {
	case x.Table != nil:
		p.table(r, *x.Table)
	case p.s.Bare:
		return
	case x.Title != "":
		p.heading(x.Title, "")
	case !x.Close:
		p.apart()
	}
	if x.Drawing != nil {
		for _, l := range strings.Split(x.Drawing.Text(p.s.Width), "\n") {
			p.line(l)
		}
	}
	if !p.s.Bare {
		p.notes(x.Notes, !x.Close && (x.Table != nil || x.Drawing != nil))
	}
}

func (p *printer) notes(notes []string, apart bool) {
	for i, n := range notes {
		if i == 0 && apart {
			p.apart()
		}
		p.dim(n)
	}
}

// foot prints the notes of the report and what to type next.
func (p *printer) foot(r reports.Report) {
	p.notes(r.Notes, len(r.Sections) > 0)
	if len(r.Next) == 0 {
		return
	}
	if len(r.Notes) == 0 && len(r.Sections) > 0 {
		p.apart()
	}
	l := "Next:"
	space := " "
	for _, n := range r.Next {
		n = plain.Clean(n)
		if space != " " && plain.Width(l+space+n) > p.s.Width {
			p.line(l)
			l, space = "     ", " "
		}
		l += space + n
		space = "   "
	}
	p.line(l)
}

func (p *printer) table(r reports.Report, t reports.Table) {
	t = t.Gather()
	t.Rows = append(t.Rows[:len(t.Rows):len(t.Rows)], ruled(t)...)
	if !p.s.Bare {
		shown := t.Title == r.Title && len(r.Headline) == 0
		switch {
		case t.Title != "" && (!shown || !p.wrote):
			p.heading(t.Title, t.Subtitle)
		case shown && t.Subtitle != "":
			p.text(t.Subtitle)
		default:
			p.apart()
		}
	}
	if len(t.Rows) == 0 {
		said := t.Empty
		if said == "" {
			said = "nothing recorded yet"
		}
		p.text(said)
	} else if p.err == nil {
		p.err = p.s.grid(p.w, r, t)
		p.wrote = true
	}
	if !p.s.Bare {
		p.notes(t.Notes, true)
	}
}

// ruled gives the lines to write on by hand as rows of underscores.
func ruled(t reports.Table) []reports.Row {
	rows := make([]reports.Row, t.Ruled)
	for i := range rows {
		for _, c := range t.Columns {
			rows[i].Cells = append(rows[i].Cells, reports.Text(strings.Repeat("_", max(c.Max, plain.Width(c.Head())))))
		}
	}
	return rows
}
