package workshop

import (
	"errors"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"bookmatch/costing/money"
	"bookmatch/jobs"
)

// What an hour earned is arithmetic: 640.00 with 21 % tax is 528.93 without, less
// 88.00 for the tuners, over 10 h: 44.09.
func TestNeckSale(t *testing.T) {
	path := aNeck(t)
	do(t, path, start, ShopSet, &ShopSetAsk{Key: "tax", Value: "21"})
	do(t, path, start, PartAdd, &PartAddAsk{Neck: "ada", Name: "tuners", PartFacts: PartFacts{Price: of(money.MustParse("88.00")), Here: true}})
	do(t, path, start, Spent, &SpentAsk{Minutes: 600, Operation: "flush", Text: "ada", On: "2026-01-05"})
	price := of(money.MustParse("640.00"))
	for _, ask := range []NeckFinishAsk{{Price: price, Keep: true}, {Price: of(money.Zero)}, {Price: of(money.MustParse("-5"))}, {Gift: true, On: "2026-12-24"}} {
		ask.Neck, ask.Anyway = "ada", "as it is"
		if err := refuse(t, path, start, NeckFinish, &ask); !errors.Is(err, jobs.ErrInvalid) {
			t.Errorf("%+v: %v", ask, err)
		}
	}
	if s := showNeck(t, path, start, "ada").Sale; s.How != "" || !s.PerHour.IsZero() {
		t.Errorf("an open neck has %+v", s)
	}
	do(t, path, start, NeckFinish, &NeckFinishAsk{Neck: "ada", Anyway: "as it is"})
	later := start.AddDate(0, 1, 0)
	do(t, path, later, NeckFinish, &NeckFinishAsk{Neck: "ada", Keep: true})
	r := do(t, path, later, NeckFinish, &NeckFinishAsk{Neck: "ada", Price: price, On: "2026-02-01"}).(*NeckResult)
	if len(r.Changed) != 1 || r.Changed[0].Was != "kept on 2026-02-06" || r.Changed[0].Now != "sold on 2026-02-01 for 640.00" {
		t.Errorf("changed %+v", r.Changed)
	}
	do(t, path, later, NeckPay, &NeckPayAsk{Neck: "ada", Amount: money.MustParse("200"), Note: "deposit"})
	s := showNeck(t, path, later, "ada").Sale
	if s.How != jobs.Sold || s.Net.Fixed(2) != "528.93" || s.PerHour.Fixed(2) != "44.09" || s.Paid.Fixed(2) != "200.00" || s.Due.Fixed(2) != "440.00" || s.TaxPercent.String() != "21" {
		t.Errorf("sale %+v", s)
	}
	// A rate that changes later does not move the price of a sale.
	do(t, path, later, ShopSet, &ShopSetAsk{Key: "tax", Value: "7"})
	if s := showNeck(t, path, later, "ada").Sale; s.Net.Fixed(2) != "528.93" {
		t.Errorf("net %s at another rate", s.Net)
	}
	for _, pay := range []NeckPayAsk{{Amount: money.Zero}, {Amount: money.MustParse("-200.01")}, {Amount: money.MustParse("1"), On: "2026-12-24"}} {
		pay.Neck = "ada"
		refuse(t, path, later, NeckPay, &pay)
	}
	do(t, path, later, NeckPay, &NeckPayAsk{Neck: "ada", Amount: money.MustParse("-200.00")})
	// Opened again for a repair, it stays sold.
	do(t, path, later, NeckResume, &NeckResumeAsk{Neck: "ada"})
	do(t, path, later, NeckFinish, &NeckFinishAsk{Neck: "ada", Anyway: "repaired"})
	if s := showNeck(t, path, later, "ada").Sale; s.How != jobs.Sold {
		t.Errorf("sale %+v", s)
	}
	mustBeSound(t, path)
}

