package html

import (
	"fmt"
	"html/template"
	"strings"

	"bookmatch/reports"
	"bookmatch/reports/draw"
	"bookmatch/reports/plain"
)

// part is a section of a report as the template wants it.
type part struct {
	Title, Text string
	SVG         template.HTML
	Table       *table
	Notes       []string
}

type table struct {
	Name, Title, Empty string
	Heads              []cell
	Rows               []row
}

type row struct {
	Class string
	Cells []cell
}

type cell struct {
	Text    string
	Numeric bool
}

// textColumns is how wide a drawing without a picture is set.
const textColumns = 76

// rowsMost is how many rows of a table are shown.
const rowsMost = 500

// Report draws a report. The fragment has one heading of the first order.
func Report(r reports.Report) (template.HTML, error) {
	v := r.Format()
	data := struct {
		Title              string
		Headline, Cautions []string
		Parts              []part
		Notes              []string
	}{Title: plain.Clean(r.Title), Headline: cleaned(r.Headline), Cautions: cleaned(r.Cautions), Notes: cleaned(r.Notes)}
	for i, s := range r.Sections {
		p := part{Title: plain.Clean(s.Title), Notes: cleaned(s.Notes)}
		if d, ok := s.Drawing.(draw.Picture); ok {
			svg, err := picture(d, s.Title, fmt.Sprintf("part%d", i))
			if err != nil {
				return "", err
			}
			p.SVG = svg
		} else if s.Drawing != nil {
			p.Text = s.Drawing.Text(textColumns)
		}
		if s.Table != nil {
			p.Table = tableOf(v, r, *s.Table)
			p.Notes = append(p.Notes, cleaned(s.Table.Notes)...)
		}
		data.Parts = append(data.Parts, p)
	}
	var b strings.Builder
	err := loaded().screens.ExecuteTemplate(&b, "report", data)
	return template.HTML(b.String()), err
}

func tableOf(v reports.Format, r reports.Report, t reports.Table) *table {
	out := &table{Name: t.Name, Title: plain.Clean(t.Title), Empty: plain.Clean(t.Empty)}
	var cols []int
	for i, c := range t.Columns {
		if !c.SheetOnly {
			cols = append(cols, i)
			out.Heads = append(out.Heads, cell{plain.Clean(c.Head()), c.Numeric()})
		}
	}
	add := func(x reports.Row) {
		if len(out.Rows) == rowsMost {
			return
		}
		y := row{Class: map[reports.RowStyle]string{reports.Group: "group", reports.Sub: "total", reports.Total: "total"}[x.Style]}
		for _, i := range cols {
			y.Cells = append(y.Cells, cell{plain.Clean(v.Show(x.At(i), t.Columns[i])), t.Columns[i].Numeric()})
		}
		out.Rows = append(out.Rows, y)
	}
	for x := range t.All() {
		add(x)
	}
	for _, x := range t.Tail(r.Currency) {
		add(x)
	}
	return out
}

func cleaned(lines []string) (out []string) {
	for _, l := range lines {
		out = append(out, plain.Clean(l))
	}
	return out
}
