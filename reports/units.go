package reports

import (
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
	"bookmatch/layout"
	"bookmatch/reports/draw"

	"github.com/shopspring/decimal"
)

// Everything is calculated and kept in millimetres. A shop that works in inches
// reads the same reports in inches: this file changes what is about to be shown,
// and nothing else does. An inch is 25.4 mm exactly (international yard and pound
// agreement, 1959).

// lengths are one or more numbers with one unit behind them: "10 mm", "11 to 16 mm",
// "200 x 80 mm", "0.4, 1.2 mm". What begins with a point was typed by somebody: ".25mm"
// stays.
var lengths = regexp.MustCompile(`(^|[^\w.])([-+]?\d+(?:\.\d+)?)((?:(?: to | x | and |, |-)[-+]?\d+(?:\.\d+)?)*) ?mm\b`)

// quoted are words that the builder typed.
var quoted = regexp.MustCompile(`"[^"]*"`)

// asTyped are texts that speak of millimetres in a file.
var asTyped = regexp.MustCompile(`_mm [-+\d]|in mm\b|100(?:\.0)? mm`)

// Metric says that a shop reads millimetres.
func Metric(units string) bool { return units != jobs.Inches }

// InText gives a sentence with its lengths in the shop's unit. What comes after
// "Type:" is left as it is typed, and so are the builder's own words and what is quoted.
func InText(units, text string, own ...string) string {
	if Metric(units) || !strings.Contains(text, "mm") || asTyped.MatchString(text) {
		return text
	}
	for _, w := range own {
		if before, after, found := strings.Cut(text, w); found && lengths.MatchString(w) {
			return InText(units, before, own...) + w + InText(units, after, own...)
		}
	}
	if i := quoted.FindStringIndex(text); i != nil {
		return InText(units, text[:i[0]]) + text[i[0]:i[1]] + InText(units, text[i[1]:])
	}
	text, typed, found := strings.Cut(text, " Type: ")
	text = lengths.ReplaceAllStringFunc(text, func(s string) string {
		m := lengths.FindStringSubmatch(s)
		if m[3] == "" {
			return m[1] + inch(m[2]) + " in" + sixtyFourths(m[2])
		}
		number := regexp.MustCompile(`[-+]?\d+(?:\.\d+)?`)
		return m[1] + inch(m[2]) + number.ReplaceAllStringFunc(m[3], func(n string) string {
			if n[0] == '-' { // the hyphen of a range
				return "-" + inch(n[1:])
			}
			return inch(n)
		}) + " in"
	})
	if found {
		text += " Type: " + typed
	}
	return text
}

// exact gives a text with what a plan says of lengths in inches already, from its
// exact values.
func (r Report) exact(text string) string {
	for _, mm := range slices.Sorted(maps.Keys(r.inches)) {
		in := r.inches[mm]
		text = strings.ReplaceAll(strings.ReplaceAll(text, mm, in), upper(mm), upper(in))
	}
	return text
}

// lengthFigure is a length without its unit: tenths of a millimetre, or thousandths of
// an inch.
func lengthFigure(units string, mm float64) string {
	if Metric(units) {
		return strconv.FormatFloat(mm, 'f', 1, 64)
	}
	return layout.InInches(mm)
}

// units is the unit of a result's shop: a view writes its figures in it, from the
// exact value.
type units string

func unitsOf(r workshop.Result) units { return units(workshop.MetaOf(r).Units) }

// figure is a length without its unit: in millimetres by a format, "" for what is needed.
func (u units) figure(format string, mm float64) string {
	switch {
	case Metric(string(u)) && format == "":
		return jobs.NumberText(mm)
	case Metric(string(u)):
		return fmt.Sprintf(format, mm)
	}
	if strings.Contains(format, "+") && mm > 0 {
		return "+" + layout.InInches(mm)
	}
	return layout.InInches(mm)
}

// name is the unit behind it.
func (u units) name() string {
	if Metric(string(u)) {
		return "mm"
	}
	return "in"
}

// length is a length with its unit, and in inches with the fraction that names it.
func (u units) length(format string, mm float64) string {
	s := u.figure(format, mm) + " " + u.name()
	if !Metric(string(u)) {
		s += layout.SixtyFourths(mm)
	}
	return s
}