// Changes of a neck are told one by one. The steps left take a factor.
func TestNeckSet(t *testing.T) {
	path := aNeck(t)
	do(t, path, start, NeckAdd, &NeckAddAsk{Neck: "N2", Nickname: "bo"})
	do(t, path, start, Spent, &SpentAsk{Minutes: 20, Operation: "choose", Text: "ada", Finished: true, On: "2026-01-05"})
	r := do(t, path, start, NeckSet, &NeckSetAsk{Neck: "ada", Title: of(" plain six "), Nickname: of("ada2"), Customer: of(""), Due: of("none"), Starts: of("2026-02-01"), Wood: of("walnut"), Veneer: of("eb"), HeadMM: of(15.0), Difficulty: of(1.3), Papers: of("P 12")}).(*NeckResult)
	var what []string
	for _, c := range r.Changed {
		what = append(what, c.What)
	}
	if want := []string{"nickname", "title", "customer", "promised", "starts", "wood", "veneer", "papers", "head (mm)", "difficulty of the steps left"}; !slices.Equal(what, want) {
		t.Errorf("changed %v, want %v", what, want)
	}
	s := showNeck(t, path, start, "ada2")
	if s.Title != "plain six" || s.Customer != "" || s.Due != "" || s.Starts != "2026-02-01" || s.Wood != "walnut" || s.Veneer != "ebony" || s.Papers != "P 12" {
		t.Errorf("got %+v", s.NeckHead)
	}
	for _, x := range s.Steps {
		if want := map[bool]float64{true: 0, false: 1.3}[x.IsDone()]; x.Difficulty != want {
			t.Errorf("%s has difficulty %v, want %v", x.Operation, x.Difficulty, want)
		}
	}
	for _, ask := range []NeckSetAsk{{}, {Nickname: of("bo")}, {Nickname: of("n2")}, {Nickname: of("two words")}, {Due: of("soon")}, {Wood: of("cheese")}, {HeadMM: of(0.5)}, {Difficulty: of(0.1)}, {Title: of(strings.Repeat("x", 81))}} {
		ask.Neck = "ada2"
		refuse(t, path, start, NeckSet, &ask)
	}
	mustBeSound(t, path)
}

// A photo is kept by its path, and is missing when its file is.
func TestNeckNote(t *testing.T) {
	path := aNeck(t)
	photo := filepath.Join(t.TempDir(), "blank.jpg")
	if err := os.WriteFile(photo, []byte("no picture"), 0o600); err != nil {
		t.Fatal(err)
	}
	if r := do(t, path, start, NeckNote, &NeckNoteAsk{Neck: "ada", Photo: photo}).(*NeckNoteResult); r.Count != 1 || r.Note.Photo != photo || r.Note.Missing {
		t.Errorf("got %+v", r)
	}
	for _, ask := range []NeckNoteAsk{{Text: " "}, {Text: strings.Repeat("x", jobs.MaxNote+1)}, {Photo: photo + "x"}} {
		ask.Neck = "ada"
		refuse(t, path, start, NeckNote, &ask)
	}
	if err := os.Remove(photo); err != nil {
		t.Fatal(err)
	}
	if n := showNeck(t, path, start, "ada").Notes; len(n) != 1 || !n[0].Missing {
		t.Errorf("got %+v", n)
	}
}

