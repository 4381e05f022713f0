package reports

import "slices"

// Depth says where a section or a column belongs. It is a set: bits add up.
// The zero value belongs everywhere.
type Depth uint

// The depths.
const (
	First Depth = 1 << iota // the screen that a person gets without asking for more
	Full                    // the report, the workbook, the paper
	Why                     // the reasons behind the figures
	Steps                   // the steps of a neck, one by one
	Cost                    // the lines of a cost
	Lines                   // the lines of a quote or an order
)

// In says that something marked d is shown where any bit of asked is.
func (d Depth) In(asked Depth) bool { return d == 0 || d&asked != 0 }

// firstNotes is how many notes the first screen has room for.
const firstNotes = 3

// At gives the report at a depth: the sections that belong there and, in their
// tables, the columns that do. Without Full and Why at most three notes stay; the first
// screen has three with those of its sections. The report itself stays as it is.
func (r Report) At(d Depth) Report {
	if d&Why != 0 && d&Full == 0 && r.Reasons != nil {
		return r.Reasons.At(d)
	}
	if r.Narrow != nil {
		narrow := r.Narrow.At(d)
		r.Narrow = &narrow
	}
	if d&(Full|Why) == 0 && len(r.Notes) > firstNotes {
		r.Notes = r.Notes[:firstNotes]
	}
	room := firstNotes - len(r.Notes)
	brief := func(notes []string) []string {
		if d == First {
			notes = notes[:min(room, len(notes))]
			room -= len(notes)
		}
		return notes
	}
	kept := make([]Section, 0, len(r.Sections))
	for _, s := range r.Sections {
		if !s.At.In(d) {
			continue
		}
		if s.Table != nil {
			t := s.Table.at(d)
			t.Notes = brief(t.Notes)
			s.Table = &t
		}
		s.Notes = brief(s.Notes)
		if s.Table != nil || s.Drawing != nil || len(s.Notes) > 0 {
			kept = append(kept, s)
		}
	}
	r.Sections = kept
	return r
}

// at gives the table with the columns that belong at a depth. A chart stays
// when the columns it draws do.
func (t Table) at(d Depth) Table {
	var keep []int
	for i, c := range t.Columns {
		if c.At.In(d) {
			keep = append(keep, i)
		}
	}
	if len(keep) == len(t.Columns) {
		return t
	}
	cut := func(r Row) Row {
		cells := make([]Cell, len(keep))
		for k, i := range keep {
			cells[k] = r.At(i)
		}
		r.Cells = cells
		return r
	}
	all := func(rows []Row) []Row {
		out := make([]Row, len(rows))
		for i, r := range rows {
			out[i] = cut(r)
		}
		return out
	}
	columns := make([]Column, len(keep))
	for k, i := range keep {
		columns[k] = t.Columns[i]
	}
	t.Columns, t.Rows, t.Footer = columns, all(t.Rows), all(t.Footer)
	if stream := t.Stream; stream != nil {
		t.Stream = func(yield func(Row) bool) {
			stream(func(r Row) bool { return yield(cut(r)) })
		}
	}
	t.Charts = slices.DeleteFunc(slices.Clone(t.Charts), func(c Chart) bool { return !t.draws(c) })
	return t
}

// draws says that the table has every column that a chart takes from it.
func (t Table) draws(c Chart) bool {
	for _, s := range c.Series {
		if s.Table != "" && s.Table != t.Name {
			continue
		}
		x := s.X
		if x == "" {
			x = c.X
		}
		if t.Index(x) < 0 || t.Index(s.Y) < 0 {
			return false
		}
	}
	return true
}
