package workshop

import (
	"fmt"
	"strings"
	"time"

	"bookmatch/costing/bitlife"
	"bookmatch/costing/money"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// AddBit puts a bit and its first life on file. A code that is taken is refused.
func (b *Book) AddBit(bit jobs.Bit) error {
	if as := store.Taken(b.Tx, store.Bits, bit.Code); as != "" {
		return jobs.Refuse("taken", fmt.Sprintf("there is a bit %q already", as), "bit sharpen "+as, "bit show "+as)
	}
	if err := b.bitCame(bit); err != nil {
		return err
	}
	if err := store.Put(b.Tx, store.Bits, bit); err != nil {
		return err
	}
	return store.Put(b.Tx, store.Edges, jobs.Edge{Bit: bit.Code, No: 1, Origin: jobs.OriginNew, Started: bit.Added, DiameterMM: bit.DiameterMM})
}

// bitCame takes a new bit off the order of its class.
func (b *Book) bitCame(bit jobs.Bit) error {
	bits, err := store.All(b.Tx, store.Bits)
	if err != nil {
		return err
	}
	for _, old := range bits {
		if old.OnOrder != nil && old.Class() == bit.Class() {
			old.OnOrder = nil
			return store.Put(b.Tx, store.Bits, old)
		}
	}
	return nil
}

// FindBit resolves a typed code or its unique beginning.
func (b *Book) FindBit(word string) (jobs.Bit, error) {
	if b, ok, err := store.Get(b.Tx, store.Bits, word); ok || err != nil {
		return b, err
	}
	bits, err := store.All(b.Tx, store.Bits)
	if err != nil {
		return jobs.Bit{}, err
	}
	names := make([]string, len(bits))
	for i, b := range bits {
		names[i] = b.Code
	}
	hits := jobs.Candidates(word, names)
	switch len(hits) {
	case 1:
		b, _, err := store.Get(b.Tx, store.Bits, hits[0])
		return b, err
	case 0:
		return jobs.Bit{}, &jobs.NotFoundError{Noun: "bit", Value: word, Near: jobs.Nearest(word, names)}
	}
	return jobs.Bit{}, jobs.Ambiguous("bit", word, hits)
}

// EdgeAt is the number of the edge that a bit cut with at an instant.
func (b *Book) EdgeAt(code string, at time.Time) (int, error) {
	no := 1
	for e, err := range store.EachOf(b.Tx, store.Edges, code) {
		if err != nil {
			return 0, err
		}
		if e.No > no && !e.Started.After(at) {
			no = e.No
		}
	}
	return no, nil
}

// LogUse writes a use with the next number, on the edge the bit had then.
func (b *Book) LogUse(u jobs.BitUse) (jobs.BitUse, error) {
	var err error
	if u.Bit != "" {
		if u.Edge, err = b.EdgeAt(u.Bit, u.On); err != nil {
			return u, err
		}
	}
	if u.ID, err = b.NextBitID(); err != nil {
		return u, err
	}
	return u, store.Put(b.Tx, store.BitUses, u)
}

// MoveBit writes a move, once the rules of the sets allow it; anyway passes
// over them.
func (b *Book) MoveBit(m jobs.BitMove, anyway bool) (jobs.BitMove, error) {
	book, err := b.BitBook(m.Bit)
	if err != nil {
		return m, err
	}
	if err := m.Validate(); err != nil {
		return m, err
	}
	if err := m.Contradicts(); err != nil {
		return m, err
	}
	if err := book.CheckMove(m); err != nil && !anyway {
		return m, err
	}
	if m.Edge, err = b.EdgeAt(m.Bit, m.On); err != nil {
		return m, err
	}
	if m.ID, err = b.NextBitID(); err != nil {
		return m, err
	}
	return m, store.Put(b.Tx, store.BitMoves, m)
}

// SharpenBit starts a fresh edge. why, where it is given, first says how the
// one before ended.
func (b *Book) SharpenBit(bit jobs.Bit, e jobs.Edge, why string) (jobs.Edge, error) {
	book, err := b.BitBook(bit.Code)
	if err != nil {
		return e, err
	}
	life, _ := book.Life(bit.Code)
	if e.Started.Before(life.Started) {
		return e, jobs.Refuse("earlier", fmt.Sprintf("the life of %s before this began only on %s", bit.Code, b.Wall(life.Started).Format(time.DateOnly)), "bit show "+bit.Code)
	}
	if life.Missing || life.Cause == jobs.CauseBroken {
		what := "is broken"
		if life.Missing {
			what = "is lost"
		}
		return e, jobs.Refuse("bit-away", fmt.Sprintf("bit %s %s", bit.Code, what), "bit move "+bit.Code+" --to general --why found")
	}
	if why != "" && !life.Event {
		m := jobs.BitMove{Bit: bit.Code, On: e.Started, To: jobs.KeepGeneral, Cause: why, Note: "sent for sharpening"}
		if _, err := b.MoveBit(m, true); err != nil {
			return e, err
		}
	}
	if have, err := store.AllOf(b.Tx, store.Edges, bit.Code); err != nil {
		return e, err
	} else if len(have) == 0 { // a bit brought in from a list: its first edge gets its record now
		if err := store.Put(b.Tx, store.Edges, jobs.Edge{Bit: bit.Code, No: life.Edge, Origin: jobs.OriginNew, Started: life.Started, DiameterMM: bit.DiameterMM}); err != nil {
			return e, err
		}
	}
	e.Bit, e.No, e.Origin = bit.Code, life.Edge+1, jobs.OriginSharpened
	return e, store.Put(b.Tx, store.Edges, e)
}

// tornWhy says that a neck was given up for torn holes, by the reason given.
func tornWhy(why string) bool {
	for _, w := range []string{"torn", "tore", "tear-out", "tearout", "tear out"} {
		if strings.Contains(strings.ToLower(why), w) {
			return true
		}
	}
	return false
}

// repairsSeen is how many of the newest repairs of torn holes count.
const repairsSeen = 50

// TornFaces gathers what torn holes have cost: repairs and losses on record for
// a bit's sake. Nothing is sunk in it yet; see Sunk.
func (b *Book) TornFaces() (bitlife.TornFace, error) {
	f := bitlife.TornFace{PerHour: b.Shop.Labour.Add(b.Shop.Overhead)}
	repairs, err := store.Latest(b.Tx, store.Entries, store.EntriesByCause, "bit", repairsSeen)
	if err != nil {
		return f, err
	}
	for _, e := range repairs {
		if b.Operations[e.Operation].Drills != "" && !e.Running() {
			f.RepairMin = append(f.RepairMin, e.Elapsed(b.Now).Minutes())
		}
	}
	scrapped, err := b.NecksOf(jobs.Scrapped)
	if err != nil {
		return f, err
	}
	for _, x := range scrapped {
		if tornWhy(x.Why) {
			f.Scrapped++
		}
	}
	return f, nil
}

// Sunk is what a neck has cost so far.
func (b *Book) Sunk(n jobs.Neck) (money.Amount, error) {
	cost, err := b.NeckCost(n)
	return b.Shop.Currency.Line(cost.Total), err
}
