package workshop

import (
	"strings"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// SpentAsk logs work without a clock.
type SpentAsk struct {
	Asked
	Minutes   float64 `json:"minutes" word:"MINUTES" unit:"min"`
	Operation string  `json:"operation" word:"OPERATION"`
	// Text is "ada", "ada+bo" or "ada 6, bo 8".
	Text     string   `json:"necks" word:"NECK[+NECK]..."`
	Finished bool     `json:"done,omitempty" flag:"done" help:"the step is done"`
	On       jobs.Day `json:"on,omitempty" flag:"on" arg:"DATE" help:"the DATE of the work, if not today"`
	Started
}

// Spent logs work without a clock.
var Spent = Define("spent", "NOT LOGGED", Writes|Settles, (*Book).spent)

func (b *Book) spent(ask *SpentAsk, res *DoneResult) error {
	if ask.Minutes < 1 || ask.Minutes > 24*60 {
		return &jobs.FieldError{Field: "minutes", Value: jobs.NumberText(ask.Minutes), Want: "minutes from 1 to 1440, such as 30"}
	}
	at := b.Now
	if ask.On != "" {
		var err error
		if at, err = jobs.WallTime(ask.On, 12*60, b.Shop.Location(), ""); err != nil {
			return err
		}
		if at.After(b.Now) {
			return &jobs.FieldError{Field: "on", Value: string(ask.On), Want: "a day that has been, such as " + string(b.Tonight())}
		}
	}
	names, counts, err := b.spentWords(ask.Text)
	if err != nil {
		return err
	}
	start, entry, cautions, err := b.begin(ask.Operation, names, ask.Started)
	if err != nil {
		return err
	}
	operation := start.Operation
	if entry.ID, err = store.NextID(b.Tx, store.Entries); err != nil {
		return err
	}
	entry.From, entry.To, entry.Written = at, &at, b.Now
	entry.SpentSec = int64(ask.Minutes * 60)
	for _, x := range cautions {
		b.Warn(jobs.Warning{Code: x.Code, Text: x.Text})
	}
	if ask.Finished || operation.Decide {
		return b.Finish(entry, counts, FinishOptions{}, res)
	}
	for i := range entry.Shares {
		for _, c := range counts {
			if c.Neck == entry.Shares[i].Neck && c.N > 0 {
				entry.Shares[i].Count = c.N
			}
		}
	}
	entry = jobs.Stop(entry, operation, start.Necks, at)
	res.Entry, res.CountText, res.ElapsedMin = b.Row(entry), b.countText(entry, operation), jobs.Round2(ask.Minutes)
	return store.Put(b.Tx, store.Entries, entry)
}

// spentWords reads "ada", "ada+bo" and "ada 6, bo 8".
func (b *Book) spentWords(text string) (names []string, counts []jobs.Count, err error) {
	if t := strings.TrimSpace(text); strings.HasPrefix(t, "+") || strings.HasSuffix(t, "+") {
		return nil, nil, &jobs.FieldError{Field: "neck", Value: t, Want: "a neck on each side of the plus, such as ada+bo"}
	}
	f := strings.Fields(strings.ReplaceAll(text, "+", " "))
	if !strings.Contains(text, ",") && len(f) > 0 { // "ada bo" and "ada+bo" are two necks
		text = ""
		for i, w := range f {
			if i > 0 && (w[0] < '0' || w[0] > '9') {
				text += ","
			}
			text += " " + w
		}
	}
	counts, _, err = b.ParseCounts(strings.ReplaceAll(text, "+", ","))
	if err != nil {
		return nil, nil, err
	}
	for _, x := range counts {
		if x.Neck == "" {
			return nil, nil, &jobs.Refusal{Code: "usage", Class: jobs.Invalid, Why: "the neck is missing before its count", Type: []string{"spent 30 flush siskin 6"}}
		}
		names = append(names, x.Neck)
	}
	return names, counts, nil
}
