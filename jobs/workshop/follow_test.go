package workshop

import (
	"errors"
	"testing"
	"time"

	"bookmatch/costing/money"
	"bookmatch/jobs"
	"bookmatch/jobs/store"

	"github.com/google/go-cmp/cmp"
)

// corrections is an invented shop with two necks, glue and two bits, and an evening
// of two entries: 1 glue-face on ada (100 cm2), 2 drill on ada and bo (6 and 8).
func corrections(t *testing.T) string {
	t.Helper()
	path := newFile(t)
	update(t, path, start, "made up", func(b *Book) error {
		for _, n := range []jobs.Neck{{Code: "N1", Nickname: "ada"}, {Code: "N2", Nickname: "bo"}, {Code: "N3", Nickname: "cy"}} {
			n.Status, n.Wood, n.Added = jobs.Open, "hard-maple", start
			n.Steps = []jobs.Step{{No: 1, Operation: "glue-face", Quantity: 140}, {No: 2, Operation: "glue-back", Quantity: 140}, {No: 3, Operation: "drill", Quantity: 6}}
			if n.Code == "N2" {
				n.Steps[2].Quantity = 8
			}
			if err := store.Put(b.Tx, store.Necks, n); err != nil {
				return err
			}
		}
		for _, code := range []string{"S10-1", "S10-2"} {
			if err := store.Put(b.Tx, store.Bits, jobs.Bit{Code: code, DiameterMM: 10, Point: "brad", Material: "hss", Keep: jobs.KeepShow, Added: start}); err != nil {
				return err
			}
		}
		return b.AddSupply(jobs.Supply{Name: "wood-glue", Unit: "ml"})
	})
	do(t, path, start, On, &OnAsk{Operation: "glue-face", Necks: []string{"ada"}})
	do(t, path, start.Add(20*time.Minute), Done, &DoneAsk{Text: "100"})
	do(t, path, start.Add(30*time.Minute), On, &OnAsk{Operation: "drill", Necks: []string{"ada", "bo"}, Bit: "S10-1", Started: Started{Anyway: "a test"}})
	do(t, path, start.Add(70*time.Minute), Done, &DoneAsk{Text: "ada 6, bo 8"})
	return path
}

// written is what an entry has brought with it: glue in ml and holes by bit.
func written(t *testing.T, path string, id uint64) (glue string, holes map[string]int) {
	t.Helper()
	holes = map[string]int{}
	view(t, path, func(b *Book) error {
		uses, drilled, err := b.EntryFollowers(id)
		sum := money.Qty{}
		for _, u := range uses {
			sum = sum.Plus(u.Quantity)
		}
		glue = sum.String()
		for _, u := range drilled {
			holes[u.Bit+" "+u.Neck] += u.Holes
		}
		return err
	})
	return glue, holes
}

var later = start.Add(24 * time.Hour)

func amend(id uint64, set func(*EntryAmendAsk)) *EntryAmendAsk {
	a := &EntryAmendAsk{ID: id, Reason: Reason{"a test"}}
	set(a)
	return a
}

// The glue of the recipe is 2 ml and 0.02 ml a cm2: 100 cm2 take 4 ml, 140 take
// 4.8 ml. Arithmetic on the seeded recipe.
func TestGlueFollowsACorrection(t *testing.T) {
	path := corrections(t)
	for _, c := range []struct {
		name string
		ask  *EntryAmendAsk
		want string
	}{
		{"as it was done", nil, "4"},
		{"another count", amend(1, func(a *EntryAmendAsk) { a.Count = "140" }), "4.8"},
		{"a later end", amend(1, func(a *EntryAmendAsk) { a.To = start.Add(25 * time.Minute).Format(time.RFC3339) }), "4.8"},
		{"another operation with the same recipe", amend(1, func(a *EntryAmendAsk) { a.Operation = "glue-back" }), "4.8"},
		{"not done after all", amend(1, func(a *EntryAmendAsk) { a.Open = true }), "0"},
		{"done as counted", amend(1, func(a *EntryAmendAsk) { a.Finished = true }), "4.8"},
		{"an operation without a recipe", amend(1, func(a *EntryAmendAsk) { a.Operation = "choose-veneer" }), "0"},
	} {
		if c.ask != nil {
			do(t, path, later, EntryAmend, c.ask)
		}
		if got, _ := written(t, path, 1); got != c.want {
			t.Errorf("%s: %s ml of glue, want %s", c.name, got, c.want)
		}
	}
	mustBeSound(t, path)
}

