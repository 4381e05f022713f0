package reports

import (
	"fmt"
	"path/filepath"
	"strings"

	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
)

// aboutNeck is what the neck is, its plan and its parts, in three sentences.
func aboutNeck(r *workshop.NeckShowResult) []string {
	what := compact(r.Title, r.Wood)
	text := strings.Join(what, ", ")
	if r.Customer != "" {
		text = strings.TrimPrefix(text+". For "+r.Customer, ". ")
		text = strings.TrimSuffix(text, ".")
	}
	var out []string
	if text != "" {
		out = append(out, capital(text)+".")
	}
	if p := r.Layout; p != nil {
		state := "not frozen"
		switch {
		case p.OutOfDate != "":
			out = append(out, fmt.Sprintf("Plan %s is out of date: %s. Do not use its paper.", p.Code, strings.TrimSuffix(p.OutOfDate, ".")))
		default:
			if p.Frozen {
				state = "frozen"
			}
			line := fmt.Sprintf("Plan %s, %s.", p.Code, state)
			if p.Drilled > 0 {
				line = fmt.Sprintf("Plan %s, %s, %s drilled.", p.Code, state, jobs.CountText(p.Drilled, "hole"))
			}
			out = append(out, line)
		}
	}
	var missing []string
	for _, p := range r.Parts {
		if !r.IsClosed() && p.State != jobs.PartHere && p.State != jobs.PartReturned {
			missing = append(missing, fmt.Sprintf("%s %s", p.Name, p.Where))
		}
	}
	if len(missing) > 0 {
		out = append(out, "Parts: "+strings.Join(missing, ", ")+".")
	}
	if r.Late > 0 {
		out = append(out, "Changed after closing: "+jobs.CountText(r.Late, "entry")+".")
	}
	return out
}

// noteSections are the newest notes for the screen and all of them for the report.
func noteSections(r *workshop.NeckShowResult) []Section {
	var all []string
	var newest Pairs
	for i, n := range r.Notes {
		all = append(all, n.At.Format("2 Jan 2006")+remarkAt(n)+": "+remarkText(n, n.Photo))
		if i >= len(r.Notes)-nextNotes {
			newest.Add("", n.At.Format("2 Jan 2006")+remarkAt(n)+": "+remarkText(n, filepath.Base(n.Photo)))
		}
	}
	if n := len(all) - nextNotes; n > 0 {
		newest[0].Text += fmt.Sprintf(" (%d older: --why)", n)
	}
	return []Section{{At: First, Drawing: newest}, {At: Full | Why | Steps, Title: "Notes", Notes: all}}
}

// remarkAt names what ran on the neck when a note was written.
func remarkAt(n workshop.NeckRemark) string {
	if n.Operation == "" {
		return ""
	}
	return ", " + n.Operation
}

// remarkText is a note with the name of its photo.
func remarkText(n workshop.NeckRemark, photo string) string {
	text := n.Text
	if n.Photo != "" {
		photo = "photo " + photo
		if n.Missing {
			photo += " (the file is missing)"
		}
		text = strings.TrimSpace(text + " " + photo)
	}
	return text
}
