package workshop

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// EveningEnterAsk enters a whole evening from a paper card. The items of the
// card are those of jobs.CardItem.
type EveningEnterAsk struct {
	Asked
	Evening jobs.Day `json:"evening" word:"DATE"`
	Card    string   `json:"card" word:"ITEMS..."`
	Offset  string   `json:"offset,omitempty" flag:"offset" help:"which of an hour that clocks repeat, such as +02:00"`
}

// EveningEnterResult is the evening as it was entered.
type EveningEnterResult struct {
	Meta
	Evening  jobs.Day    `json:"evening"`
	Entries  []EntryRow  `json:"entries"`
	TotalMin float64     `json:"total_min"`
	Bits     []HolesOn   `json:"bits,omitempty"`
	Supplies []SupplyOut `json:"supplies,omitempty"`
	// Open are the entries whose step stays open.
	Open []uint64 `json:"open,omitempty"`
}

// EveningEnter enters a whole evening. Nothing is written if one item cannot be.
var EveningEnter = Define("evening enter", "NOT WRITTEN", Writes|Settles, (*Book).eveningEnter)

// typed is the command with another card: quotes around the card.
func (a *EveningEnterAsk) typed(card string) string {
	return fmt.Sprintf("evening enter %s %q", a.Evening, card)
}

func (b *Book) eveningEnter(ask *EveningEnterAsk, res *EveningEnterResult) error {
	items, err := jobs.ParseCard(ask.Card)
	if err != nil {
		return err
	}
	works, err := jobs.PlaceCard(items, ask.Evening, b.Shop.Location(), b.Shop.DayEnds, ask.Offset, b.Now)
	if err != nil {
		return b.whichHour(err, ask.typed(ask.Card))
	}
	if err := b.cardFree(works); err != nil {
		return err
	}
	res.Evening = ask.Evening
	var total time.Duration
	var uses []jobs.SupplyUse
	var holes []jobs.BitUse
	for _, x := range works {
		entry, err := b.enter(x)
		if err != nil {
			return inItem(err, x.Text, ask)
		}
		if !EntryDone(entry) {
			res.Open = append(res.Open, entry.ID)
		}
		u, h, err := b.EntryFollowers(entry.ID)
		if err != nil {
			return err
		}
		uses, holes = append(uses, u...), append(holes, h...)
		total += entry.Elapsed(b.Now)
		res.Entries = append(res.Entries, b.Row(entry))
	}
	res.TotalMin, res.Bits = jobs.Round2(total.Minutes()), holesOn(holes)
	if res.Supplies, err = b.usesOut(uses); err != nil {
		return err
	}
	b.warnOpen(res)
	return nil
}

// cardFree refuses a card that claims time which is logged.
func (b *Book) cardFree(works []jobs.CardWork) error {
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
	if err != nil || len(hits) == 0 {
		return err
	}
	return b.overlap(claims, hits)
}

// inItem names the item of a card that was refused. Where a word was wrong, what
// to type is the card with the nearest word.
func inItem(err error, item string, ask *EveningEnterAsk) error {
	r, ok := jobs.RefusalOf("", err)
	if !ok {
		return err
	}
	r.Why = item + ": " + r.Why
	for _, s := range r.Swap {
		if right := strings.Replace(item, r.Word, s, 1); right != item && r.Word != "" {
			r.Type = append(r.Type, ask.typed(strings.Replace(strings.Join(strings.Fields(ask.Card), " "), item, right, 1)))
		}
	}
	return r
}

// warnOpen names the steps that stay open, since a count forgotten on a card
// leaves its step open.
func (b *Book) warnOpen(res *EveningEnterResult) {
	var open []string
	for _, r := range res.Entries {
		if slices.Contains(res.Open, r.ID) {
			open = append(open, fmt.Sprintf("%s %s (entry %d)", r.Operation, r.Names(), r.ID))
		}
	}
	if len(open) > 0 {
		b.Warn(jobs.Warning{Code: "open", Text: "Still open: " + strings.Join(open, ", ") + ". Was one done?", Hint: fmt.Sprintf(`entry amend %d --done --why "it was done"`, res.Open[0])})
	}
}

// enter writes one item of a card as the bench words would have, at its own
// times. What would have stopped a bench word is a warning here: it happened.
func (b *Book) enter(x jobs.CardWork) (jobs.Entry, error) {
	states, late, err := b.cardStates(x)
	if err != nil {
		return jobs.Entry{}, err
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
	for _, c := range cautions {
		if c.Stops {
			entry.Anyway = "as it was on the card"
		}
		b.Warn(jobs.Warning{Code: cmp.Or(c.Code, "caution"), Text: c.Text})
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
		entry = jobs.Stop(entry, operation, states, to)
		return entry, store.Put(b.Tx, store.Entries, entry)
	}
	var counts []jobs.Count
	for i, st := range states {
		counts = append(counts, jobs.Count{Neck: st.Neck.Code, N: x.CountFor(i), Left: b.isLeft(x.Left, st.Neck)})
	}
	if err := b.Finish(entry, counts, FinishOptions{Bit: x.Bit, Grade: x.Grade, TempC: x.TempC}, nil); err != nil {
		return entry, err
	}
	return b.Entry(entry.ID)
}

// cardStates derives the necks of an item as they were when it began. late says
// that one of them is closed by now, which is a warning.
func (b *Book) cardStates(x jobs.CardWork) (states []jobs.NeckState, late bool, err error) {
	for _, word := range x.Necks {
		n, err := b.FindNeck(word)
		if err != nil {
			return nil, false, err
		}
		if n.IsClosed() {
			late = true
			b.Warnf("late", "Neck %s is %s: marked as changed after closing.", n.Name(), n.Status)
		}
		n.Status = jobs.Open
		st, err := b.stateBefore(n, x.From)
		if err != nil {
			return nil, false, err
		}
		states = append(states, st)
	}
	return states, late, nil
}

// isLeft says whether a neck is among those that dropped out.
func (b *Book) isLeft(words []string, n jobs.Neck) bool {
	return slices.ContainsFunc(words, func(w string) bool {
		m, err := b.FindNeck(w)
		return err == nil && m.Code == n.Code
	})
}

// stateBefore derives a neck at an instant, from what was logged before it.
func (b *Book) stateBefore(n jobs.Neck, at time.Time) (jobs.NeckState, error) {
	es, err := b.NeckEntries(n.Code)
	if err != nil {
		return jobs.NeckState{}, err
	}
	es = slices.DeleteFunc(es, func(e jobs.Entry) bool { return !e.From.Before(at) && e.SpentSec == 0 })
	return jobs.Derive(n, es, b.Operations, b.Shop, at), nil
}

// notDoneLater refuses to end a step that another entry ends: one of the two is
// rework, or was typed twice.
func (b *Book) notDoneLater(e jobs.Entry) error {
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
				return jobs.Refuse("done", fmt.Sprintf("%s is already done by entry %d, %s. Write open behind the count, or rework CAUSE", f.Operation, f.ID, b.spanText(f)),
					"entry list --evening "+string(b.Shop.Evening(f.From)), fmt.Sprintf(`entry drop %d --why "logged twice"`, f.ID))
			}
		}
	}
	return nil
}
