package bench

import (
	"strings"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

func (e *Env) spent(l Line) error {
	w := l.Words()
	minutes, err := jobs.ParseNumber("minutes", w[0], 1, 24*60)
	if err != nil {
		return err
	}
	return e.Do(l, func(b *Bench) error {
		at := b.Tx.Now
		if d := l.String("on"); d != "" {
			day, err := jobs.ParseDay("on", d)
			if err != nil {
				return err
			}
			if at, err = jobs.WallTime(day, 12*60, b.Shop.Location(), ""); err != nil {
				return err
			}
			if at.After(b.Tx.Now) {
				return &jobs.FieldError{Field: "on", Value: d, Want: "a day that has been"}
			}
		}
		names, counts, _, err := b.spentWords(w[2:])
		if err != nil {
			return err
		}
		start, entry, cautions, err := b.begin(l, w[1], names)
		if err != nil {
			return err
		}
		operation := start.Operation
		if entry.ID, err = store.NextID(b.Tx, store.Entries); err != nil {
			return err
		}
		entry.From, entry.To, entry.Written = at, &at, b.Tx.Now
		entry.SpentSec = int64(minutes * 60)
		for _, x := range cautions {
			b.Warn("%s", x.Text)
		}
		if l.Bool("done") || operation.Decide {
			res, err := b.Finish(entry, counts, FinishOptions{})
			if err != nil {
				return err
			}
			b.SayDone(res)
			return nil
		}
		for i := range entry.Shares {
			if i < len(counts) && counts[i].N > 0 {
				entry.Shares[i].Count = counts[i].N
			}
		}
		b.Data = map[string]any{"entry": entry}
		b.Say("%s min %s %s logged; the step stays open (--done ends it)", NumberText(minutes), operation.Name, b.NecksText(entry))
		return store.Put(b.Tx, store.Entries, entry)
	})
}

// spentWords reads "ada", "ada+bo" and "ada 6, bo 8".
func (b *Bench) spentWords(w []string) (names []string, counts []jobs.Count, grade string, err error) {
	if _, err := SplitNecks(w); err != nil {
		return nil, nil, "", err
	}
	text := strings.ReplaceAll(strings.Join(w, " "), "+", ",")
	counts, grade, err = b.ParseCounts(text)
	if err != nil {
		return nil, nil, "", err
	}
	for _, x := range counts {
		if x.Neck == "" {
			return nil, nil, "", Usagef("spent 25 choose ada", "name the neck before its count")
		}
		names = append(names, x.Neck)
	}
	return names, counts, grade, nil
}
