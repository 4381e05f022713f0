package main

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"bookmatch/jobs"
	"bookmatch/jobs/store"

	"github.com/urfave/cli/v2"
)

// amendResult is what came of mending an entry.
type amendResult struct {
	Entry    *jobs.Entry      `json:"entry"`
	Was      jobs.Entry       `json:"was"`
	What     []string         `json:"what"`
	Bits     []jobs.BitUse    `json:"bit_uses,omitempty"`
	Supplies []jobs.SupplyUse `json:"supply_uses,omitempty"`
	Warnings []string         `json:"warnings,omitempty"`
}

func sortedIDs(ids []uint64) []uint64 { slices.Sort(ids); return ids }

// entryID reads the one number that a command needs.
func entryID(c *cli.Context) (uint64, error) {
	w, err := typedWords(c, 1, 1)
	if err != nil {
		return 0, err
	}
	id, err := strconv.ParseUint(w[0], 10, 64)
	if err != nil {
		return 0, &jobs.FieldError{Field: "entry", Value: w[0], Want: "a number from entry list"}
	}
	return id, nil
}

// reason asks for --why and keeps it in the journal as the reason of the change.
func (b *desk) reason(c *cli.Context) error {
	why := strings.Join(strings.Fields(c.String("why")), " ")
	if why == "" {
		return usagef(`add --why "the end was read off the wall"`, "a correction needs a reason")
	}
	b.Why = why
	return nil
}

func (e *env) entryAmend(c *cli.Context) error {
	id, err := entryID(c)
	if err != nil {
		return err
	}
	return e.mend(c, id, func(b *desk, was jobs.Entry) (jobs.Entry, error) {
		a, err := b.amendment(c, was)
		if err != nil {
			return was, err
		}
		if a.Empty() {
			return was, usagef("see bookmatch entry amend --help", "nothing to change was named")
		}
		if !onlyConfirms(a) || c.String("why") != "" {
			if err := b.reason(c); err != nil {
				return was, err
			}
		}
		operation := b.Operations[was.Operation]
		if a.Operation != nil {
			operation = *a.Operation
		}
		// Planned quantities are those without this entry.
		states, err := b.statesWithout(was)
		if err != nil {
			return was, err
		}
		is, err := a.Apply(was, operation, states)
		if err == nil && len(a.Counts) > 0 {
			b.WarnCounts(is, states, operation)
		}
		return is, err
	})
}

func onlyConfirms(a jobs.Amendment) bool {
	a.Confirm = false
	return a.Empty()
}

