package workshop

import (
	"encoding/json"
	"errors"
	"math"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"
	"time"

	"bookmatch/costing/money"
	"bookmatch/jobs"
)

func of[T any](x T) *T { return &x }

// aNeck adds N1, ada, on the usual route, and gives the file.
func aNeck(t testing.TB) string {
	t.Helper()
	path := newFile(t)
	do(t, path, start, NeckAdd, &NeckAddAsk{Neck: "N1", Nickname: "ada", Wood: "hard-maple", Customer: "I. Marten", Due: "2026-12-01", Quantities: map[string]float64{"hole": 6}})
	return path
}

func showNeck(t testing.TB, path string, at time.Time, name string) *NeckShowResult {
	t.Helper()
	return do(t, path, at, NeckShow, &NeckShowAsk{Neck: name}).(*NeckShowResult)
}

// Names of quantities are resolved, and a neck for a customer counts as paid work.
func TestNeckAdd(t *testing.T) {
	path := newFile(t)
	r := do(t, path, start, NeckAdd, &NeckAddAsk{Neck: "N1", Nickname: "ada", Wood: "hard-m", Customer: "I. Marten", Quantities: map[string]float64{"hole": 8, "inlay": 14}}).(*NeckResult)
	if r.Wood != "hard-maple" || r.Quantities["holes"] != 8 || r.Quantities["pilots"] != 8 || r.Next != "order-parts" || r.Steps != r.Left || r.Route != "headstock" {
		t.Errorf("got %+v", r)
	}
	for _, tc := range []struct {
		name string
		ask  NeckAddAsk
		want string
	}{
		{"code taken", NeckAddAsk{Neck: "n1"}, `NOT ADDED: neck "N1" is taken by neck ada (open)`},
		{"nickname taken", NeckAddAsk{Neck: "N2", Nickname: "ADA"}, `NOT ADDED: the name "ADA" is taken by neck N1`},
		{"nickname is a code", NeckAddAsk{Neck: "N2", Nickname: "n1"}, `NOT ADDED: the name "n1" is taken by neck N1`},
		{"code with a space", NeckAddAsk{Neck: "N 2"}, `NOT ADDED: neck "N 2" does not fit`},
		{"no such route", NeckAddAsk{Neck: "N2", Route: "bodies"}, `NOT ADDED: there is no route "bodies"`},
		{"no such wood", NeckAddAsk{Neck: "N2", Wood: "hard-mapel"}, `NOT ADDED: there is no wood "hard-mapel"`},
		{"no such quantity", NeckAddAsk{Neck: "N2", Quantities: map[string]float64{"dots": 4}}, `NOT ADDED: quantity "dots" does not fit`},
		{"head too thick", NeckAddAsk{Neck: "N2", HeadMM: of(90.0)}, `NOT ADDED: head "90" does not fit`},
	} {
		t.Run(tc.name, func(t *testing.T) {
			if err := refuse(t, path, start, NeckAdd, &tc.ask); !strings.HasPrefix(err.Error(), tc.want) {
				t.Errorf("got %v, want %s", err, tc.want)
			}
		})
	}
}

// A step of 6 holes with 2 drilled is estimated for the 4 that are left. Minutes put
// into a step without a count are taken off, three quarters at most.
func TestStartedStepHasWhatIsLeft(t *testing.T) {
	path := aNeck(t)
	step := func(at time.Time, operation string) NeckStep {
		for _, s := range showNeck(t, path, at, "ada").Steps {
			if s.Operation == operation {
				return s
			}
		}
		t.Fatalf("no step %s", operation)
		return NeckStep{}
	}
	at := start
	whole := step(at, "ease-holes")
	do(t, path, at, Spent, &SpentAsk{Minutes: 4, Operation: "ease-holes", Text: "ada 2", On: "2026-01-05"})
	part := step(at, "ease-holes")
	if part.State != jobs.Started || part.Quantity != 6 {
		t.Fatalf("got %+v", part)
	}
	var want float64
	view(t, path, func(b *Book) error {
		e, err := b.Est().Step("ease-holes", 4)
		want = jobs.Round2(e.LikelyMin)
		return err
	})
	if math.Abs(part.LikelyMin-want) > 0.5 || part.LikelyMin >= whole.LikelyMin {
		t.Errorf("likely %v min for what is left, want %v, the whole was %v", part.LikelyMin, want, whole.LikelyMin)
	}
}

