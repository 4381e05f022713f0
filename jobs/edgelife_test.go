package jobs

import (
	"errors"
	"math"
	"testing"
	"time"
)

var benchDay = time.Date(2026, 3, 3, 19, 0, 0, 0, time.UTC)

func grade(g int) *int { return &g }

// lifeBook builds a book around one 10 mm brad bit from uses and moves in the
// order given, one day apart.
func lifeBook(steps ...any) BitBook {
	b := BitBook{Woods: SeedWoods(), Bits: []Bit{{Code: "S10-1", DiameterMM: 10, DiameterText: "10mm", Point: "brad", Material: "hss", Keep: KeepShow, ExpectedM: 2.25, Added: benchDay}},
		Edges: []Edge{{Bit: "S10-1", No: 1, Origin: OriginNew, Started: benchDay, DiameterMM: 10}}}
	for i, s := range steps {
		on, id := benchDay.AddDate(0, 0, i), uint64(i+1)
		switch x := s.(type) {
		case BitUse:
			x.ID, x.On = id, on
			if x.Bit == "" && x.UnknownMM == 0 {
				x.Bit, x.Edge = "S10-1", max(x.Edge, 1)
			}
			b.Uses = append(b.Uses, x)
		case BitMove:
			x.ID, x.On, x.Bit, x.Edge = id, on, "S10-1", max(x.Edge, 1)
			b.Moves = append(b.Moves, x)
		case Edge:
			x.Bit, x.Started = "S10-1", on
			b.Edges = append(b.Edges, x)
		}
	}
	return b
}

// use is n holes of 15 mm through hard maple: n reference holes.
func use(n int) BitUse {
	return BitUse{Holes: n, DepthMM: 15, Layers: []Layer{{"hard-maple", 15}}}
}

func graded(n, in int) BitUse { u := use(n); u.GradeIn = grade(in); return u }

func near(got, want float64) bool { return math.Abs(got-want) < 1e-9 }

func TestCutMetres(t *testing.T) {
	woods := NewWoodTable(SeedWoods())
	six := use(6)
	if got := six.Cut(woods); !near(got, 0.09) {
		t.Errorf("six 15 mm holes in hard maple: %v m, want 0.09", got)
	}
	six.Backing = Backing{BackingTight, "hard-maple", 4}
	if got := six.Cut(woods); !near(got, 0.114) {
		t.Errorf("with 4 mm into a backing of the same: %v m, want 0.114", got)
	}
	layered := BitUse{Holes: 2, Layers: []Layer{{"ebony", 1}, {"hard-maple", 13}, {"mahogany", 1}}, GlueLines: 2, Backing: Backing{BackingTight, "poplar", 4}}
	if got, want := layered.Cut(woods), 2*(1.4+13+0.7+2*2+4*0.5)/1000; !near(got, want) {
		t.Errorf("layers, glue and backing: %v m, want %v", got, want)
	}
	strange := BitUse{Holes: 1, Layers: []Layer{{"stone", 10}}}
	if m, unknown := strange.CutPerHole(woods); !near(m, 0.01) || len(unknown) != 1 || unknown[0] != "stone" {
		t.Errorf("an unknown wood counts as hard maple and is named: %v %v", m, unknown)
	}
}

func TestTale(t *testing.T) {
	woods := NewWoodTable(SeedWoods())
	wenge := BitUse{Holes: 1, Layers: []Layer{{"wenge", 15}}, GradeIn: grade(2)}
	unlogged := use(1)
	unlogged.Backing.State, unlogged.GradeOut = BackingLoose, grade(3)
	tight := unlogged
	tight.Backing.State = BackingTight
	burn, nail := use(1), use(1)
	burn.Signs, nail.Signs = []string{SignBurn}, []string{SignNail}
	for name, c := range map[string]struct {
		use  BitUse
		want Tale
	}{
		"not seen is not zero":               {use(6), TaleSilent},
		"clean":                              {graded(6, 0), TaleClean},
		"fuzz on maple":                      {graded(6, 1), TaleDull},
		"a chip on wenge is wenge":           {wenge, TaleClean},
		"exit over loose backing says none":  {unlogged, TaleSilent},
		"exit over tight backing counts":     {tight, TaleDull},
		"burn":                               {burn, TaleDull},
		"a nail is an accident and not wear": {nail, TaleShock},
	} {
		if got, why := c.use.Tale(woods); got != c.want || (got == TaleDull && why == "") {
			t.Errorf("%s: got %v %q, want %v", name, got, why, c.want)
		}
	}
}

