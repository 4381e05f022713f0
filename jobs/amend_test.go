package jobs

import (
	"errors"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

func ptr[T any](v T) *T { return &v }

func TestAmend(t *testing.T) {
	operations, shop := testOperations(), testShop()
	ada, bo := testNeck(t, "N1", "ada", nil), testNeck(t, "N2", "bo", nil)
	step := stepNo(t, ada, "drill")
	base := work(7, "drill", "19:00", "19:40", done("N1", step, 6))
	base.SetupPart = setupPart(operations["drill"], 6)
	assumed := base
	assumed.Assumed = true
	spent := base
	spent.SpentSec = 600
	running := work(7, "drill", "19:00", "", Share{Neck: "N1", Step: step})
	broken := base
	broken.Away = []Span{{base.From.Add(35 * time.Minute), ptr(base.From.Add(38 * time.Minute))}}
	at := func(s string) *time.Time { x := work(1, "", s, "").From; return &x }
	for _, tc := range []struct {
		name string
		e    Entry
		a    Amendment
		want string // what Difference says; "refused", "conflict" for errors
	}{
		{"a later end", base, Amendment{To: at("19:50")}, "to 19:50 (was 19:40)"},
		{"an end clears what was assumed", assumed, Amendment{To: at("19:50")}, "to 19:50 (was 19:40); end confirmed (was assumed)"},
		{"confirming what was assumed", assumed, Amendment{Confirm: true}, "end confirmed (was assumed)"},
		{"confirming what was clocked", base, Amendment{Confirm: true}, "conflict"},
		{"an end before the start", base, Amendment{To: at("18:50")}, "refused"},
		{"an end at the start", base, Amendment{To: at("19:00")}, "refused"},
		{"a count", base, Amendment{Counts: []Count{{N: 5}}}, "necks N1 5 done (was N1 6 done)"},
		{"the count of a neck that is not in it", base, Amendment{Counts: []Count{{Neck: "N2", N: 5}}}, "conflict"},
		{"not done after all", base, Amendment{Open: true}, "necks N1 6 (was N1 6 done)"},
		{"done and open", base, Amendment{Open: true, Done: true}, "refused"},
		{"another operation finds its step", base, Amendment{Operation: ptr(operations["mark-posts"])}, "operation mark-posts (was drill)"},
		{"a decision", base, Amendment{Operation: ptr(operations["choose-veneer"])}, "operation choose-veneer (was drill); class decide (was first)"},
		{"it was rework", base, Amendment{Cause: ptr("glue")}, "class rework glue shop (was first)"},
		{"it was rework, the customer pays", base, Amendment{Cause: ptr("customer"), Payer: ptr("customer")}, "class rework customer customer (was first)"},
		{"a cause that is none", base, Amendment{Cause: ptr("moon")}, "refused"},
		{"a payer of a first pass", base, Amendment{Payer: ptr("customer")}, "refused"},
		{"a note", base, Amendment{Note: ptr("new jig")}, "note new jig (was none)"},
		{"a grade", base, Amendment{Grade: ptr(2)}, "grade 2 (was not seen)"},
		{"minutes told without a clock", spent, Amendment{SpentMin: ptr(25.0)}, "minutes 25 (was 10)"},
		{"minutes of what was clocked", base, Amendment{SpentMin: ptr(25.0)}, "refused"},
		{"an end of what had no clock", spent, Amendment{To: at("20:00")}, "refused"},
		{"done while it runs", running, Amendment{Done: true}, "conflict"},
		{"an earlier start of what runs", running, Amendment{From: at("18:50")}, "from 18:50 (was 19:00)"},
		{"breaks outside are cut off", broken, Amendment{To: at("19:30")}, "to 19:30 (was 19:40); away none (was 19:35 to 19:38)"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			was := tc.e
			operation := operations[tc.e.Operation]
			if tc.a.Operation != nil {
				operation = *tc.a.Operation
			}
			now := tc.e.From.Add(24 * time.Hour)
			got, err := tc.a.Apply(tc.e, operation, []NeckState{Derive(ada, []Entry{tc.e}, operations, shop, now), Derive(bo, nil, operations, shop, now)})
			switch {
			case tc.want == "refused" && errors.Is(err, ErrInvalid), tc.want == "conflict" && errors.Is(err, ErrConflict):
				if d := cmp.Diff(got, was); d != "" {
					t.Errorf("refused, yet changed:\n%s", d)
				}
				return
			case err != nil:
				t.Fatal(err)
			}
			if s := strings.Join(Difference(was, got, shop), "; "); s != tc.want {
				t.Errorf("got %q\nwant %q", s, tc.want)
			}
			if d := cmp.Diff(tc.e, was); d != "" {
				t.Errorf("the entry that was amended changed itself:\n%s", d)
			}
			if tc.a.Operation != nil && tc.a.Operation.Name == "mark-posts" && got.Shares[0].Step != stepNo(t, ada, "mark-posts") {
				t.Errorf("step %d", got.Shares[0].Step)
			}
		})
	}
}

// The set-up part follows a count that is told later: 10 of 31 minutes for 14
// holes, 10 of 25 for ten.
func TestAmendedCountMovesTheShares(t *testing.T) {
	operations := testOperations()
	e := work(7, "drill", "19:00", "19:40", done("N1", 1, 6), done("N2", 1, 8))
	e.SetupPart = setupPart(operations["drill"], 14)
	got, err := Amendment{Counts: []Count{{Neck: "N1", N: 5}, {Neck: "N2", N: 5}}}.Apply(e, operations["drill"], nil)
	if err != nil || got.SetupPart != 0.4 {
		t.Fatalf("set-up part %g (%v), want 0.4", got.SetupPart, err)
	}
	if s := got.ShareOut(*got.To); s[0] != 20*time.Minute || s[1] != 20*time.Minute {
		t.Errorf("shares %v", s)
	}
}

func TestMoveToAnotherNeck(t *testing.T) {
	operations, shop := testOperations(), testShop()
	bo := testNeck(t, "N2", "bo", nil)
	e := work(7, "drill", "19:00", "19:40", done("N1", 99, 6))
	now := e.To.Add(time.Hour)
	got, err := MoveTo(e, "N1", Derive(bo, nil, operations, shop, now), false)
	if err != nil {
		t.Fatal(err)
	}
	if want := done("N2", stepNo(t, bo, "drill"), 6); got.Shares[0] != want {
		t.Errorf("moved to %+v, want %+v", got.Shares[0], want)
	}
	if e.Shares[0].Neck != "N1" {
		t.Error("the entry that was moved changed itself")
	}
	drilled := work(8, "drill", "20:00", "20:40", done("N2", stepNo(t, bo, "drill"), 6))
	if _, err := MoveTo(e, "N1", Derive(bo, []Entry{drilled}, operations, shop, now), false); !errors.Is(err, ErrConflict) {
		t.Errorf("onto a step that is done: %v", err)
	}
	both := work(7, "drill", "19:00", "19:40", done("N1", 1, 6), done("N2", 1, 6))
	if _, err := MoveTo(both, "N1", Derive(bo, nil, operations, shop, now), false); !errors.Is(err, ErrConflict) {
		t.Errorf("onto a neck of the same sitting: %v", err)
	}
	if _, err := MoveTo(e, "N5", Derive(bo, nil, operations, shop, now), false); !errors.Is(err, ErrConflict) {
		t.Errorf("from a neck that was not in it: %v", err)
	}
}
