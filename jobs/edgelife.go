package jobs

import (
	"cmp"
	"math"
	"slices"
	"time"

	"bookmatch/costing/money"
)

// BitBook is everything recorded about bits, as one value. Known holds lives
// that were derived before, of bits whose edges, uses and moves are not in the
// book; Ages is what the edges of further bits tell, of which nothing else is in
// the book.
type BitBook struct {
	Bits  []Bit
	Edges []Edge
	Uses  []BitUse
	Moves []BitMove
	Woods []Wood
	Known []EdgeLife
	Ages  []EdgeAge
}

// EdgeAge is the part of an EdgeLife that speaks for other bits: how old the
// edge got, in cut metres, and whether it was worn out then.
type EdgeAge struct {
	Bit       string
	Class     BitClass
	Edge      int
	LifeM     float64
	ExpectedM float64
	Event     bool
	Closed    bool
	// NewEdge is what a fresh bit costs. Found and Missed count test holes: those
	// that found the bit dull, and those that were clean before a rim tore.
	NewEdge       money.Amount
	Found, Missed int
}

// Age gives the part of a life that counts for other bits.
func (l EdgeLife) Age(class BitClass) EdgeAge {
	return EdgeAge{l.Bit, class, l.Edge, l.LifeM, l.ExpectedM, l.Event, l.Closed, l.NewEdge, l.Found, l.Missed}
}

// EdgeAges gives what all edges tell: those of the lives that were derived from
// the book, and those it knows only the ages of. In order of code and edge.
func (b BitBook) EdgeAges(lives []EdgeLife) []EdgeAge {
	classes := make(map[string]BitClass, len(b.Bits))
	for _, x := range b.Bits {
		classes[x.Code] = x.Class()
	}
	out := make([]EdgeAge, 0, len(lives)+len(b.Ages))
	for _, l := range lives {
		out = append(out, l.Age(classes[l.Bit]))
	}
	if len(b.Ages) > 0 {
		out = append(out, b.Ages...)
		slices.SortStableFunc(out, func(x, y EdgeAge) int { return cmp.Or(cmp.Compare(x.Bit, y.Bit), cmp.Compare(x.Edge, y.Edge)) })
	}
	return out
}

// EdgeLife is what the records say of one edge. Nothing here is stored: drop
// a use and every figure is as if it had never been.
type EdgeLife struct {
	Bit     string    `json:"bit"`
	Edge    int       `json:"edge"`
	Origin  string    `json:"origin"`
	Started time.Time `json:"started"`
	Keep    string    `json:"kept_for"` // where the edge is now, or was when it ended
	// WearM is all the cut known to be on the edge, EstimatedM the part of it that
	// was guessed. PossibleM may be on it besides: holes drilled with an unknown
	// bit of this size, counted in full for each that it may have been.
	WearM      float64 `json:"wear_m"`
	EstimatedM float64 `json:"estimated_m,omitempty"`
	PossibleM  float64 `json:"possible_m,omitempty"`
	Holes      int     `json:"holes"`
	// LifeM is the age that counts for estimates: when dull was seen (Event), or
	// how far the edge is known to have been good.
	LifeM  float64 `json:"life_m"`
	Event  bool    `json:"event"`
	Closed bool    `json:"closed"`
	// End says how it ended, in words; Cause is the move's, or dull, struck,
	// sharpened; both empty while in use.
	Cause   string    `json:"cause,omitempty"`
	Missing bool      `json:"missing,omitempty"` // lost, and not found again
	End     string    `json:"end,omitempty"`
	EndedOn time.Time `json:"ended_on,omitzero"`
	// Tested says that the last thing recorded on the edge is a clean test hole.
	Tested    bool      `json:"tested"`
	LastGrade *int      `json:"last_grade"`
	LastUse   time.Time `json:"last_use,omitzero"`
	// ExpectedM is the expected life of this edge; 0 when not known.
	ExpectedM    float64  `json:"expected_m,omitempty"`
	UnknownWoods []string `json:"unknown_woods,omitempty"`
	MeasuredMM   float64  `json:"measured_mm"`
	// NewEdge is what a fresh bit costs. Found counts test holes that found the bit
	// dull, Missed those that were clean right before a rim tore.
	NewEdge money.Amount `json:"new_edge_cost,omitzero"`
	Found   int          `json:"tests_found,omitempty"`
	Missed  int          `json:"tests_missed,omitempty"`
}

// item is a use or a move in order of time.
type item struct {
	on   time.Time
	id   uint64
	use  *BitUse
	move *BitMove
}

