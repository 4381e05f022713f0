package main

import (
	"fmt"
	"slices"
	"strings"

	"bookmatch/jobs"
	"bookmatch/jobs/store"

	"github.com/urfave/cli/v2"
)

func (e *env) entryMove(c *cli.Context) error {
	id, err := entryID(c)
	if err != nil {
		return err
	}
	return e.mend(c, id, func(b *desk, was jobs.Entry) (jobs.Entry, error) {
		if c.String("to-neck") == "" {
			return was, usagef("bookmatch entry move ID --to-neck NECK --why REASON", "the right neck is missing: --to-neck")
		}
		to, err := b.FindNeck(c.String("to-neck"))
		if err != nil {
			return was, err
		}
		from := was.Shares[0].Neck
		if w := c.String("neck"); w != "" {
			n, err := b.FindNeck(w)
			if err != nil {
				return was, err
			}
			from = n.Code
		} else if len(was.Shares) > 1 {
			return was, usagef("add --neck NECK", "entry %d is on several necks: which was wrong?", was.ID)
		}
		if err := b.reason(c); err != nil {
			return was, err
		}
		st, err := b.stateWithout(to.Code, was.ID)
		if err != nil {
			return was, err
		}
		return jobs.MoveTo(was, from, st, b.Operations[was.Operation].Decide)
	})
}

// mend reads an entry, changes it with fn and writes it with all that follows:
// holes, supplies, the mark of a closed neck. What would overlap is refused.
func (e *env) mend(c *cli.Context, id uint64, fn func(*desk, jobs.Entry) (jobs.Entry, error)) error {
	return e.deskWord(c, func(b *desk) error {
		was, err := b.Entry(id)
		if err != nil {
			return err
		}
		is, err := fn(b, was)
		if err != nil {
			return err
		}
		what := jobs.Difference(was, is, b.Shop)
		if len(what) == 0 {
			return &jobs.ConflictError{What: fmt.Sprintf("entry %d is like that already", id), How: "see it with entry list"}
		}
		if end := is.End(b.Now); end.After(b.Now) || is.From.After(b.Now) {
			return &jobs.FieldError{Field: "time", Value: b.Shop.WhenFrom(end, b.Now), Want: "a time that has been"}
		}
		hits, err := b.Overlapping([]jobs.Entry{is})
		if err != nil {
			return err
		}
		if len(hits) > 0 {
			return b.overlap([]jobs.Entry{is}, hits)
		}
		res := amendResult{Was: was, What: what}
		for _, s := range append(slices.Clone(is.Shares), was.Shares...) {
			n, ok, err := store.Get(b.Tx, store.Necks, s.Neck)
			if err != nil {
				return err
			}
			if ok && n.IsClosed() {
				is.Late = true
				text := fmt.Sprintf("neck %s is %s: marked as changed after closing; papers already sent do not change", n.Name(), n.Status)
				if !slices.Contains(res.Warnings, text) {
					res.Warnings = append(res.Warnings, text)
				}
			}
		}
		if is, err = b.follow(was, is); err != nil {
			return err
		}
		if res.Supplies, res.Bits, err = b.EntryFollowers(id); err != nil {
			return err
		}
		res.Entry = &is
		b.Data = res
		b.warns = append(b.warns, res.Warnings...)
		b.Say("entry %d %s %s: %s", id, is.Operation, b.NecksText(is), strings.Join(what, "; "))
		if n := len(res.Bits) + len(res.Supplies); n > 0 {
			b.Say("      with it: %s", b.followersText(res.Supplies, res.Bits))
		}
		return nil
	})
}

func (e *env) entryDrop(c *cli.Context) error {
	id, err := entryID(c)
	if err != nil {
		return err
	}
	return e.deskWord(c, func(b *desk) error {
		was, err := b.Entry(id)
		if err != nil {
			return err
		}
		if err := b.reason(c); err != nil {
			return err
		}
		uses, holes, err := b.DropEntry(was)
		if err != nil {
			return err
		}
		b.Data = amendResult{Was: was, What: []string{"dropped"}, Bits: holes, Supplies: uses}
		b.Say("dropped entry %d: %s %s, %s", id, was.Operation, b.NecksText(was), jobs.MinutesText(was.Elapsed(b.Now)))
		if len(uses)+len(holes) > 0 {
			b.Say("      with it: %s", b.followersText(uses, holes))
		}
		return nil
	})
}

// followersText names the holes and supplies that go with an entry.
func (b *desk) followersText(uses []jobs.SupplyUse, holes []jobs.BitUse) string {
	var parts []string
	if len(holes) > 0 {
		parts = append(parts, bitsText(holes))
	}
	for _, u := range uses {
		unit := ""
		if s, err := b.FindSupply(u.Supply); err == nil {
			unit = string(s.Unit) + " "
		}
		parts = append(parts, u.Quantity.Round(2).String()+" "+unit+u.Supply)
	}
	return strings.Join(parts, ", ")
}