// Fitting waits for the parts. A reason passes over it, rework does
// not ask, and a neck without parts on record does not either.
func TestFittingWaitsForParts(t *testing.T) {
	path := aNeck(t)
	do(t, path, start, NeckAdd, &NeckAddAsk{Neck: "N2", Nickname: "bo"})
	do(t, path, start, PartAdd, &PartAddAsk{Neck: "ada", Name: "tuners", PartFacts: PartFacts{Price: of(money.MustParse("84")), Arrives: of("2026-01-09")}})
	fit := func(at time.Time, necks ...string) error {
		_, err := At(path, clockAt(at)).Do(On, &OnAsk{Operation: "fit-tuners", Necks: necks})
		return err
	}
	var r *jobs.Refusal
	if err := fit(start, "bo", "ada"); !errors.As(err, &r) || r.Code != "parts" || !r.Anyway || r.Lifts == nil || !errors.Is(err, jobs.ErrConflict) || r.Type[0] != "part set 1 --here" {
		t.Errorf("got %+v", r)
	}
	if err := fit(start.AddDate(0, 0, 10), "ada"); !errors.As(err, &r) || !strings.Contains(r.Why, "overdue 7 days") || r.Lifts != nil {
		t.Errorf("got %v", err)
	}
	if err := fit(start, "bo"); err != nil {
		t.Errorf("a neck without parts: %v", err)
	}
	at := start.Add(20 * time.Minute)
	on := do(t, path, at, On, &OnAsk{Operation: "fit-tuners", Necks: []string{"ada"}, Started: Started{Anyway: "a set from the drawer"}}).(*OnResult)
	if !slices.ContainsFunc(on.Warnings, func(w jobs.Warning) bool { return w.Code == "parts" }) {
		t.Errorf("warnings %+v", on.Warnings)
	}
	at = at.Add(20 * time.Minute)
	do(t, path, at, Done, &DoneAsk{})
	do(t, path, at, On, &OnAsk{Operation: "fit-tuners", Necks: []string{"ada"}, Started: Started{Rework: "other"}})
}

// Text is found in every kind of record, with a command that shows it.
func TestFind(t *testing.T) {
	path := aNeck(t)
	const word = "quince"
	do(t, path, start, NeckSet, &NeckSetAsk{Neck: "ada", Title: of("of " + word), Customer: of("Q. Quincey"), Papers: of(word)})
	do(t, path, start, NeckNote, &NeckNoteAsk{Neck: "ada", Text: word})
	do(t, path, start, NeckStepChange, &NeckStepAsk{Neck: "ada", Step: "drill", Note: word})
	do(t, path, start, NeckPay, &NeckPayAsk{Neck: "ada", Amount: money.MustParse("1"), Note: word})
	do(t, path, start, PartAdd, &PartAddAsk{Neck: "ada", Name: word, PartFacts: PartFacts{Price: of(money.MustParse("1"))}})
	do(t, path, start, PieceAdd, &PieceAddAsk{Piece: "V1", Wood: "walnut", Price: of(money.MustParse("1")), PieceSize: PieceSize{Note: of(word)}})
	do(t, path, start, Spent, &SpentAsk{Minutes: 20, Operation: "choose", Text: "ada", On: "2026-01-05", Started: Started{Note: word, Anyway: word, Person: word}})
	do(t, path, start, NeckHold, &NeckHoldAsk{Neck: "ada", Why: "waits for " + word})
	do(t, path, start, NeckResume, &NeckResumeAsk{Neck: "ada"})
	r := do(t, path, start, Find, &FindAsk{Text: strings.ToUpper(word)}).(*FindResult)
	var got []string
	for _, h := range r.Hits {
		got = append(got, h.What)
		if h.Type == "" || h.Code == "" {
			t.Errorf("%+v has no command", h)
		}
	}
	if want := []string{"title", "customer", "papers", "note", "payment", "step", "entry", "anyway", "person", "part", "piece", "reason"}; !slices.Equal(got, want) {
		t.Errorf("found %v, want %v", got, want)
	}
	if r := do(t, path, start, Find, &FindAsk{Text: "medlar"}).(*FindResult); r.Hits == nil || len(r.Hits) != 0 {
		t.Errorf("got %+v", r.Hits)
	}
	refuse(t, path, start, Find, &FindAsk{Text: " x "})
}

