package paper

import (
	"io"

	"bookmatch/jobs"
	"bookmatch/reports"
)

// writeLeaves writes the pages of a report that were laid out by hand.
func writeLeaves(w io.Writer, r reports.Report) (int, []jobs.Warning, error) {
	pdf := NewPDF(Info{Title: r.Title, Subject: r.Subject, Author: r.Shop, Made: r.Made, Font: r.Font})
	leaves := r.Leaves(pdf)
	for _, l := range leaves {
		pdf.Page(l.Width, l.Height)
		l.Draw(pdf)
	}
	_, err := pdf.WriteTo(w)
	return len(leaves), pdf.Warnings(), err
}