// Lives derives the life of every edge of every bit, in order of code and edge.
//
// In the show set each use speaks for the edge (a torn show face is noticed).
// Elsewhere wear runs on but only a rim that was seen moves the age up to which
// the edge is known to have been good: hidden holes are looked at by nobody.
func (b BitBook) Lives() []EdgeLife {
	woods := NewWoodTable(b.Woods)
	bits := slices.Clone(b.Bits)
	slices.SortFunc(bits, func(x, y Bit) int { return cmp.Compare(x.Code, y.Code) })
	known := map[string][]EdgeLife{}
	for _, l := range b.Known {
		known[l.Bit] = append(known[l.Bit], l)
	}
	records := b.byEdge()
	var out []EdgeLife
	for _, bit := range bits {
		lives := known[bit.Code]
		if lives == nil {
			lives = records.livesOf(bit, woods)
		}
		records.addPossible(lives, bit, woods)
		out = append(out, lives...)
	}
	return out
}

// OwnLives derives the lives of the edges of one bit from its own records
// alone: holes of an unknown bit that may have been its are not in them.
func (b BitBook) OwnLives(bit Bit) []EdgeLife {
	return b.byEdge().livesOf(bit, NewWoodTable(b.Woods))
}

func (r bitRecords) livesOf(bit Bit, woods WoodTable) []EdgeLife {
	edges := r.edgesOf(bit)
	out := make([]EdgeLife, 0, len(edges))
	set := bit.Keep
	for i, e := range edges {
		life := lifeOf(bit, e, set, woods, r.items[edgeKey{bit.Code, e.No}])
		if i < len(edges)-1 && !life.Closed {
			life.close(CauseSwapped, "sharpened while it still cut", edges[i+1].Started)
			life.Cause = OriginSharpened
		}
		out = append(out, life)
		if set = life.Keep; set == KeepGeneral || set == KeepScrap {
			set = bit.Keep // a fresh edge goes back where the bit lives
		}
	}
	return out
}

// Life gives the present edge of a bit; ok is false for an unknown bit.
func (b BitBook) Life(code string) (life EdgeLife, ok bool) {
	for _, l := range b.Lives() {
		if l.Bit == code {
			life, ok = l, true
		}
	}
	return life, ok
}

// Bit gives a bit by its code; otherwise a *NotFoundError with the nearest.
func (b BitBook) Bit(code string) (Bit, error) {
	for i := range b.Bits {
		if b.Bits[i].Code == code {
			return b.Bits[i], nil
		}
	}
	var names []string
	for _, x := range b.Bits {
		names = append(names, x.Code)
	}
	return Bit{}, &NotFoundError{"bit", code, Nearest(code, names)}
}

type edgeKey struct {
	bit  string
	edge int
}

// bitRecords is a book sorted by edge, so that deriving every life reads each
// record once.
type bitRecords struct {
	edges   map[string][]Edge
	items   map[edgeKey][]item // by time, then by number
	unknown []BitUse           // of bits that nobody remembers
}

func (b BitBook) byEdge() bitRecords {
	r := bitRecords{edges: map[string][]Edge{}, items: map[edgeKey][]item{}}
	for _, e := range b.Edges {
		r.edges[e.Bit] = append(r.edges[e.Bit], e)
	}
	for i := range b.Uses {
		u := &b.Uses[i]
		if u.Bit == "" {
			r.unknown = append(r.unknown, *u)
			continue
		}
		k := edgeKey{u.Bit, u.Edge}
		r.items[k] = append(r.items[k], item{u.On, u.ID, u, nil})
	}
	for i := range b.Moves {
		m := &b.Moves[i]
		k := edgeKey{m.Bit, m.Edge}
		r.items[k] = append(r.items[k], item{m.On, m.ID, nil, m})
	}
	for _, items := range r.items {
		slices.SortStableFunc(items, func(x, y item) int { return cmp.Or(x.on.Compare(y.on), cmp.Compare(x.id, y.id)) })
	}
	return r
}

func (r bitRecords) edgesOf(bit Bit) []Edge {
	edges := r.edges[bit.Code]
	if len(edges) == 0 {
		return []Edge{{Bit: bit.Code, No: 1, Origin: OriginNew, Started: bit.Added, DiameterMM: bit.DiameterMM}}
	}
	slices.SortFunc(edges, func(x, y Edge) int { return cmp.Compare(x.No, y.No) })
	return edges
}