// amendment reads the flags of entry amend.
func (b *desk) amendment(c *cli.Context, was jobs.Entry) (jobs.Amendment, error) {
	a := jobs.Amendment{Done: c.Bool("done"), Open: c.Bool("open"), Confirm: c.Bool("confirm")}
	fail := func(err error) (jobs.Amendment, error) { return a, err }
	var err error
	if v := c.String("from"); v != "" {
		if a.From, err = b.wallOn(was, "from", v, c.String("offset"), was.From.Add(-12*time.Hour)); err != nil {
			return fail(err)
		}
	}
	start := was.From
	if a.From != nil {
		start = *a.From
	}
	if v := c.String("to"); v != "" {
		if a.To, err = b.wallOn(was, "to", v, c.String("offset"), start); err != nil {
			return fail(err)
		}
	}
	if a.From != nil && a.To == nil && was.To != nil && was.SpentSec == 0 && !a.From.Before(*was.To) {
		return fail(&jobs.FieldError{Field: "from", Value: c.String("from"), Want: "a start before the end at " + b.Clock(*was.To) + ", or --to beside it"})
	}
	if v := c.String("spent"); v != "" {
		m, err := jobs.ParseNumber("spent", v, 1, 24*60)
		if err != nil {
			return fail(err)
		}
		a.SpentMin = &m
	}
	if v := c.String("count"); v != "" {
		counts, grade, err := b.ParseCounts(v)
		if err != nil {
			return fail(err)
		}
		if grade != "" || len(counts) == 0 {
			return fail(&jobs.FieldError{Field: "count", Value: v, Want: `6, or "ada 6, bo 8"`})
		}
		a.Counts = counts
	}
	if v := c.String("operation"); v != "" {
		states, err := b.statesWithout(was)
		if err != nil {
			return fail(err)
		}
		k, err := jobs.FindOperation(v, b.Operations, states)
		if err != nil {
			return fail(err)
		}
		a.Operation = &k
	}
	if v := c.String("grade"); v != "" {
		n, err := strconv.Atoi(v)
		if err != nil || n < 0 || n > 3 {
			return fail(&jobs.FieldError{Field: "grade", Value: v, Want: "0 clean, 1 fuzz, 2 chip that hardware hides, 3 chip it does not"})
		}
		a.Grade = &n
	}
	if v := c.String("bit"); v != "" {
		bit, err := b.FindBit(v)
		if err != nil {
			return fail(err)
		}
		a.Bit = &bit.Code
	}
	for flag, to := range map[string]**string{"note": &a.Note, "by": &a.Person, "rework": &a.Cause, "payer": &a.Payer} {
		if c.IsSet(flag) {
			v := c.String(flag)
			if v == "-" {
				v = ""
			}
			*to = &v
		}
	}
	for _, v := range c.StringSlice("away") {
		if v == "-" {
			a.NoAway = true
			continue
		}
		from, to, ok := strings.Cut(v, "-")
		if !ok {
			return fail(&jobs.FieldError{Field: "away", Value: v, Want: "HH:MM-HH:MM"})
		}
		f, err := b.wallOn(was, "away", from, c.String("offset"), start)
		if err != nil {
			return fail(err)
		}
		t, err := b.wallOn(was, "away", to, c.String("offset"), *f)
		if err != nil {
			return fail(err)
		}
		if end := endOf(was, a); f.Before(start) || (end != nil && t.After(*end)) {
			want := "a break within the work, from " + b.Clock(start)
			if end != nil {
				want += " to " + b.Clock(*end)
			}
			return fail(&jobs.FieldError{Field: "away", Value: v, Want: want})
		}
		a.Away = append(a.Away, jobs.Span{From: *f, To: t})
	}
	return a, nil
}

// endOf is the end that an entry will have; nil while it is on.
func endOf(was jobs.Entry, a jobs.Amendment) *time.Time {
	if a.To != nil {
		return a.To
	}
	return was.To
}

// wallOn reads HH:MM as the next such time after an instant, or RFC 3339.
func (b *desk) wallOn(was jobs.Entry, field, v, offset string, after time.Time) (*time.Time, error) {
	if t, err := time.Parse(time.RFC3339, v); err == nil {
		t = t.UTC().Truncate(time.Second)
		return &t, nil
	}
	clock, err := jobs.ParseClock(field, v)
	if err != nil {
		return nil, err
	}
	t, err := jobs.NextWall(after, clock, b.Shop.Location(), offset)
	if err != nil {
		return nil, err
	}
	// A time before the start would be read as the next day's: a sitting of
	// nearly a day that nobody meant.
	if day := b.Shop.Evening(was.From); b.Shop.Evening(t) != day {
		want := "a time on the evening of " + string(day) + ", or an RFC 3339 instant"
		if field != "from" {
			want = fmt.Sprintf("a time after %s on the evening of %s, or an RFC 3339 instant", b.Clock(after), day)
		}
		return nil, &jobs.FieldError{Field: field, Value: v, Want: want}
	}
	return &t, nil
}

// statesWithout derives the necks of an entry as if it had not been logged.
func (b *desk) statesWithout(was jobs.Entry) ([]jobs.NeckState, error) {
	var out []jobs.NeckState
	for _, s := range was.Shares {
		st, err := b.stateWithout(s.Neck, was.ID)
		if err != nil {
			return nil, err
		}
		out = append(out, st)
	}
	return out, nil
}

func (b *desk) stateWithout(neck string, id uint64) (jobs.NeckState, error) {
	n, ok, err := store.Get(b.Tx, store.Necks, neck)
	if err != nil {
		return jobs.NeckState{}, err
	}
	if !ok {
		return jobs.NeckState{}, &jobs.NotFoundError{Noun: "neck", Value: neck}
	}
	es, err := b.NeckEntries(neck)
	if err != nil {
		return jobs.NeckState{}, err
	}
	es = slices.DeleteFunc(es, func(e jobs.Entry) bool { return e.ID == id })
	return jobs.Derive(n, es, b.Operations, b.Shop, b.Now), nil
}
