package workshop

import (
	"fmt"
	"slices"
	"strings"

	"bookmatch/costing/money"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// Reason is why something is corrected. The journal keeps it.
type Reason struct {
	Why string `json:"why,omitempty" flag:"why" arg:"REASON" help:"the REASON, kept with the old version"`
}

// why is the reason for the journal.
func (x Reason) why() string { return strings.Join(strings.Fields(x.Why), " ") }

// EntryMoveAsk books an entry to another neck.
type EntryMoveAsk struct {
	Asked
	ID   uint64 `json:"id" word:"ID" read:"entry"`
	To   string `json:"to_neck,omitempty" flag:"to-neck" arg:"NECK" help:"the right NECK"`
	Neck string `json:"neck,omitempty" flag:"neck" arg:"NECK" help:"which NECK of a session over several was wrong"`
	Reason
}

// EntryDropAsk removes an entry.
type EntryDropAsk struct {
	Asked
	ID uint64 `json:"id" word:"ID" read:"entry"`
	Reason
}

// CorrectedResult is what came of correcting or removing an entry. Entry is nil
// when it was removed. Bits and Supplies are what goes with the entry.
type CorrectedResult struct {
	Meta
	Entry    *EntryRow   `json:"entry"`
	Was      EntryRow    `json:"was"`
	What     []string    `json:"what"`
	Bits     []HolesOn   `json:"bits,omitempty"`
	Supplies []SupplyOut `json:"supplies,omitempty"`
}

// EntryMove books an entry to another neck, EntryDrop removes it. Holes and
// supplies of the entry follow.
var (
	EntryMove = Define("entry move", "NOT MOVED", Writes, (*Book).entryMove)
	EntryDrop = Define("entry drop", "NOT CHANGED", Writes, (*Book).entryDrop)
)

func (b *Book) entryMove(ask *EntryMoveAsk, res *CorrectedResult) error {
	if err := b.lastEntry(&ask.ID); err != nil {
		return err
	}
	return b.correct(ask.ID, res, func(was jobs.Entry) (jobs.Entry, error) {
		if ask.To == "" {
			return was, &jobs.Refusal{Code: "usage", Class: jobs.Invalid, Why: "the right neck is missing", Type: []string{fmt.Sprintf(`entry move %d --to-neck %s --why "the wrong neck"`, ask.ID, b.NameOf(was.Shares[0].Neck))}}
		}
		to, err := b.FindNeck(ask.To)
		if err != nil {
			return was, err
		}
		from := was.Shares[0].Neck
		if ask.Neck != "" {
			n, err := b.FindNeck(ask.Neck)
			if err != nil {
				return was, err
			}
			from = n.Code
		} else if len(was.Shares) > 1 {
			r := &jobs.Refusal{Code: "which-neck", Class: jobs.Invalid, Why: fmt.Sprintf("entry %d is on several necks. Which one was wrong?", was.ID)}
			for _, s := range was.Shares {
				r.Type = append(r.Type, fmt.Sprintf("entry move %s --neck %s", typedOf(ask), b.NameOf(s.Neck)))
			}
			return was, r
		}
		if err := ask.reasoned("entry move " + typedOf(ask)); err != nil {
			return was, err
		}
		st, err := b.stateWithout(to.Code, was.ID)
		if err != nil {
			return was, err
		}
		return jobs.MoveTo(was, from, st, b.Operations[was.Operation].Decide)
	})
}

func (b *Book) entryDrop(ask *EntryDropAsk, res *CorrectedResult) error {
	if err := b.lastEntry(&ask.ID); err != nil {
		return err
	}
	was, err := b.meant(ask.ID)
	if err != nil {
		return err
	}
	if err := ask.reasoned("entry drop " + typedOf(ask)); err != nil {
		return err
	}
	res.Was, res.What = b.Row(was), []string{"removed"}
	uses, holes, err := b.DropEntry(was)
	if err != nil {
		return err
	}
	return b.with(res, uses, holes)
}

// reasoned refuses a correction without a reason. typed is the command so far.
func (x Reason) reasoned(typed string) error {
	if x.why() != "" {
		return nil
	}
	return &jobs.Refusal{Code: "reason", Class: jobs.Invalid, Why: "a correction needs a reason", Type: []string{typed + ` --why "read off the wall clock"`}}
}

// lastEntry turns no number, typed as "last", into that of the newest entry.
func (b *Book) lastEntry(id *uint64) error {
	if *id != 0 {
		return nil
	}
	newest, err := b.LatestEntries(1)
	if err != nil {
		return err
	}
	if len(newest) == 0 {
		return jobs.Refuse("nothing-logged", "nothing is logged yet", "tonight")
	}
	*id = newest[0].ID
	return nil
}

// meant reads the entry that an ask means. What changed in it since the change
// that the asker had seen is a refusal.
func (b *Book) meant(id uint64) (jobs.Entry, error) {
	e, err := b.Entry(id)
	if err != nil || b.asked.Seen == 0 {
		return e, err
	}
	for c, err := range store.Changes(b.Tx, true) {
		if err != nil || c.Seq <= b.asked.Seen {
			return e, err
		}
		for _, r := range c.Records {
			if r.Is(store.Entries, id) {
				return e, jobs.Refuse("seen", fmt.Sprintf("entry %d was changed at %s%s", id, b.Clock(c.At), b.byWhom(id)), fmt.Sprintf("entry list --evening %s --history", b.Shop.Evening(e.From)))
			}
		}
	}
	return e, nil
}

// correct reads an entry, changes it with fn and writes it with all that
// follows: holes, supplies, the mark of a closed neck. Work that would overlap
// other work is refused.
func (b *Book) correct(id uint64, res *CorrectedResult, fn func(jobs.Entry) (jobs.Entry, error)) error {
	was, err := b.meant(id)
	if err != nil {
		return err
	}
	is, err := fn(was)
	if err != nil {
		return err
	}
	res.Was, res.What = b.Row(was), b.difference(was, is)
	if len(res.What) == 0 {
		return jobs.Refuse("same", fmt.Sprintf("entry %d is like that already", id), "entry list --evening "+string(b.Shop.Evening(was.From)))
	}
	if end := is.End(b.Now); end.After(b.Now) || is.From.After(b.Now) {
		return &jobs.FieldError{Field: "time", Value: b.Shop.WhenFrom(end, b.Now), Want: "a time that has been, such as " + b.Clock(b.Now)}
	}
	hits, err := b.Overlapping([]jobs.Entry{is})
	if err != nil {
		return err
	}
	if len(hits) > 0 {
		return b.overlap([]jobs.Entry{is}, hits)
	}
	if err := b.markLate(&is, was); err != nil {
		return err
	}
	if is, err = b.follow(was, is); err != nil {
		return err
	}
	uses, holes, err := b.EntryFollowers(id)
	if err != nil {
		return err
	}
	row := b.Row(is)
	res.Entry = &row
	return b.with(res, uses, holes)
}

// difference says what is different between two states of an entry, with the
// names of its necks.
func (b *Book) difference(was, is jobs.Entry) []string {
	named := func(e jobs.Entry) jobs.Entry {
		e.Shares = slices.Clone(e.Shares)
		for i := range e.Shares {
			e.Shares[i].Neck = b.NameOf(e.Shares[i].Neck)
		}
		return e
	}
	return jobs.Difference(named(was), named(is), b.Shop)
}

// markLate marks an entry that is or was on a closed neck, and warns.
func (b *Book) markLate(is *jobs.Entry, was jobs.Entry) error {
	var seen []string
	for _, s := range append(slices.Clone(is.Shares), was.Shares...) {
		n, err := b.Neck(s.Neck)
		if err != nil {
			return err
		}
		if n.IsClosed() {
			is.Late = true
			if !slices.Contains(seen, n.Code) {
				seen = append(seen, n.Code)
				b.Warnf("late", "Neck %s is %s: marked as changed after closing. Papers that you sent do not change.", n.Name(), n.Status)
			}
		}
	}
	return nil
}

// with adds to a result the holes and supplies that go with the entry.
func (b *Book) with(res *CorrectedResult, uses []jobs.SupplyUse, holes []jobs.BitUse) error {
	out, err := b.usesOut(uses)
	res.Bits, res.Supplies = holesOn(holes), out
	return err
}

// usesOut adds up uses by supply.
func (b *Book) usesOut(uses []jobs.SupplyUse) (out []SupplyOut, err error) {
	sums := map[string]money.Qty{}
	for _, u := range uses {
		sums[u.Supply] = sums[u.Supply].Plus(u.Quantity)
	}
	for _, name := range jobs.SortedKeys(sums) {
		s, _, err := store.Get(b.Tx, store.Supplies, name)
		if err != nil {
			return nil, err
		}
		out = append(out, SupplyOut{name, sums[name].Round(2).String(), string(s.Unit)})
	}
	return out, nil
}

// statesWithout derives the necks of an entry as if it had not been logged.
func (b *Book) statesWithout(was jobs.Entry) ([]jobs.NeckState, error) {
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

func (b *Book) stateWithout(neck string, id uint64) (jobs.NeckState, error) {
	n, err := b.Neck(neck)
	if err == nil && n.Code == "" {
		err = &jobs.NotFoundError{Noun: "neck", Value: neck}
	}
	if err != nil {
		return jobs.NeckState{}, err
	}
	es, err := b.NeckEntries(neck)
	if err != nil {
		return jobs.NeckState{}, err
	}
	es = slices.DeleteFunc(es, func(e jobs.Entry) bool { return e.ID == id })
	return jobs.Derive(n, es, b.Operations, b.Shop, b.Now), nil
}

// overlap refuses work that claims time which is logged. Both are shown.
func (b *Book) overlap(es, hits []jobs.Entry) error {
	var want, have []string
	for _, e := range es {
		for _, f := range hits {
			if !e.Overlaps(f, b.Now) {
				continue
			}
			if t := b.spanText(e); !slices.Contains(want, t) {
				want = append(want, t)
			}
			if t := fmt.Sprintf("entry %d %s", f.ID, b.spanText(f)); !slices.Contains(have, t) {
				have = append(have, t)
			}
		}
	}
	first := hits[0]
	return jobs.Refuse("overlap", strings.Join(want, ", ")+" overlaps "+strings.Join(have, ", "),
		"entry list --evening "+string(b.Shop.Evening(first.From)), fmt.Sprintf(`entry drop %d --why "logged twice"`, first.ID))
}

// spanText shows an entry with its hours: "drill ada 2026-03-12 19:45-21:15".
func (b *Book) spanText(e jobs.Entry) string {
	end := "now"
	if e.To != nil {
		end = b.Clock(*e.To)
	}
	s := fmt.Sprintf("%s %s %s %s-%s", e.Operation, b.NecksText(e), b.Shop.Evening(e.From), b.Clock(e.From), end)
	if e.Assumed {
		s += " (assumed)"
	}
	return s
}