func lifeOf(bit Bit, e Edge, set string, woods WoodTable, items []item) EdgeLife {
	l := EdgeLife{Bit: bit.Code, Edge: e.No, Origin: e.Origin, Started: e.Started, Keep: set, ExpectedM: bit.ExpectedM, MeasuredMM: e.DiameterMM, NewEdge: bit.ChangeCost()}
	if e.ExpectedM > 0 {
		l.ExpectedM = e.ExpectedM
	}
	if l.MeasuredMM == 0 {
		l.MeasuredMM = bit.DiameterMM
	}
	var goodM, closedM float64 // last known good; when the life was closed
	for _, it := range items {
		if it.move != nil {
			l.move(*it.move, &closedM)
			continue
		}
		u := *it.use
		perHole, unknown := u.CutPerHole(woods)
		cut := roundM(perHole * float64(u.Holes))
		l.WearM = roundM(l.WearM + cut)
		if u.Estimated {
			l.EstimatedM = roundM(l.EstimatedM + cut)
		}
		for _, w := range unknown {
			if !slices.Contains(l.UnknownWoods, w) {
				l.UnknownWoods = append(l.UnknownWoods, w)
			}
		}
		l.Holes += u.Holes
		l.LastUse = u.On
		if g, seen := u.WorstGrade(); seen {
			l.LastGrade = &g
		}
		tale, why := u.Tale(woods)
		switch {
		case tale == TaleDull && u.Test && !l.Event:
			l.Found++
		case tale == TaleDull && l.Tested && !l.Event:
			l.Missed++
		}
		l.Tested = u.Test && tale == TaleClean
		if l.Event {
			continue
		}
		switch {
		case tale == TaleDull:
			l.LifeM = l.WearM
			if l.Cause == CauseSuspected {
				l.LifeM, why = closedM, "suspected, then confirmed: "+why
			}
			l.Event = true
			l.close(CauseDull, why, u.On)
		case tale == TaleShock && !l.Closed:
			closedM = l.WearM
			goodM = l.WearM
			l.close("struck", why, u.On)
		case tale == TaleClean || (l.Keep == KeepShow && !l.Closed):
			goodM = l.WearM
		}
	}
	if !l.Event {
		l.LifeM = max(goodM, closedM)
		if !l.Closed && l.Keep == KeepShow {
			l.LifeM = l.WearM
		}
	}
	return l
}

// move applies one move to the life.
func (l *EdgeLife) move(m BitMove, closedM *float64) {
	from := l.Keep
	l.Keep = m.To
	l.Tested = false
	l.Missing = m.Cause == CauseLost
	if l.Event {
		return
	}
	switch {
	case m.Cause == CauseDull:
		l.LifeM = l.WearM
		if l.Cause == CauseSuspected {
			l.LifeM = *closedM
		}
		l.Event = true
		l.close(CauseDull, "found dull", m.On)
	case m.Cause == CauseFound, m.To == KeepShow && from != KeepShow:
		l.Closed, l.Cause, l.End, l.EndedOn = false, "", "", time.Time{}
		*closedM = 0
	case l.Closed, m.To == from && m.Cause == CauseSwapped:
	default:
		// A life that was led in the general set stays what was seen of it.
		if from == KeepShow {
			*closedM = l.WearM
		}
		l.close(m.Cause, moveWords[m.Cause], m.On)
	}
}

var moveWords = map[string]string{
	CauseSuspected: "suspected dull, not confirmed",
	CauseLost:      "lost while it still cut",
	CauseBroken:    "broke by accident",
	CauseSwapped:   "moved while it still cut",
}

func (l *EdgeLife) close(cause, end string, on time.Time) {
	l.Closed, l.Cause, l.End, l.EndedOn = true, cause, end, on
}

// addPossible gives each edge of a bit the holes of unknown bits of its size
// that were drilled while it was the edge in use and on hand.
func (r bitRecords) addPossible(lives []EdgeLife, bit Bit, woods WoodTable) {
	for i := range lives {
		l := &lives[i]
		from, until := l.Started, time.Time{}
		if i == 0 {
			from = time.Time{}
		}
		if i+1 < len(lives) {
			until = lives[i+1].Started
		}
		gone := l.Closed && (l.Cause == CauseLost || l.Cause == CauseBroken || l.Keep == KeepScrap)
		for _, u := range r.unknown {
			switch {
			case math.Abs(u.UnknownMM-bit.DiameterMM) > 0.05:
			case u.On.Before(from), u.On.Before(bit.Added), !until.IsZero() && !u.On.Before(until):
			case gone && u.On.After(l.EndedOn):
			default:
				l.PossibleM = roundM(l.PossibleM + u.Cut(woods))
			}
		}
	}
}

// InOrder gives all uses by time, then by number.
func (b BitBook) InOrder() []BitUse {
	uses := slices.Clone(b.Uses)
	slices.SortStableFunc(uses, func(x, y BitUse) int { return cmp.Or(x.On.Compare(y.On), cmp.Compare(x.ID, y.ID)) })
	return uses
}

// Where gives the set a bit is in now.
func (b BitBook) Where(code string) string {
	l, _ := b.Life(code)
	return l.Keep
}