func TestLives(t *testing.T) {
	proof := graded(1, 0)
	proof.Test = true
	torn := graded(1, 2)
	torn.Test = true
	unknown := use(10)
	unknown.UnknownMM = 10
	move := func(to, why string) BitMove { return BitMove{To: to, Cause: why} }
	type want struct {
		life, wear, possible float64
		event, closed        bool
		set                  string
	}
	ref := func(holes float64) float64 { return holes * RefHoleM }
	cases := map[string]struct {
		steps []any
		want  want
	}{
		"in use":                        {[]any{use(6), graded(6, 0)}, want{ref(12), ref(12), 0, false, false, KeepShow}},
		"torn is an event":              {[]any{use(6), graded(6, 3), use(4)}, want{ref(12), ref(16), 0, true, true, KeepShow}},
		"found dull":                    {[]any{use(6), move(KeepGeneral, CauseDull)}, want{ref(6), ref(6), 0, true, true, KeepGeneral}},
		"moved while good":              {[]any{use(6), move(KeepGeneral, CauseSwapped)}, want{ref(6), ref(6), 0, false, true, KeepGeneral}},
		"hidden holes say nothing":      {[]any{use(6), move(KeepGeneral, CauseSwapped), use(40)}, want{ref(6), ref(46), 0, false, true, KeepGeneral}},
		"a rim seen later says more":    {[]any{use(6), move(KeepGeneral, CauseSwapped), use(40), graded(2, 0)}, want{ref(48), ref(48), 0, false, true, KeepGeneral}},
		"suspicion alone is no event":   {[]any{use(6), move(KeepGeneral, CauseSuspected)}, want{ref(6), ref(6), 0, false, true, KeepGeneral}},
		"suspicion confirmed by proof":  {[]any{use(6), move(KeepGeneral, CauseSuspected), use(20), torn}, want{ref(6), ref(27), 0, true, true, KeepGeneral}},
		"suspicion not borne out":       {[]any{use(6), move(KeepGeneral, CauseSuspected), proof, move(KeepShow, CauseSwapped)}, want{ref(7), ref(7), 0, false, false, KeepShow}},
		"lost":                          {[]any{use(6), move(KeepScrap, CauseLost)}, want{ref(6), ref(6), 0, false, true, KeepScrap}},
		"lost and found again":          {[]any{use(6), move(KeepScrap, CauseLost), move(KeepShow, CauseFound), use(6)}, want{ref(12), ref(12), 0, false, false, KeepShow}},
		"broken":                        {[]any{use(6), move(KeepScrap, CauseBroken)}, want{ref(6), ref(6), 0, false, true, KeepScrap}},
		"unknown of its size":           {[]any{use(6), unknown}, want{ref(6), ref(6), ref(10), false, false, KeepShow}},
		"unknown while it was lost":     {[]any{use(6), move(KeepScrap, CauseLost), unknown}, want{ref(6), ref(6), 0, false, true, KeepScrap}},
		"sharpening closes a good edge": {[]any{use(6), Edge{No: 2, Origin: OriginSharpened, DiameterMM: 9.9}}, want{ref(6), ref(6), 0, false, true, KeepShow}},
	}
	for name, c := range cases {
		l := lifeBook(c.steps...).Lives()[0]
		got := want{l.LifeM, l.WearM, l.PossibleM, l.Event, l.Closed, l.Keep}
		if !near(got.life, c.want.life) || !near(got.wear, c.want.wear) || !near(got.possible, c.want.possible) ||
			got.event != c.want.event || got.closed != c.want.closed || got.set != c.want.set {
			t.Errorf("%s: got %+v, want %+v (%s)", name, got, c.want, l.End)
		}
	}
}

func TestSharpenedEdgeStartsAfresh(t *testing.T) {
	second := graded(3, 0)
	second.Edge = 2
	b := lifeBook(use(6), BitMove{To: KeepGeneral, Cause: CauseDull}, Edge{No: 2, Origin: OriginSharpened, DiameterMM: 9.9, ExpectedM: 1.8}, second)
	l, ok := b.Life("S10-1")
	if !ok || l.Edge != 2 || !near(l.WearM, 3*RefHoleM) || l.Keep != KeepShow || l.ExpectedM != 1.8 || l.MeasuredMM != 9.9 || l.Closed {
		t.Errorf("got %+v", l)
	}
}

func TestDroppingAUseRestoresEveryFigure(t *testing.T) {
	before := lifeBook(use(6), graded(6, 0)).Lives()[0]
	b := lifeBook(use(6), graded(6, 0), graded(6, 3))
	if after := b.Lives()[0]; !after.Event || near(after.WearM, before.WearM) {
		t.Fatal("a torn hole changed nothing")
	}
	b.Uses = b.Uses[:2]
	if got := b.Lives()[0]; got.LifeM != before.LifeM || got.WearM != before.WearM || got.Event != before.Event || got.Holes != before.Holes || got.Closed != before.Closed {
		t.Errorf("got %+v, want %+v", got, before)
	}
}

func TestCheckMove(t *testing.T) {
	dull := lifeBook(graded(6, 3))
	away := lifeBook(use(6), BitMove{To: KeepGeneral, Cause: CauseSwapped})
	for name, c := range map[string]struct {
		book BitBook
		move BitMove
		want error
	}{
		"dull back to show":           {dull, BitMove{Bit: "S10-1", To: KeepShow, Cause: CauseSwapped}, ErrConflict},
		"general to show without any": {away, BitMove{Bit: "S10-1", To: KeepShow, Cause: CauseSwapped}, ErrConflict},
		"found but never lost":        {away, BitMove{Bit: "S10-1", To: KeepShow, Cause: CauseFound}, ErrConflict},
		"no such set":                 {dull, BitMove{Bit: "S10-1", To: "drawer", Cause: CauseDull}, ErrInvalid},
		"no such cause":               {dull, BitMove{Bit: "S10-1", To: KeepGeneral, Cause: "bored"}, ErrInvalid},
		"no such bit":                 {dull, BitMove{Bit: "S10-9", To: KeepGeneral, Cause: CauseDull}, ErrNotFound},
		"dull to general":             {dull, BitMove{Bit: "S10-1", To: KeepGeneral, Cause: CauseDull}, nil},
	} {
		if err := c.book.CheckMove(c.move); !errors.Is(err, c.want) {
			t.Errorf("%s: got %v, want %v", name, err, c.want)
		}
	}
}

func TestDiameterClass(t *testing.T) {
	for mm, want := range map[float64]string{3: "under 4 mm", 6: "4 to 7 mm", 8: "7 to 9 mm", 10: "9 to 11 mm", 9.92: "9 to 11 mm", 12.7: "11 to 14 mm", 25: "20 mm and up"} {
		if got := DiameterClass(mm); got != want {
			t.Errorf("%v: got %q, want %q", mm, got, want)
		}
	}
}
