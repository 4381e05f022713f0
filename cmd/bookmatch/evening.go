package main

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"bookmatch/costing/estimate"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"

	"github.com/urfave/cli/v2"
)

const cardHelp = `A card is one line, its items parted by commas:

  1910 flush ada            work from 19:10 until the next time
  1945 drill bo 6           with a count: the step is done, 6 holes
  1930-1950 glue cy done    a range; done without a count means as planned
  2000 drill ada+bo 6+8     one sitting over two necks, a count for each
  2030 drill ada 4 open     four holes, the step stays open
  2040 drill ada+bo 6+3 left bo    bo dropped out midway
  2050 away, 2105 back      a break
  2115 end                  the bench is left
  spent 25 choose ada       work without a clock

A count or the word done ends the step; without either it stays open. Further words behind the count: grade 0..3, bit CODE, temp DEGREES, rework CAUSE, payer WHO, by PERSON, note ...

Times run on past midnight. In an hour that clocks repeat, say which with --offset +02:00, or in the item (0230+02:00). Nothing is written if anything overlaps what is logged.`

func eveningCommand(e *env) *cli.Command {
	return &cli.Command{
		Name: "evening", Usage: "an evening as a whole: see it, or enter it from a paper card",
		Subcommands: []*cli.Command{
			{Name: "show", Usage: "what was done on an evening", ArgsUsage: "[DATE]", Action: e.eveningShow},
			{Name: "enter", Usage: "a whole evening in one line", ArgsUsage: `DATE "1910 flush ada, 1945 drill bo 6, 2115 end"`, Description: cardHelp, Action: e.eveningEnter,
				Flags: []cli.Flag{&cli.StringFlag{Name: "offset", Usage: "which of a repeated hour, such as `+02:00`"}}},
		},
	}
}

type enterResult struct {
	Evening  jobs.Day         `json:"evening"`
	Entries  []entryRow       `json:"entries"`
	TotalMin float64          `json:"total_min"`
	Bits     []jobs.BitUse    `json:"bit_uses,omitempty"`
	Supplies []jobs.SupplyUse `json:"supply_uses,omitempty"`
	Open     []string         `json:"open,omitempty"` // steps that stay open
	Warnings []string         `json:"warnings,omitempty"`
}

func (e *env) eveningEnter(c *cli.Context) error {
	w, err := typedWords(c, 2, -1)
	if err != nil {
		return err
	}
	day, err := jobs.ParseDay("evening", w[0])
	if err != nil {
		return err
	}
	items, err := jobs.ParseCard(strings.Join(w[1:], " "))
	if err != nil {
		return err
	}
	return e.benchWord(c, func(b *desk) error {
		works, err := jobs.PlaceCard(items, day, b.Shop.Location(), b.Shop.DayEnds, c.String("offset"), b.Now)
		if err != nil {
			return err
		}
		var claims []jobs.Entry
		for _, x := range works {
			to := x.To
			claim := jobs.Entry{Operation: x.Operation, From: x.From, To: &to, SpentSec: int64(x.Spent * 60)}
			for _, n := range x.Necks {
				claim.Shares = append(claim.Shares, jobs.Share{Neck: n})
			}
			claims = append(claims, claim)
		}
		hits, err := b.Overlapping(claims)
		if err != nil {
			return err
		}
		if len(hits) > 0 {
			return b.overlap(claims, hits)
		}
		res := enterResult{Evening: day}
		names := map[string]string{}
		total := time.Duration(0)
		for _, x := range works {
			done, err := b.enter(x, &res)
			if err != nil {
				return fmt.Errorf("%s: %w", x.Text, err)
			}
			total += done.Elapsed(b.Now)
			res.Entries = append(res.Entries, b.row(done, names))
		}
		res.TotalMin = total.Minutes()
		b.Data = res
		for _, r := range res.Entries {
			at := b.Clock(r.From)
			if r.Unclocked {
				at = "     "
			}
			b.Say("%s %s, %s (entry %d)", at, strings.TrimSpace(r.Operation+" "+r.neckNames()+" "+r.counts()), jobs.MinutesText(r.elapsed), r.ID)
		}
		b.Say("%s on the evening of %s", jobs.MinutesText(total), day)
		if len(res.Bits)+len(res.Supplies) > 0 {
			b.Say("      with it: %s", b.followersText(res.Supplies, res.Bits))
		}
		b.warns = append(b.warns, res.Warnings...)
		if len(res.Open) > 0 {
			b.Warn("still open: %s", strings.Join(res.Open, ", "))
			b.Warn("hint: if one was done: entry amend ID --done --why \"...\"; on a card a count or the word done says so")
		}
		return nil
	})
}

