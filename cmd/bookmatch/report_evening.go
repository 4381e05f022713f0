package main

import (
	"bookmatch/jobs"
	"bookmatch/jobs/store"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"

	"github.com/urfave/cli/v2"
)

// logWeeks is how many weeks stand behind an evening in the stack.
const logWeeks = 12

// reportEvening is the time log of one evening or several.
func (e *env) reportEvening(c *cli.Context) (paper, error) {
	w, err := typedWords(c, 0, 1)
	if err != nil {
		return paper{}, err
	}
	if len(w) == 1 && (c.String("from") != "" || c.String("to") != "") {
		return paper{}, usagef("write report evening DATE, or --from DATE --to DATE", "a date and a range do not go together")
	}
	var r reports.Report
	err = e.view(c, func(tx *workshop.Book) error {
		b, err := deskBench(tx)
		if err != nil {
			return err
		}
		if c.Bool("blank") {
			r, err = blankCard(b, w)
			return err
		}
		in := reports.EveningInput{Shop: b.Shop, Operations: b.Operations, Necks: map[string]jobs.Neck{}, Now: tx.Now}
		if in.From, in.To, err = eveningRange(c, b, w); err != nil {
			return err
		}
		for n, err := range store.Each(tx.Tx, store.Necks) {
			if err != nil {
				return err
			}
			in.Necks[n.Code] = n
		}
		if in.Weeks, err = tx.FindEntries(store.EntryFilter{From: min(in.From, in.To.Add(-7*logWeeks)), To: in.To}, b.Shop); err != nil {
			return err
		}
		in.Weeks = tx.Settled(in.Weeks)
		for _, x := range in.Weeks {
			if day := b.Shop.Evening(x.From); day >= in.From {
				in.Entries = append(in.Entries, x)
			}
		}
		r = reports.Evening(in)
		return nil
	})
	return paper{report: r}, err
}

// eveningRange reads which evenings are meant: a date, a range, or without
// either the newest evening that has work.
func eveningRange(c *cli.Context, b *desk, w []string) (from, to jobs.Day, err error) {
	to = b.Shop.Evening(b.Now)
	switch {
	case len(w) == 1:
		from, err = jobs.ParseDay("evening", w[0])
		return from, from, err
	case c.String("from") != "" || c.String("to") != "":
		if s := c.String("to"); s != "" {
			if to, err = jobs.ParseDay("to", s); err != nil {
				return "", "", err
			}
		}
		from = to
		if s := c.String("from"); s != "" {
			if from, err = jobs.ParseDay("from", s); err != nil {
				return "", "", err
			}
		}
		if to < from {
			return "", "", &jobs.FieldError{Field: "to", Value: string(to), Want: "a date on or after " + string(from)}
		}
		return from, to, nil
	}
	last, err := b.LatestEntries(1)
	if len(last) == 1 {
		to = b.Shop.Evening(last[0].From)
	}
	return to, to, err
}

func blankCard(b *desk, w []string) (reports.Report, error) {
	var day jobs.Day
	var err error
	if len(w) == 1 {
		if day, err = jobs.ParseDay("evening", w[0]); err != nil {
			return reports.Report{}, err
		}
	}
	states, err := openStates(b)
	return reports.EveningCard(b.Shop, states, day, b.Now), err
}

// openStates derives every neck that is on the bench or held.
func openStates(b *desk) ([]jobs.NeckState, error) {
	var out []jobs.NeckState
	for n, err := range store.Each(b.Tx, store.Necks) {
		if err != nil {
			return nil, err
		}
		if n.IsClosed() {
			continue
		}
		st, err := b.NeckState(n)
		if err != nil {
			return nil, err
		}
		out = append(out, st)
	}
	return out, nil
}