// inch gives a number of millimetres as inches to a thousandth.
func inch(mm string) string {
	v, _ := strconv.ParseFloat(mm, 64)
	s := layout.InInches(v)
	if mm[0] == '+' {
		s = "+" + s
	}
	return s
}

// sixtyFourths is the fraction that names a length.
func sixtyFourths(mm string) string {
	v, _ := strconv.ParseFloat(mm, 64)
	return layout.SixtyFourths(v)
}

// In gives the report with its lengths in the shop's unit: as it is for
// millimetres, in thousandths of an inch and 1/64 for inches. Workbooks and lists
// for other programs are in millimetres always.
func (r Report) In(units string) Report {
	if Metric(units) {
		return r
	}
	say := func(s string) string { return InText(units, r.exact(s), r.own...) }
	all := func(list []string) []string {
		out := slices.Clone(list)
		for i := range out {
			out[i] = say(out[i])
		}
		return out
	}
	r.Subject, r.Headline, r.Notes, r.Cautions = say(r.Subject), all(r.Headline), all(r.Notes), all(r.Cautions)
	r.Counted = slices.Clone(r.Counted)
	for i, c := range r.Counted {
		r.Counted[i] = Counted{say(c.What), say(c.How)}
	}
	r.Sections = slices.Clone(r.Sections)
	for i := range r.Sections {
		s := &r.Sections[i]
		s.Title, s.Notes = say(s.Title), all(s.Notes)
		if s.Table != nil {
			t := inInches(*s.Table, say)
			s.Table = &t
		}
		switch d := s.Drawing.(type) {
		case nil:
		case Pairs:
			p := slices.Clone(d)
			for k := range p {
				p[k] = Pair{say(p[k].Head), say(p[k].Text)}
			}
			s.Drawing = p
		case Picture:
			s.Drawing = inchPicture{d, say}
		default:
			s.Drawing = inchDrawing{d, say}
		}
	}
	if lay := r.Leaves; lay != nil {
		r.Leaves = func(measure draw.Surface) []Leaf {
			all := lay(measure)
			for i, l := range all {
				all[i].Draw = func(s draw.Surface) { l.Draw(inchSurface{s, say}) }
			}
			return all
		}
	}
	for _, other := range []**Report{&r.Reasons, &r.Narrow} {
		if *other != nil {
			x := (*other).In(units)
			*other = &x
		}
	}
	return r
}

func inInches(t Table, say func(string) string) Table {
	t.Title, t.Subtitle, t.Empty = say(t.Title), say(t.Subtitle), say(t.Empty)
	t.Notes = slices.Clone(t.Notes)
	for i := range t.Notes {
		t.Notes[i] = say(t.Notes[i])
	}
	t.Columns = slices.Clone(t.Columns)
	length := make([]bool, len(t.Columns))
	for i := range t.Columns {
		if c := &t.Columns[i]; c.Unit == "mm" {
			length[i] = true
			c.Unit, c.Kind, c.Digits = "in", KindNumber, 3
		}
	}
	t = t.Gather()
	change := func(rows []Row) []Row {
		rows = slices.Clone(rows)
		for i := range rows {
			cells := slices.Clone(rows[i].Cells)
			for k, c := range cells {
				switch {
				case c.kind == KindText && c.has:
					cells[k].text = say(c.text)
				case c.IsNumber() && (length[k] || c.kind == KindMM):
					cells[k].kind, cells[k].dec, cells[k].formula = KindNumber, c.dec.DivRound(decimal.NewFromFloat(jobs.MMPerInch), 6), ""
				}
			}
			rows[i].Cells = cells
		}
		return rows
	}
	t.Rows, t.Footer = change(t.Rows), change(t.Footer)
	return t
}

// inchDrawing is a drawing of characters that reads in inches.
type inchDrawing struct {
	Drawing
	say func(string) string
}

func (d inchDrawing) Text(width int) string { return d.say(d.Drawing.Text(width)) }

// inchPicture is a picture whose words read in inches. Its lines are true to scale
// as they are.
type inchPicture struct {
	Picture
	say func(string) string
}

func (p inchPicture) Text(width int) string { return p.say(p.Picture.Text(width)) }

func (p inchPicture) Draw(s draw.Surface) { p.Picture.Draw(inchSurface{s, p.say}) }

type inchSurface struct {
	draw.Surface
	say func(string) string
}

func (s inchSurface) Text(x, y float64, words string, t draw.Type) {
	s.Surface.Text(x, y, s.say(words), t)
}
