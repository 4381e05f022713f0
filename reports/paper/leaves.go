package paper

import (
	"io"

	"bookmatch/jobs"
	"bookmatch/reports"
)

// writeLeaves writes the pages of a report that were laid out by hand.
func writeLeaves(w io.Writer, r reports.Report) ([]jobs.Warning, error) {
	pdf := NewPDF(Info{Title: r.Title, Subject: r.Subject, Author: r.Shop, Made: r.Made})
	for _, l := range r.Leaves {
		pdf.Page(l.Width, l.Height)
		l.Draw(pdf)
	}
	_, err := pdf.WriteTo(w)
	return pdf.Warnings(), err
}