// enter writes one item of a card as the bench words would have, at the times
// it tells. What would have stopped the bench word is told: it happened.
func (b *desk) enter(x jobs.CardWork, res *enterResult) (jobs.Entry, error) {
	var states []jobs.NeckState
	var codes []string
	late := false
	for _, word := range x.Necks {
		n, err := b.FindNeck(word)
		if err != nil {
			return jobs.Entry{}, err
		}
		if n.IsClosed() {
			late = true
			res.Warnings = append(res.Warnings, fmt.Sprintf("neck %s is %s: marked as changed after closing", n.Name(), n.Status))
		}
		n.Status = jobs.Open
		st, err := b.stateBefore(n, x.From)
		if err != nil {
			return jobs.Entry{}, err
		}
		states = append(states, st)
		codes = append(codes, n.Code)
	}
	operation, err := jobs.FindOperation(x.Operation, b.Operations, states)
	if err != nil {
		return jobs.Entry{}, err
	}
	entry, cautions, err := jobs.Start{Operation: operation, Necks: states, Rework: x.Rework, Payer: x.Payer, Person: x.Person, Note: x.Note, Anyway: "as it was"}.Begin(b.Operations, b.Shop, x.From)
	if err != nil {
		return entry, err
	}
	entry.Anyway = ""
	for _, caution := range cautions {
		if caution.Stops {
			entry.Anyway = "as it was on the card"
		}
		res.Warnings = append(res.Warnings, caution.Text)
	}
	ends := x.Ends() || (x.Spent > 0 && operation.Decide && !x.Open)
	if ends && entry.Class != jobs.Rework && !operation.Decide {
		if err := b.notDoneLater(entry); err != nil {
			return entry, err
		}
	}
	if entry.ID, err = store.NextID(b.Tx, store.Entries); err != nil {
		return entry, err
	}
	to := x.To
	entry.From, entry.To, entry.Away, entry.Written = x.From, &to, x.Away, b.Now
	entry.SpentSec, entry.Late = int64(x.Spent*60), late
	if !ends {
		for i := range entry.Shares {
			entry.Shares[i].Count = max(x.CountFor(i), 0)
		}
		res.Open = append(res.Open, fmt.Sprintf("%s %s (entry %d)", operation.Name, b.NecksText(entry), entry.ID))
		entry = jobs.Stop(entry, operation, states, to)
		return entry, store.Put(b.Tx, store.Entries, entry)
	}
	var counts []jobs.Count
	for i, code := range codes {
		counts = append(counts, jobs.Count{Neck: code, N: x.CountFor(i), Left: b.isLeft(x.Left, states[i].Neck)})
	}
	if err := b.Finish(entry, counts, workshop.FinishOptions{Bit: x.Bit, Grade: x.Grade, TempC: x.TempC}, nil); err != nil {
		return entry, err
	}
	uses, holes, err := b.EntryFollowers(entry.ID)
	if err != nil {
		return entry, err
	}
	res.Bits = append(res.Bits, holes...)
	res.Supplies = append(res.Supplies, uses...)
	return b.Entry(entry.ID)
}

func (b *desk) isLeft(words []string, n jobs.Neck) bool {
	return slices.ContainsFunc(words, func(w string) bool {
		m, err := b.FindNeck(w)
		return err == nil && m.Code == n.Code
	})
}

// stateBefore derives a neck as it stood at an instant, from what is logged
// before it.
func (b *desk) stateBefore(n jobs.Neck, at time.Time) (jobs.NeckState, error) {
	es, err := b.NeckEntries(n.Code)
	if err != nil {
		return jobs.NeckState{}, err
	}
	es = slices.DeleteFunc(es, func(e jobs.Entry) bool { return !e.From.Before(at) && e.SpentSec == 0 })
	return jobs.Derive(n, es, b.Operations, b.Shop, at), nil
}

// notDoneLater refuses to end a step that a later entry ends: one of the two is
// rework, or was typed twice.
func (b *desk) notDoneLater(e jobs.Entry) error {
	for _, s := range e.Shares {
		if s.Step == 0 {
			continue
		}
		es, err := b.NeckEntries(s.Neck)
		if err != nil {
			return err
		}
		for _, f := range es {
			if i := f.ShareOf(s.Neck); f.Class == jobs.First && f.Shares[i].Step == s.Step && f.Shares[i].Done {
				return &jobs.ConflictError{What: fmt.Sprintf("%s is already done by entry %d, %s", f.Operation, f.ID, b.spanText(f)),
					How: "typed twice? else write open behind the count, or rework CAUSE"}
			}
		}
	}
	return nil
}

// wholeSpan runs from the first start to the last end of what was clocked,
// with all that lay between.
func wholeSpan(rows []entryRow) time.Duration {
	var first, last time.Time
	for _, r := range rows {
		if r.To == nil || r.Unclocked || r.Person != "" {
			continue
		}
		if first.IsZero() || r.From.Before(first) {
			first = r.From
		}
		if r.To.After(last) {
			last = *r.To
		}
	}
	return last.Sub(first)
}