// Every figure of a result is rounded once, minutes to hundredths, and the sum of the
// averages left is the one of the queue.
func TestNeckShowAgreesWithItselfAndTheQueue(t *testing.T) {
	path := aNeck(t)
	rng := rand.New(rand.NewPCG(15, 13))
	at := start
	for _, op := range []string{"choose-veneer", "thickness-core", "joint-veneer", "glue-face", "drill"} {
		at = at.Add(time.Duration(60+rng.IntN(4000)) * time.Second)
		do(t, path, at, On, &OnAsk{Operation: op, Necks: []string{"ada"}, Started: Started{Anyway: "a test"}})
		at = at.Add(time.Duration(60+rng.IntN(4000)) * time.Second)
		do(t, path, at, Done, &DoneAsk{})
	}
	r := showNeck(t, path, at, "ada")
	hundredths := func(name string, v float64) {
		if math.Abs(v*100-math.Round(v*100)) > 1e-6 {
			t.Errorf("%s is %v, not rounded to hundredths", name, v)
		}
	}
	took := 0.0
	for _, s := range r.Steps {
		for name, v := range map[string]float64{"setup": s.SetupMin, "run": s.RunMin, "likely": s.LikelyMin, "safe": s.SafeMin, "actual": s.ActualMin} {
			hundredths(s.Operation+" "+name, v)
		}
		took += s.ActualMin
	}
	hundredths("total", r.Hours.TotalMin)
	if math.Abs(took-r.Hours.TotalMin) > 0.005*float64(len(r.Steps)) || math.Abs(r.Hours.FirstMin+r.Hours.DecideMin+r.Hours.ReworkMin-r.Hours.TotalMin) > 0.02 {
		t.Errorf("steps took %v, hours %+v", took, r.Hours)
	}
	sum := money.Sum(r.Cost.Labour, r.Cost.Overhead, r.Cost.Supplies, r.Cost.Bits, r.Cost.Parts, r.Cost.Rework)
	if sum.Cmp(r.Cost.Total) != 0 {
		t.Errorf("groups add up to %s, total %s", sum, r.Cost.Total)
	}
	q := do(t, path, at, NeckQueue, &NeckQueueAsk{}).(*NeckQueueResult)
	if len(q.Necks) != 1 || q.Necks[0].LeftH != r.Hours.LeftH || q.Necks[0].Customer != "IM" {
		t.Errorf("the queue says %+v, the neck %v h", q.Necks, r.Hours.LeftH)
	}
	if p := r.Promise; p != nil && (q.Necks[0].Safe != p.Safe || *q.Necks[0].SpareDays != *p.SpareDays) {
		t.Errorf("the queue says safe %s, the neck %s", q.Necks[0].Safe, p.Safe)
	}
}

// The status of a neck: what refuses, and what opens again.
func TestNeckStatus(t *testing.T) {
	path := aNeck(t)
	at := start
	is := func(want jobs.Status) {
		t.Helper()
		if got := showNeck(t, path, at, "ada").Status; got != want {
			t.Errorf("status %s, want %s", got, want)
		}
	}
	says := func(v Verb, ask Ask, want string) {
		t.Helper()
		err := refuse(t, path, at, v, ask)
		var r *jobs.Refusal
		if !errors.As(err, &r) || !strings.HasPrefix(err.Error(), want) || len(r.Type) == 0 {
			t.Errorf("got %v, want %s and what to type", err, want)
		}
	}
	says(NeckResume, &NeckResumeAsk{Neck: "ada"}, "NOT CHANGED: ada is open already")
	says(NeckScrap, &NeckScrapAsk{Neck: "ada"}, "NOT CHANGED: the reason is missing")
	says(NeckFinish, &NeckFinishAsk{Neck: "ada"}, "NOT FINISHED: ada has ")
	do(t, path, at, NeckHold, &NeckHoldAsk{Neck: "ada"})
	is(jobs.Held)
	says(NeckHold, &NeckHoldAsk{Neck: "ada"}, "NOT CHANGED: ada is on hold already")
	do(t, path, at, NeckResume, &NeckResumeAsk{Neck: "ada"})
	do(t, path, at, On, &OnAsk{Operation: "choose", Necks: []string{"ada"}})
	says(NeckScrap, &NeckScrapAsk{Neck: "ada", Why: "a crack"}, "NOT CHANGED: choose-veneer is running on ada")
	at = at.Add(20 * time.Minute)
	do(t, path, at, Off, &OffAsk{})
	do(t, path, at, NeckScrap, &NeckScrapAsk{Neck: "ada", Why: "a crack"})
	is(jobs.Scrapped)
	says(NeckFinish, &NeckFinishAsk{Neck: "ada"}, "NOT FINISHED: ada is scrapped")
	says(NeckHold, &NeckHoldAsk{Neck: "ada"}, "NOT CHANGED: ada is scrapped")
	if s := showNeck(t, path, at, "ada").Cost.Scrap; s == nil || s.Why != "a crack" || s.Minutes != 20 {
		t.Errorf("scrap %+v", s)
	}
	mustBeSound(t, path)
}

