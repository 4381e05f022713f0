package paper

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"bookmatch/jobs"
	"bookmatch/reports"
	"bookmatch/reports/draw"
	"bookmatch/reports/plain"
)

// IsReport says that a file of that name holds a report on paper.
func IsReport(path string) bool { return strings.HasSuffix(strings.ToLower(path), ".pdf") }

// WriteReport writes a report as a PDF on the report's paper. It has the
// cautions first, then the tables and drawings, and at the end how the figures
// were counted. A paper for a customer has no such end. All pages are across when
// a table does not fit upright. The warnings name the letters that the face lacks.
func WriteReport(w io.Writer, r reports.Report) (pages int, warnings []jobs.Warning, err error) {
	if r.Leaves != nil {
		return writeLeaves(w, r)
	}
	if err := r.Check(); err != nil {
		return 0, nil, err
	}
	r = lifted(r)
	pdf := NewPDF(Info{Title: r.Title, Subject: r.Subject, Author: r.Shop, Made: r.Made, Font: r.Font})
	s := newSheet(pdf, r)
	s.top()
	for _, x := range r.Sections {
		s.section(x)
	}
	s.notes(r.Notes)
	s.accept()
	if !r.ForCustomer {
		s.counted()
	}
	s.print(pdf)
	if _, err := pdf.WriteTo(w); err != nil {
		return 0, nil, err
	}
	return len(s.pages), pdf.Warnings(), nil
}

// lifted moves sections of cautions to the cautions of the report, which come
// before everything that can hurt.
func lifted(r reports.Report) reports.Report {
	var sections []reports.Section
	for _, x := range r.Sections {
		caution := x.Title != "" && x.Table == nil && x.Drawing == nil && len(x.Notes) > 0
		for _, n := range x.Notes {
			caution = caution && strings.HasPrefix(n, "! ")
		}
		if !caution {
			sections = append(sections, x)
			continue
		}
		r.Cautions = slices.Clone(r.Cautions)
		for _, n := range x.Notes {
			r.Cautions = append(r.Cautions, strings.TrimPrefix(n, "! "))
		}
	}
	r.Sections = sections
	return r
}

// print writes the pages with what is below each of them.
func (s *sheet) print(to draw.Surface) {
	for i, p := range s.pages {
		to.Page(s.width, s.height)
		for _, op := range p.ops {
			op(to)
		}
		s.foot(to, i+1)
	}
}

// foot writes shop, paper and page below a rule.
func (s *sheet) foot(to draw.Surface, page int) {
	const gap = 4.0
	base := s.height - bottomMargin
	to.Path(draw.Stroke(s.left, base-4.2, s.left+s.room, base-4.2), draw.Look{Stroke: draw.Rule, Width: 0.2})
	left, middle, right := s.r.Shop, strings.Join(some(s.paperName(), s.made("2 January 2006")), ", "), fmt.Sprintf("page %d of %d", page, len(s.pages))
	if left == "" {
		left, middle = middle, ""
	}
	small := draw.Type{Points: small, Ink: draw.Grey}
	most := s.room - to.Width(right, small) - gap
	left = draw.Cut(to, plain.Clean(left), small, most)
	to.Text(s.left, base, left, small)
	if rest := most - to.Width(left, small) - gap; rest > 20 {
		// It is in the middle of the page where it has the room, else of what is left.
		words := draw.Cut(to, plain.Clean(middle), small, rest)
		half := to.Width(words, small) / 2
		x := s.left + s.room/2
		from, till := s.left+to.Width(left, small)+gap, s.left+most
		x = max(from+half, min(x, till-half))
		small.Anchor = draw.Middle
		to.Text(x, base, words, small)
	}
	small.Anchor = draw.End
	to.Text(s.left+s.room, base, right, small)
}

// paperName is what the foot calls the paper: its title and the code of its plan.
func (s *sheet) paperName() string {
	name := s.r.Title
	if name == "" {
		name = s.r.Name
	}
	if s.r.Code != "" {
		name += ", plan " + s.r.Code
	}
	return name
}

// made is the date of the figures, or "" where there is none.
func (s *sheet) made(form string) string {
	switch {
	case s.r.Made.IsZero():
		return ""
	case s.r.ForCustomer: // a day of its own, without a zone
		return s.r.Made.Format(form)
	}
	return s.r.Made.In(s.zone()).Format(form)
}

func (s *sheet) zone() *time.Location { return s.r.Location() }

func some(words ...string) []string {
	var out []string
	for _, w := range words {
		if w != "" {
			out = append(out, w)
		}
	}
	return out
}
