package jobs

import (
	"cmp"
	"slices"
	"time"
)

// Pass is all the work from starting a step until it was done: several
// stretches of one evening merge, several evenings add a resumed setup, and a
// sitting over several necks is one pass of all their steps.
type Pass struct {
	Operation string
	Class     Class
	Shares    []Share // one per neck and step, counts added up
	Entries   []uint64
	Evenings  []Day // in order, without repeats
	Elapsed   time.Duration
	From, To  time.Time
	Done      bool // every step of it is done or was left
	Assumed   bool
	Person    string
	Go        bool // a mark separates setup from run
	Setup     time.Duration
	Grade     *int
	Closed    bool // last touched after its neck was closed
}

// Quantity is the units over all necks; 0 when any done step has none
// recorded.
func (p Pass) Quantity() float64 {
	q := 0.0
	for _, s := range p.Shares {
		if s.Count == 0 && s.Done {
			return 0
		}
		q += s.Count
	}
	return q
}

// Necks names the necks of the pass.
func (p Pass) Necks() []string {
	var out []string
	for _, s := range p.Shares {
		if !slices.Contains(out, s.Neck) {
			out = append(out, s.Neck)
		}
	}
	return out
}

// Resumed is how many further evenings it took, each with a setup again.
func (p Pass) Resumed() int { return max(len(p.Evenings)-1, 0) }

// Excluded says why the pass teaches nothing about its operation's standard; empty
// when it does.
func (p Pass) Excluded() string {
	switch {
	case !p.Done:
		return "not done yet"
	case p.Class == Rework:
		return "rework"
	case p.Assumed:
		return "assumed end"
	case p.Person != "":
		return "by " + p.Person
	case p.Elapsed < 2*time.Minute:
		return "a minute or less"
	case p.Quantity() <= 0:
		return "no count"
	}
	return ""
}

type passKey struct {
	neck      string
	step      int
	operation string
	class     Class
	cause     string
}

// Passes groups entries into passes, ordered by their end. Entries that touch
// the same unfinished step belong together, and through a shared session so do
// the steps of several necks. A step outside a neck's route (step 0) is grouped
// by operation and neck.
func Passes(entries []Entry, shop Shop, now time.Time) []Pass {
	es := make([]*Entry, len(entries))
	for i := range entries {
		es[i] = &entries[i]
	}
	slices.SortStableFunc(es, func(a, b *Entry) int { return cmp.Or(a.From.Compare(b.From), cmp.Compare(a.ID, b.ID)) })
	open := map[passKey]int{} // step being worked -> index in groups
	groups := make([]*passGroup, 0, len(es))
	for _, e := range es {
		var into *passGroup
		at := -1
		for _, s := range e.Shares {
			if g, ok := open[keyOf(e, s)]; ok {
				for groups[g].merged >= 0 {
					g = groups[g].merged
				}
				if into == nil {
					into, at = groups[g], g
				} else if g != at {
					into.entries = append(into.entries, groups[g].entries...)
					groups[g].merged = at
				}
			}
		}
		if into == nil {
			into = &passGroup{merged: -1}
			at = len(groups)
			groups = append(groups, into)
		}
		into.entries = append(into.entries, e)
		for _, s := range e.Shares {
			k := keyOf(e, s)
			open[k] = at
			if s.Done {
				delete(open, k)
			}
		}
	}
	out := make([]Pass, 0, len(groups))
	zone := shop.Location() // looked up once: a long log asks often
	for _, g := range groups {
		if g.merged < 0 {
			out = append(out, g.pass(zone, shop.DayEnds, now))
		}
	}
	slices.SortStableFunc(out, func(a, b Pass) int { return a.To.Compare(b.To) })
	return out
}

func keyOf(e *Entry, s Share) passKey {
	k := passKey{s.Neck, s.Step, e.Operation, e.Class, e.Cause}
	if s.Step > 0 {
		k.operation = "" // the step says it, also when its operation got another name midway
	}
	return k
}

type passGroup struct {
	entries []*Entry
	merged  int
}

func (g *passGroup) pass(zone *time.Location, turn Clock, now time.Time) Pass {
	slices.SortStableFunc(g.entries, func(a, b *Entry) int { return a.From.Compare(b.From) })
	p := Pass{Operation: g.entries[len(g.entries)-1].Operation, Class: g.entries[0].Class, From: g.entries[0].From}
	var ended []bool // of each share: done or left
	goAll := true
	for _, e := range g.entries {
		p.Entries = append(p.Entries, e.ID)
		if day := EveningOf(e.From, zone, turn); !slices.Contains(p.Evenings, day) {
			p.Evenings = append(p.Evenings, day)
		}
		p.Elapsed += e.Elapsed(now)
		p.Assumed = p.Assumed || e.Assumed || e.Running()
		if e.Person != "" {
			p.Person = e.Person
		}
		p.Closed = p.Closed || e.Late
		if e.Go != nil {
			p.Setup += e.SetupSpan(now)
		} else {
			goAll = false
		}
		if end := e.End(now); end.After(p.To) {
			p.To = end
		}
		if e.Grade != nil {
			p.Grade = e.Grade
		}
		for _, s := range e.Shares {
			i := slices.IndexFunc(p.Shares, func(t Share) bool { return t.Neck == s.Neck && t.Step == s.Step })
			if i < 0 {
				i = len(p.Shares)
				p.Shares, ended = append(p.Shares, s), append(ended, false)
			} else {
				p.Shares[i].Count += s.Count
				p.Shares[i].Done = p.Shares[i].Done || s.Done
				p.Shares[i].Left = s.Left
			}
			ended[i] = ended[i] || s.Done || s.Left
		}
	}
	p.Go = goAll
	p.Done = true
	any := false
	for i, s := range p.Shares {
		p.Done = p.Done && ended[i]
		any = any || s.Done
	}
	p.Done = p.Done && any
	return p
}