func TestHolesFollowACorrection(t *testing.T) {
	path := corrections(t)
	both := map[string]int{"S10-1 N1": 6, "S10-1 N2": 8}
	for _, c := range []struct {
		name string
		ask  Ask
		want map[string]int
	}{
		{"as it was done", nil, both},
		{"another count", amend(2, func(a *EntryAmendAsk) { a.Count = "ada 5, bo 8" }), map[string]int{"S10-1 N1": 5, "S10-1 N2": 8}},
		{"not done after all: the holes stay", amend(2, func(a *EntryAmendAsk) { a.Open = true }), map[string]int{"S10-1 N1": 5, "S10-1 N2": 8}},
		{"done", amend(2, func(a *EntryAmendAsk) { a.Finished, a.Count = true, "ada 6, bo 8" }), both},
		{"another bit", amend(2, func(a *EntryAmendAsk) { a.Bit = "S10-2" }), map[string]int{"S10-2 N1": 6, "S10-2 N2": 8}},
		{"a grade changes no count", amend(2, func(a *EntryAmendAsk) { a.Grade = "clean" }), map[string]int{"S10-2 N1": 6, "S10-2 N2": 8}},
		{"a grade of one neck", amend(2, func(a *EntryAmendAsk) { a.Count = "ada 6 grade fuzz, bo 8" }), map[string]int{"S10-2 N1": 6, "S10-2 N2": 8}},
		{"another neck", &EntryMoveAsk{ID: 2, To: "cy", Neck: "bo", Reason: Reason{"a test"}}, map[string]int{"S10-2 N1": 6, "S10-2 N3": 8}},
		{"none on one neck", amend(2, func(a *EntryAmendAsk) { a.Count = "ada 0, cy 8" }), map[string]int{"S10-2 N3": 8}},
		{"an operation that drills nothing", amend(2, func(a *EntryAmendAsk) { a.Operation = "glue-back" }), map[string]int{}},
	} {
		v := EntryAmend
		if _, ok := c.ask.(*EntryMoveAsk); ok {
			v = EntryMove
		}
		if c.ask != nil {
			do(t, path, later, v, c.ask)
		}
		if _, got := written(t, path, 2); !cmp.Equal(got, c.want) {
			t.Errorf("%s: got %v, want %v", c.name, got, c.want)
		}
	}
	mustBeSound(t, path)
}

// A use that was logged by hand goes where its neck's share goes, and stays when
// the step is open again.
func TestAUseByHandStaysWithItsShare(t *testing.T) {
	path := corrections(t)
	update(t, path, later, "supply use", func(b *Book) error {
		_, err := b.RecordUse(jobs.SupplyUse{Supply: "wood-glue", Kind: jobs.UseIssue, Quantity: money.QtyFromFloat(3), On: start.Add(40 * time.Minute), Neck: "N2", Step: 3, Entry: 2})
		return err
	})
	do(t, path, later, EntryMove, &EntryMoveAsk{ID: 2, To: "cy", Neck: "bo", Reason: Reason{"a test"}})
	do(t, path, later, EntryAmend, amend(2, func(a *EntryAmendAsk) { a.Open = true }))
	view(t, path, func(b *Book) error {
		uses, _, err := b.EntryFollowers(2)
		if err != nil || len(uses) != 1 || uses[0].Neck != "N3" || uses[0].Quantity.String() != "3" {
			t.Errorf("got %+v, %v, want 3 ml on N3", uses, err)
		}
		return nil
	})
}

// The setup proportion is that of the standard at the time of the work, unless
// the counts are other ones.
func TestACorrectedEntryKeepsItsSetup(t *testing.T) {
	path := corrections(t)
	part := func() (p float64) {
		view(t, path, func(b *Book) error {
			e, err := b.Entry(2)
			p = e.SetupPart
			return err
		})
		return p
	}
	was := part()
	update(t, path, later, "operation set drill", func(b *Book) error {
		o := b.Operations["drill"]
		o.SetupMin *= 3
		return store.Put(b.Tx, store.Operations, o)
	})
	do(t, path, later, EntryAmend, amend(2, func(a *EntryAmendAsk) { a.Bit = "S10-2" }))
	if got := part(); got != was || got <= 0 {
		t.Errorf("another bit: setup part %v, want %v", got, was)
	}
	do(t, path, later, EntryAmend, amend(2, func(a *EntryAmendAsk) { a.Count = "ada 6, bo 7" }))
	if got := part(); got <= was {
		t.Errorf("another count: setup part %v, want more than %v", got, was)
	}
}

