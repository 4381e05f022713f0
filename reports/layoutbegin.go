package reports

import (
	"fmt"
	"strings"

	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
)

// NewSpec shows a spec of a few answers, or says where it was written.
func NewSpec(r *workshop.BeginResult) Report {
	out := Of(r, "spec-"+r.Neck, "Spec of "+r.Name)
	file := r.Out
	if file == "" {
		file = r.Name + ".toml"
		out.Headline = []string{fmt.Sprintf("A spec for %s to begin with. It is not kept: add --out %s.", r.Name, file)}
		out.Sections = []Section{{Drawing: asIs(r.Text)}}
	} else {
		out.Headline = []string{fmt.Sprintf("WRITTEN a spec for %s to %s.", r.Name, file)}
	}
	if len(r.Guessed) > 0 {
		out.Notes = append(out.Notes, fmt.Sprintf("%s: %s. Measure them on your parts.", jobs.CountText(len(r.Guessed), "guessed value"), strings.Join(r.Guessed, ", ")))
	}
	out.Next = []string{fmt.Sprintf("layout compare %s --spec %s", r.Name, file), fmt.Sprintf("layout solve %s --spec %s --mode even-pitch", r.Name, file)}
	return out
}

// asIs is text that is shown line by line as it is.
type asIs string

// Text implements Drawing.
func (t asIs) Text(int) string { return strings.TrimRight(string(t), "\n") }
