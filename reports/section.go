package reports

// Section is one part of a report: a table, a drawing, or sentences. Title
// heads a drawing or sentences; a table has a title of its own. Notes are
// sentences below either.
type Section struct {
	At      Depth
	Close   bool // no empty line above it
	Title   string
	Table   *Table
	Drawing Drawing
	Notes   []string
}

// Drawing is a picture of a result, such as a strip, a bar or a curve. Text
// gives it in plain characters, at most width columns wide, without a line end
// at the end; an output that draws knows the types that it can draw.
type Drawing interface{ Text(width int) string }

// Sections makes a section of each table, shown at every depth.
func Sections(tables ...Table) []Section {
	out := make([]Section, len(tables))
	for i, t := range tables {
		out[i].Table = &t
	}
	return out
}

// Add appends tables, each as a section that shows at every depth.
func (r *Report) Add(tables ...Table) { r.Sections = append(r.Sections, Sections(tables...)...) }

// Picture gives the first drawing that can be saved as a file, or nil.
func (r Report) Picture() Picture {
	for _, s := range r.Sections {
		if p, ok := s.Drawing.(Picture); ok {
			return p
		}
	}
	return nil
}

// Tables gives every table, in the order of the sections.
func (r Report) Tables() []*Table {
	var out []*Table
	for _, s := range r.Sections {
		if s.Table != nil {
			out = append(out, s.Table)
		}
	}
	return out
}

// Table gives the table with that name, or nil.
func (r *Report) Table(name string) *Table {
	for _, t := range r.Tables() {
		if t.Name == name {
			return t
		}
	}
	return nil
}