// The journal keeps the reason as a field, and what was asked.
func TestTheReasonIsInTheJournal(t *testing.T) {
	path := corrections(t)
	r := do(t, path, later, EntryDrop, &EntryDropAsk{Asked: Asked{By: "bench page"}, ID: 2, Reason: Reason{"  another   job "}}).(*CorrectedResult)
	want := []HolesOn{{"S10-1", 14}}
	if !cmp.Equal(r.Bits, want) || r.Entry != nil || r.Was.ID != 2 {
		t.Errorf("got %+v, want %v", r, want)
	}
	view(t, path, func(b *Book) error {
		for c, err := range store.Changes(b.Tx, true) {
			if err != nil || c.Why != "another job" || c.By != "bench page" || c.Verb != "entry drop" || WordsOf(c.Verb, c.Ask) != `entry drop 2 --why "  another   job "` {
				t.Errorf("got %+v, %v", c, err)
			}
			return err
		}
		return nil
	})
	mustBeSound(t, path)
}

// Who means an entry as it was at a change gets a refusal once it has changed.
func TestACorrectionMeansTheEntryThatWasSeen(t *testing.T) {
	path := corrections(t)
	seen := do(t, path, later, EntryList, &EntryListAsk{}).(*EntryListResult).Change
	do(t, path, later, EntryAmend, amend(1, func(a *EntryAmendAsk) { a.Count = "120" }))
	ask := amend(1, func(a *EntryAmendAsk) { a.Count = "130"; a.Asked.Seen = seen })
	err := refuse(t, path, later, EntryAmend, ask)
	var r *jobs.Refusal
	if !errors.As(err, &r) || r.Code != "seen" || r.What != "NOT CHANGED" {
		t.Errorf("got %+v", err)
	}
	do(t, path, later, EntryAmend, amend(2, func(a *EntryAmendAsk) { a.Count = "ada 6, bo 7"; a.Asked.Seen = seen }))
}

// Refusals of corrections, and what to type.
func TestRefusedCorrections(t *testing.T) {
	path := corrections(t)
	none := func(a *EntryAmendAsk) { a.Why = "" }
	for name, c := range map[string]struct {
		ask       Ask
		verb      Verb
		code, typ string
	}{
		"no reason":        {amend(1, func(a *EntryAmendAsk) { none(a); a.Count = "140" }), EntryAmend, "reason", `entry amend 1 --count 140 --why "read off the wall clock"`},
		"nothing":          {amend(1, func(a *EntryAmendAsk) {}), EntryAmend, "usage", `entry amend 1 --to 18:50 --why "read off the wall clock"`},
		"no such entry":    {amend(9, func(a *EntryAmendAsk) { a.Open = true }), EntryAmend, "missing", "entry list"},
		"done and open":    {amend(1, func(a *EntryAmendAsk) { a.Open, a.Finished = true, true }), EntryAmend, "usage", `entry amend 1 --done --why "it was done"`},
		"no assumed end":   {amend(1, func(a *EntryAmendAsk) { a.Confirm = true }), EntryAmend, "not-assumed", "entry list --assumed --all"},
		"overlap":          {amend(1, func(a *EntryAmendAsk) { a.To = "19:20" }), EntryAmend, "overlap", "entry list --evening 2026-01-06"},
		"as it is":         {amend(1, func(a *EntryAmendAsk) { a.Count = "100" }), EntryAmend, "same", "entry list --evening 2026-01-06"},
		"clocked":          {amend(1, func(a *EntryAmendAsk) { m := 30.0; a.SpentMin = &m }), EntryAmend, "clocked", `entry amend 1 --to 20:45 --why "read off the wall clock"`},
		"which neck":       {&EntryMoveAsk{ID: 2, To: "cy", Reason: Reason{"slip"}}, EntryMove, "which-neck", "entry move 2 --to-neck cy --why slip --neck ada"},
		"no neck":          {&EntryMoveAsk{ID: 1, Reason: Reason{"slip"}}, EntryMove, "usage", `entry move 1 --to-neck ada --why "the wrong neck"`},
		"on it already":    {&EntryMoveAsk{ID: 2, Neck: "ada", To: "bo", Reason: Reason{"slip"}}, EntryMove, "same-neck", `entry amend 2 --count "bo 6" --why "counted again"`},
		"drop, no reason":  {&EntryDropAsk{ID: 1}, EntryDrop, "reason", `entry drop 1 --why "read off the wall clock"`},
		"no break in work": {amend(1, func(a *EntryAmendAsk) { a.Away = []string{"20:10"} }), EntryAmend, "invalid", ""},
	} {
		err := refuse(t, path, later, c.verb, c.ask)
		var r *jobs.Refusal
		if !errors.As(err, &r) || r.Code != c.code || c.typ != "" && (len(r.Type) == 0 || r.Type[0] != c.typ) {
			t.Errorf("%s: got %+v, want %s, %s", name, r, c.code, c.typ)
		}
	}
	mustBeSound(t, path)
}