// The list has open necks first and leaves closed ones out. The queue has the load.
func TestNeckListAndLoad(t *testing.T) {
	path := aNeck(t)
	do(t, path, start, ShopSetup, &ShopSetupAsk{Settings: map[string][]string{"evening": {"tue 19:30-22:00", "thu 19:30-22:00"}}})
	for _, n := range []string{"bo", "cy", "di"} {
		do(t, path, start, NeckAdd, &NeckAddAsk{Neck: "N-" + n, Nickname: n})
	}
	do(t, path, start, NeckHold, &NeckHoldAsk{Neck: "bo", Why: "no wood"})
	do(t, path, start, NeckScrap, &NeckScrapAsk{Neck: "cy", Why: "a crack"})
	names := func(all bool) (out []string) {
		for _, n := range do(t, path, start, NeckList, &NeckListAsk{All: all}).(*NeckListResult).Necks {
			out = append(out, n.Name())
		}
		return out
	}
	if got := names(false); !slices.Equal(got, []string{"di", "ada", "bo"}) && !slices.Equal(got, []string{"ada", "di", "bo"}) {
		t.Errorf("open %v", got)
	}
	if got := names(true); len(got) != 4 || got[3] != "cy" {
		t.Errorf("all %v", got)
	}
	q := do(t, path, start, NeckQueue, &NeckQueueAsk{}).(*NeckQueueResult)
	if len(q.Necks) != 3 || q.Load == nil || q.Load.EveningH != 2.5 || q.Load.PlannedPerWeek != 2 {
		t.Fatalf("queue %+v, load %+v", q.Necks, q.Load)
	}
	left := 0.0
	for _, n := range q.Necks {
		left += n.LeftH
		if n.Status == jobs.Held && (n.Waits != "on hold: no wood" || n.Safe != "") {
			t.Errorf("on hold: %+v", n)
		}
	}
	if jobs.Round2(left) != q.Load.LeftH {
		t.Errorf("left %v, load %v", left, q.Load.LeftH)
	}
}

// The cost at the end is arithmetic, recomputed here from the steps that are left: each
// average hour at labour and overhead, and the glue of the recipe at its last price. A
// step that is done, or skipped, adds nothing any more.
func TestCostAtEnd(t *testing.T) {
	path := aNeck(t)
	do(t, path, start, ShopSet, &ShopSetAsk{Key: "labour", Value: "30"})
	do(t, path, start, ShopSet, &ShopSetAsk{Key: "overhead", Value: "6"})
	bare := showNeck(t, path, start, "ada")
	want := money.MustParse("36").Mul(money.QtyFromFloat(bare.Hours.LeftH).Decimal)
	if diff := bare.AtEnd.Sub(want).Float(); math.Abs(diff) > 0.36 { // the hours are rounded to 0.01
		t.Errorf("the end at %s, want %s", bare.AtEnd.Fixed(2), want.Fixed(2))
	}
	do(t, path, start, SupplyAdd, &SupplyAddAsk{Supply: "wood-glue", Unit: "ml"})
	do(t, path, start, SupplyReceive, &SupplyReceiveAsk{Supply: "wood-glue", Quantity: "500", Price: of(money.MustParse("10.00"))})
	glued := showNeck(t, path, start, "ada")
	if got := glued.AtEnd.Sub(bare.AtEnd).Float(); math.Abs(got-0.192) > 0.011 {
		t.Errorf("glue adds %.3f, want 2 x (140 x 0.02 + 2) ml at 0.02: 0.192", got)
	}
	do(t, path, start, Spent, &SpentAsk{Minutes: 20, Operation: "drill", Text: "ada", Finished: true, Started: Started{Anyway: "test"}})
	after := showNeck(t, path, start, "ada")
	if left := after.AtEnd.Sub(after.Cost.Total); after.Cost.Total.Fixed(2) != "12.00" || left.Float() >= glued.AtEnd.Float() {
		t.Errorf("cost %s, the end at %s", after.Cost.Total.Fixed(2), after.AtEnd.Fixed(2))
	}
	if list := do(t, path, start, NeckShow, &NeckShowAsk{Neck: "ada", Undated: true}).(*NeckShowResult); !list.AtEnd.IsZero() {
		t.Errorf("a list works out the end: %s", list.AtEnd.Fixed(2))
	}
}