// eveningResult is `evening show --json`.
type eveningResult struct {
	Evening  jobs.Day   `json:"evening"`
	Week     string     `json:"week"`
	Planned  string     `json:"planned,omitempty"`
	Entries  []entryRow `json:"entries"`
	TotalMin float64    `json:"total_min"`
	SpanMin  float64    `json:"span_min"` // from the first start to the last end, long gaps and breaks taken out
	// ClockedMin is the part of TotalMin that was clocked within SpanMin.
	ClockedMin float64       `json:"clocked_min"`
	Necks      []neckMinutes `json:"necks"`
	Unlogged   unloggedShow  `json:"unlogged"`
}

type neckMinutes struct {
	Neck string  `json:"neck"`
	Name string  `json:"name"`
	Min  float64 `json:"min"`
}

// looseShow is the un-logged time of the last ten weeks.
type unloggedShow struct {
	estimate.Unlogged
	Days int `json:"days"`
}

func (b *desk) unlogged() (unloggedShow, error) {
	tonight := b.Shop.Evening(b.Now)
	log, err := b.EntriesBetween(tonight.Noon().AddDate(0, 0, -estimate.UnloggedDays-2), b.Now)
	return unloggedShow{estimate.UnloggedLately(log, b.Shop, tonight), estimate.UnloggedDays}, err
}

func (l unloggedShow) text() string {
	if l.Evenings == 0 {
		return fmt.Sprintf("un-logged time: no evening measured in ten weeks, %.2f taken (judgement)", l.Factor)
	}
	return fmt.Sprintf("un-logged time: evenings are %.2f x their logged work over ten weeks (%d evenings); %.2f is used", l.Measured, l.Evenings, l.Factor)
}

func (e *env) eveningShow(c *cli.Context) error {
	w, err := typedWords(c, 0, 1)
	if err != nil {
		return err
	}
	res := eveningResult{Entries: []entryRow{}, Necks: []neckMinutes{}}
	var b *desk
	err = e.view(c, func(tx *workshop.Book) (err error) {
		if b, err = deskBench(tx); err != nil {
			return err
		}
		res.Evening = b.Shop.Evening(tx.Now)
		if len(w) == 1 {
			if res.Evening, err = jobs.ParseDay("evening", w[0]); err != nil {
				return err
			}
		}
		y, week := res.Evening.Noon().ISOWeek()
		res.Week = fmt.Sprintf("%d-W%02d", y, week)
		if slot, ok := b.Shop.SlotOn(res.Evening); ok {
			res.Planned = slot.String()
		}
		es, err := tx.Evening(b.Shop, res.Evening)
		if err != nil {
			return err
		}
		es = tx.Settled(es)
		names := map[string]string{}
		own := map[string]time.Duration{}
		total := time.Duration(0)
		for _, x := range es {
			r := b.row(x, names)
			res.Entries = append(res.Entries, r)
			total += r.elapsed
			for i, s := range x.Shares {
				own[s.Neck] += r.parts[i]
			}
		}
		res.TotalMin = total.Minutes()
		for _, code := range jobs.SortedKeys(own) {
			res.Necks = append(res.Necks, neckMinutes{code, names[code], own[code].Minutes()})
		}
		for _, d := range estimate.WorkedEvenings(es, b.Shop) {
			res.SpanMin, res.ClockedMin = d.SpanMin, d.LoggedMin
		}
		res.Unlogged, err = b.unlogged()
		return err
	})
	if err != nil {
		return err
	}
	if wantJSON(c) {
		return e.PrintJSON(res)
	}
	rep := entryReport(entryList{Entries: res.Entries}, b, "", 0)
	rep.Name, rep.Title = "evening", fmt.Sprintf("Evening of %s %s (%s)", res.Evening.Weekday().String()[:3], res.Evening, res.Week)
	t := rep.Tables()[0]
	t.Empty = "nothing is logged on this evening"
	var parts []string
	for _, n := range res.Necks {
		parts = append(parts, fmt.Sprintf("%s %s", n.Name, reports.SpanText(time.Duration(n.Min*float64(time.Minute)).Round(time.Second))))
	}
	if len(parts) > 0 {
		t.Note("%s", strings.Join(parts, ", "))
	}
	if res.SpanMin > 0 {
		out := ""
		if res.SpanMin < wholeSpan(res.Entries).Minutes()-0.5 {
			out = ", breaks and gaps above 90 min taken out"
		}
		t.Note("from the first start to the last end %.0f min%s, %.0f of them logged", res.SpanMin, out, res.ClockedMin)
	}
	t.Note("%s", res.Unlogged.text())
	return e.print(rep)
}
