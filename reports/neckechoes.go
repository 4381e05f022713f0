package reports

import (
	"fmt"
	"strings"

	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
)

// NeckAdded is the echo of a new neck.
func NeckAdded(r *workshop.NeckResult) Report {
	lines := []string{fmt.Sprintf("ADDED %s: %s of route %s.", r.Full(), jobs.CountText(r.Steps, "step"), r.Route)}
	if r.Wood == "" {
		lines = append(lines, "No wood is set. Type: neck set "+r.Name()+" --wood hard-maple")
	} else if r.Next != "" {
		lines = append(lines, fmt.Sprintf("Next on %s: %s.", r.Name(), r.Next))
	}
	return Report{Name: "neck", Headline: lines}
}

// NeckChanged is the echo of what was changed about a neck.
func NeckChanged(r *workshop.NeckResult) Report {
	var parts []string
	for _, c := range r.Changed {
		text := c.What + " " + noneWord(c.Now)
		if c.Was != "" {
			text += " (was " + c.Was + ")"
		}
		parts = append(parts, text)
	}
	return Report{Name: "neck", Headline: []string{fmt.Sprintf("CHANGED %s: %s.", r.Name(), strings.Join(parts, ", "))}}
}

// NeckTurned is the echo of a new status.
func NeckTurned(r *workshop.NeckResult) Report {
	why := ""
	if r.Why != "" {
		why = ": " + strings.TrimSuffix(r.Why, ".")
	}
	var lines []string
	switch r.Status {
	case jobs.Held:
		lines = []string{fmt.Sprintf("ON HOLD %s%s.", r.Full(), why), "To go on, type: neck resume " + r.Name()}
	case jobs.Open:
		lines = []string{fmt.Sprintf("OPEN again: %s, %s left.", r.Full(), jobs.CountText(r.Left, "step"))}
		if r.Next != "" {
			lines = append(lines, fmt.Sprintf("Next on %s: %s.", r.Name(), r.Next))
		}
	case jobs.Scrapped:
		lines = []string{fmt.Sprintf("SCRAPPED %s%s.", r.Full(), why), "Its hours and money stay on record. Type: neck show " + r.Name()}
	case jobs.Finished:
		lines = []string{fmt.Sprintf("FINISHED %s%s.", r.Full(), why)}
		if s := r.Sale; s != nil {
			text := map[jobs.Delivery]string{jobs.Gift: "Given away on ", jobs.Kept: "Kept, from "}[s.How]
			if s.How == jobs.Sold {
				text = "Sold for " + amount(r.Currency, s.Price) + " on "
			}
			lines = append(lines, text+longDay(s.On)+".")
		} else {
			lines = append(lines, fmt.Sprintf("Sold, given away or kept? Type: neck finish %s --price 640.00 (or --gift, --keep)", r.Name()))
		}
	}
	return Report{Name: "neck", Headline: lines}
}

// StepChanged is the echo of a step that was changed, skipped or added.
func StepChanged(r *workshop.NeckStepResult) Report {
	word := "CHANGED"
	if r.Added {
		word = "ADDED"
	}
	line := fmt.Sprintf("%s step %d of %s: %s, %s", word, r.Step, r.Name, r.Operation, r.QuantityText)
	if r.Difficulty > 0 {
		line += ", difficulty " + jobs.NumberText(r.Difficulty)
	}
	if r.Moved {
		line += ", needs " + strings.Join(orNothing(r.After), ", ")
	}
	if r.Skip != "" {
		line += ", skipped: " + strings.TrimSuffix(r.Skip, ".")
	}
	if r.Note != "" {
		line += ", note: " + strings.TrimSuffix(r.Note, ".")
	}
	return Report{Name: "neck", Headline: []string{line + "."}}
}

// NoteSaved is the echo of a note.
func NoteSaved(r *workshop.NeckNoteResult) Report {
	return Report{Name: "neck", Headline: []string{
		fmt.Sprintf("SAVED note %d on %s%s: %s", r.Count, r.Name(), remarkAt(r.Note), remarkText(r.Note, r.Note.Photo)),
		"Find it again: find " + findWord(r.Note)}}
}

// findWord is a word of a note by which it is found.
func findWord(n workshop.NeckRemark) string {
	longest := ""
	for _, w := range strings.FieldsFunc(n.Text, func(r rune) bool { return !(r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z') }) {
		if len(w) > len(longest) {
			longest = w
		}
	}
	if longest == "" {
		return "photo"
	}
	return longest
}

// PaymentSaved is the echo of a payment.
func PaymentSaved(r *workshop.NeckPayResult) Report {
	line := fmt.Sprintf("SAVED %s for %s on %s.", amount(r.Currency, r.Payment.Amount), r.Name(), longDay(r.Payment.On))
	second := fmt.Sprintf("%s has come in so far.", amount(r.Currency, r.Sale.Paid))
	if r.Sale.Due.Sign() > 0 {
		second += fmt.Sprintf(" %s is still to come.", amount(r.Currency, r.Sale.Due))
	}
	return Report{Name: "neck", Headline: []string{line, second}}
}

func noneWord(s string) string {
	if s == "" {
		return "none"
	}
	return s
}
