package main

import (
	"fmt"
	"slices"
	"strconv"
	"time"

	"bookmatch/costing/estimate"
	"bookmatch/costing/money"
	"bookmatch/costing/quote"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"

	"github.com/urfave/cli/v2"
)

// reportYear gathers a calendar year, this one if none is named.
func (e *env) reportYear(c *cli.Context) (paper, error) {
	w, err := typedWords(c, 0, 1)
	if err != nil {
		return paper{}, err
	}
	year := 0
	if len(w) == 1 {
		if year, err = strconv.Atoi(w[0]); err != nil || year < 1900 || year > 9999 {
			return paper{}, &jobs.FieldError{Field: "year", Value: w[0], Want: "a year such as 2026"}
		}
	}
	var r reports.Report
	err = e.view(c, func(tx *workshop.Book) error {
		b, err := deskBench(tx)
		if err != nil {
			return err
		}
		if year == 0 {
			year = tx.Now.In(b.Shop.Location()).Year()
		}
		in, err := yearOf(b, year)
		if err != nil {
			return err
		}
		r = reports.Year(in)
		return nil
	})
	return paper{report: r}, err
}

func yearOf(b *desk, year int) (reports.YearInput, error) {
	tx := b.Book
	first, last := jobs.Day(fmt.Sprintf("%d-01-01", year)), jobs.Day(fmt.Sprintf("%d-12-31", year))
	in := reports.YearInput{Shop: b.Shop, Year: year, Now: tx.Now, Prices: map[string]money.Amount{}, Bought: map[string]money.Amount{}, Hours: map[string]reports.NeckHours{}}
	var err error
	if in.Entries, err = tx.FindEntries(store.EntryFilter{From: first, To: last}, b.Shop); err != nil {
		return in, err
	}
	in.Entries = tx.Settled(in.Entries)
	if in.Necks, err = store.All(tx.Tx, store.Necks); err != nil {
		return in, err
	}
	for _, n := range in.Necks {
		if n.Status != jobs.Finished || n.Closed == nil || n.Closed.In(b.Shop.Location()).Year() != year {
			continue
		}
		st, err := tx.NeckState(n)
		if err != nil {
			return in, err
		}
		cost, err := tx.NeckCost(n)
		if err != nil {
			return in, err
		}
		in.Hours[n.Code] = reports.NeckHours{All: st.Total}
		in.Bought[n.Code] = money.Sum(cost.Supplies, cost.Bits, cost.Parts)
	}
	for _, n := range in.Necks {
		net, sold, err := tx.SoldFor(n)
		if err != nil {
			return in, err
		}
		if sold {
			in.Prices[n.Code] = net
		}
	}
	kept, err := b.KeptQuotes(func(closed time.Time) bool { return closed.In(b.Shop.Location()).Year() == year })
	if err != nil {
		return in, err
	}
	if len(kept) > 0 {
		cal := quote.Calibrate(kept)
		in.Quotes = &cal
	}
	in.Overhead = quote.Absorb(b.Shop.YearlyOverhead, quote.LoggedOnNecks(in.Entries, tx.Now), b.Shop.PlannedHours, 0)
	worked, err := tx.WorkedEvenings(first, last)
	if err != nil {
		return in, err
	}
	in.Unlogged = estimate.UnloggedFactor(worked, first, last)
	book, err := tx.BitBook()
	if err != nil {
		return in, err
	}
	in.Lives = book.Lives()
	in.Uses = slices.DeleteFunc(slices.Clone(book.Uses), func(u jobs.BitUse) bool {
		day := b.Shop.Evening(u.On)
		return day < first || day > last
	})
	in.Standards, err = standardsOf(b)
	return in, err
}

// standardsOf estimates every operation for the middle of the quantities seen, or
// one unit where none was.
func standardsOf(b *desk) ([]reports.Standard, error) {
	var out []reports.Standard
	for _, name := range jobs.SortedKeys(b.Operations) {
		samples, err := b.Est().Samples(name)
		if err != nil {
			return nil, err
		}
		var seen []float64
		for _, s := range samples {
			if s.Counts() {
				seen = append(seen, s.Quantity)
			}
		}
		q := 1.0
		if len(seen) > 0 {
			slices.Sort(seen)
			q = seen[len(seen)/2]
		}
		e, err := b.Est().Step(name, q)
		if err != nil {
			return nil, err
		}
		out = append(out, reports.Standard{Operation: b.Operations[name], Quantity: q, Estimate: e})
	}
	return out, nil
}

// slowly runs fn; when it takes longer than a second and a person watches, a
// line on stderr says what is going on.
func (e *env) slowly(what string, fn func() error) error {
	if !e.ErrTerminal {
		return fn()
	}
	done := make(chan error, 1)
	go func() { done <- fn() }()
	start, shown := time.Now(), false
	tick := time.NewTicker(time.Second)
	defer tick.Stop()
	for {
		select {
		case err := <-done:
			if shown {
				fmt.Fprint(e.ErrOut, "\r\x1b[K")
			}
			return err
		case <-tick.C:
			shown = true
			fmt.Fprintf(e.ErrOut, "\rbookmatch: %s, %d s ...", what, int(time.Since(start).Seconds()))
		}
	}
}
