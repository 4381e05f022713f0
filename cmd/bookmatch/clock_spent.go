package main

import (
	"strings"

	"bookmatch/jobs"
	"bookmatch/jobs/store"

	"github.com/urfave/cli/v2"
)

func (e *env) spent(c *cli.Context) error {
	w, err := words(c, 3, -1)
	if err != nil {
		return err
	}
	minutes, err := jobs.ParseNumber("minutes", w[0], 1, 24*60)
	if err != nil {
		return err
	}
	return e.benchWord(c, func(b *bench) error {
		at := b.tx.Now
		if d := c.String("on"); d != "" {
			day, err := jobs.ParseDay("on", d)
			if err != nil {
				return err
			}
			if at, err = jobs.WallTime(day, 12*60, b.shop.Location(), ""); err != nil {
				return err
			}
			if at.After(b.tx.Now) {
				return &jobs.FieldError{Field: "on", Value: d, Want: "a day that has been"}
			}
		}
		names, counts, _, err := b.spentWords(w[2:])
		if err != nil {
			return err
		}
		states, err := b.tx.States(names, b.kinds, b.shop)
		if err != nil {
			return err
		}
		kind, err := jobs.FindKind(w[1], b.kinds, states)
		if err != nil {
			return err
		}
		entry, cautions, err := jobs.Start{Kind: kind, Necks: states, Rework: c.String("rework"), Payer: c.String("payer"), Anyway: c.String("anyway"),
			Person: c.String("by"), Note: c.String("note")}.Begin(b.kinds, b.shop, b.tx.Now)
		if err != nil {
			return err
		}
		if entry.ID, err = store.NextID(b.tx, store.Entries); err != nil {
			return err
		}
		entry.From, entry.To, entry.Written = at, &at, b.tx.Now
		entry.SpentSec = int64(minutes * 60)
		for _, x := range cautions {
			b.warn("%s", x.Text)
		}
		if c.Bool("done") || kind.Decide {
			res, err := b.finish(entry, counts, finishOptions{})
			if err != nil {
				return err
			}
			b.sayDone(res)
			return nil
		}
		for i := range entry.Shares {
			if i < len(counts) && counts[i].N > 0 {
				entry.Shares[i].Count = counts[i].N
			}
		}
		b.data = map[string]any{"entry": entry}
		b.say("%s min %s %s logged; the step stays open (--done ends it)", numberText(minutes), kind.Name, b.necksText(entry))
		return store.Put(b.tx, store.Entries, entry)
	})
}

// spentWords reads "ada", "ada+bo" and "ada 6, bo 8".
func (b *bench) spentWords(w []string) (names []string, counts []jobs.Count, grade string, err error) {
	text := strings.ReplaceAll(strings.Join(w, " "), "+", ",")
	counts, grade, err = b.parseCounts(text)
	if err != nil {
		return nil, nil, "", err
	}
	for _, x := range counts {
		if x.Neck == "" {
			return nil, nil, "", usagef("spent 25 choose ada", "name the neck before its count")
		}
		names = append(names, x.Neck)
	}
	return names, counts, grade, nil
}