// A step is changed, skipped, brought back and added.
func TestNeckStep(t *testing.T) {
	path := aNeck(t)
	step := func(ask NeckStepAsk) *NeckStepResult {
		t.Helper()
		ask.Neck = "ada"
		return do(t, path, start, NeckStepChange, &ask).(*NeckStepResult)
	}
	if r := step(NeckStepAsk{Step: "drill", Quantity: of(7.0), Difficulty: of(1.5)}); r.Quantity != 7 || r.QuantityText != "7 holes" || r.Difficulty != 1.5 {
		t.Errorf("got %+v", r)
	}
	all := showNeck(t, path, start, "ada").Progress.Steps
	if r := step(NeckStepAsk{Step: "drill", Skip: "drilled before"}); r.Operation != "drill" || r.Skip != "drilled before" {
		t.Errorf("got %+v", r)
	}
	if p := showNeck(t, path, start, "ada").Progress; p.Steps != all-1 {
		t.Errorf("%d steps with one skipped", p.Steps)
	}
	if r := step(NeckStepAsk{Step: "drill", Unskip: true}); r.Skip != "" {
		t.Errorf("got %+v", r)
	}
	if r := step(NeckStepAsk{Step: "fret-seat", Add: true}); !r.Added || r.Step != 18 || r.Operation != "fret-seat" {
		t.Errorf("got %+v", r)
	}
	for word, want := range map[string]string{"99": `ada has no step "99"`, "fret-level": `ada has no step "fret-level"`} {
		if err := refuse(t, path, start, NeckStepChange, &NeckStepAsk{Neck: "ada", Step: word}); !strings.Contains(err.Error(), want) {
			t.Errorf("got %v, want %s", err, want)
		}
	}
	for _, bad := range []NeckStepAsk{{Quantity: of(-1.0)}, {Difficulty: of(11.0)}} {
		bad.Neck, bad.Step = "ada", "drill"
		if err := refuse(t, path, start, NeckStepChange, &bad); !errors.Is(err, jobs.ErrInvalid) {
			t.Errorf("%+v: %v", bad, err)
		}
	}
}

// Results are plain values: each comes back from JSON as it went.
func TestNeckResultsRoundTrip(t *testing.T) {
	path := aNeck(t)
	at := start.Add(time.Hour)
	do(t, path, at, PartAdd, &PartAddAsk{Neck: "ada", Name: "tuners", PartFacts: PartFacts{Price: of(money.MustParse("84.00")), Arrives: of("2026-01-20")}})
	do(t, path, at, PieceAdd, &PieceAddAsk{Piece: "V1", Wood: "walnut", Price: of(money.MustParse("4.00")), PieceSize: PieceSize{ThicknessMM: of(0.6)}})
	do(t, path, at, PieceUse, &PieceUseAsk{Piece: "V1", Neck: "ada"})
	do(t, path, at, NeckNote, &NeckNoteAsk{Neck: "ada", Text: "two voids"})
	do(t, path, at, Spent, &SpentAsk{Minutes: 25, Operation: "choose", Text: "ada"})
	do(t, path, at, NeckFinish, &NeckFinishAsk{Neck: "ada", Price: of(money.MustParse("640.00")), Anyway: "as it is"})
	do(t, path, at, NeckPay, &NeckPayAsk{Neck: "ada", Amount: money.MustParse("200.00")})
	for _, x := range []struct {
		verb Verb
		ask  Ask
	}{{NeckShow, &NeckShowAsk{Neck: "ada"}}, {NeckList, &NeckListAsk{All: true}}, {NeckQueue, &NeckQueueAsk{}}, {PartList, &PartListAsk{Neck: "ada"}}, {PieceList, &PieceListAsk{All: true}}, {Find, &FindAsk{Text: "void"}},
		{NeckSet, &NeckSetAsk{Neck: "ada", Title: of("plain six")}}, {PartSet, &PartSetAsk{Part: 1, PartFacts: PartFacts{Here: true}}}, {PieceOffcut, &PieceOffcutAsk{Piece: "V1", Code: "V2", Value: money.MustParse("1.00")}}} {
		r := do(t, path, at, x.verb, x.ask)
		raw, err := json.Marshal(r)
		if err != nil {
			t.Fatal(err)
		}
		back := x.verb.NewResult()
		if err := json.Unmarshal(raw, back); err != nil {
			t.Fatalf("%s: %v", x.verb.Name, err)
		}
		again, err := json.Marshal(back)
		if err != nil {
			t.Fatal(err)
		}
		if string(again) != string(raw) || reflect.DeepEqual(back, x.verb.NewResult()) {
			t.Errorf("%s is another after JSON:\n%s\n%s", x.verb.Name, raw, again)
		}
	}
	mustBeSound(t, path)
}
