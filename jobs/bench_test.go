package jobs

import (
	"errors"
	"testing"
	"time"
)

func TestBegin(t *testing.T) {
	operations, shop := testOperations(), testShop()
	ada := testNeck(t, "N1", "ada", nil)
	at := work(1, "", "20:00", "").From
	drilled := work(1, "drill", "19:00", "19:30", done("N1", stepNo(t, ada, "drill"), 6))
	state := func(n Neck, es ...Entry) NeckState { return Derive(n, es, operations, shop, at) }
	held, closed, scrapped := ada, ada, ada
	scrapped.Status = Scrapped
	held.Status, held.Why = Held, "customer is on holiday"
	closed.Status = Finished
	glued := work(2, "glue-face", "18:00", "18:20", done("N1", stepNo(t, ada, "glue-face"), 140))
	for _, tc := range []struct {
		name  string
		start Start
		class Class
		err   error
		code  string // of the first caution
		stops bool
	}{
		{"a first pass", Start{Operation: operations["choose-veneer"], Necks: []NeckState{state(ada)}}, Deciding, nil, "", false},
		{"done before", Start{Operation: operations["drill"], Necks: []NeckState{state(ada, drilled)}}, First, ErrConflict, "", false},
		{"done before, with a cause", Start{Operation: operations["drill"], Necks: []NeckState{state(ada, drilled)}, Rework: "bit"}, Rework, nil, "", false},
		{"a cause that is none", Start{Operation: operations["drill"], Necks: []NeckState{state(ada, drilled)}, Rework: "moon"}, First, ErrInvalid, "", false},
		{"a payer without rework", Start{Operation: operations["drill"], Necks: []NeckState{state(ada)}, Payer: "customer"}, First, ErrInvalid, "", false},
		{"held", Start{Operation: operations["drill"], Necks: []NeckState{state(held)}}, First, ErrConflict, "", false},
		{"finished", Start{Operation: operations["drill"], Necks: []NeckState{state(closed)}}, First, ErrConflict, "", false},
		{"not on the route", Start{Operation: operations["fret-dress"], Necks: []NeckState{state(ada)}}, First, nil, "outside", false},
		{"before the layout", Start{Operation: operations["drill"], Necks: []NeckState{state(ada)}}, First, nil, "order", false},
		{"inside a cure", Start{Operation: operations["thickness-head"], Necks: []NeckState{state(ada, glued)}}, First, ErrConflict, "cure", true},
		{"inside a cure, with a reason", Start{Operation: operations["thickness-head"], Necks: []NeckState{state(ada, glued)}, Anyway: "hot glue"}, First, nil, "cure", true},
		{"a repair without a cause", Start{Operation: operations["repair"], Necks: []NeckState{state(ada)}}, First, ErrConflict, "", false},
		{"a repair", Start{Operation: operations["repair"], Necks: []NeckState{state(ada)}, Rework: "wood", Payer: "shop"}, Rework, nil, "", false},
		{"a repair of a finished neck", Start{Operation: operations["repair"], Necks: []NeckState{state(closed)}, Rework: "customer", Payer: "customer"}, Rework, nil, "", false},
		{"a repair of a scrapped neck", Start{Operation: operations["repair"], Necks: []NeckState{state(scrapped)}, Rework: "wood"}, Rework, ErrConflict, "", false},
		{"the same neck twice", Start{Operation: operations["drill"], Necks: []NeckState{state(ada), state(ada)}}, First, ErrInvalid, "", false},
	} {
		t.Run(tc.name, func(t *testing.T) {
			e, cautions, err := tc.start.Begin(operations, shop, at)
			if !errors.Is(err, tc.err) {
				t.Fatalf("error %v, want %v", err, tc.err)
			}
			if err == nil && e.Class != tc.class {
				t.Errorf("class %s, want %s", e.Class, tc.class)
			}
			if tc.code != "" && (len(cautions) == 0 || cautions[0].Code != tc.code || cautions[0].Stops != tc.stops) {
				t.Errorf("cautions %+v, want %s", cautions, tc.code)
			}
		})
	}
}

func TestFinish(t *testing.T) {
	operations, shop := testOperations(), testShop()
	ada, bo := testNeck(t, "N1", "ada", nil), testNeck(t, "N2", "bo", map[string]float64{"holes": 8})
	step := stepNo(t, ada, "drill")
	e := work(1, "drill", "19:00", "", Share{Neck: "N1", Step: step}, Share{Neck: "N2", Step: step})
	end := e.From.Add(40 * time.Minute)
	states := []NeckState{Derive(ada, []Entry{e}, operations, shop, end), Derive(bo, []Entry{e}, operations, shop, end)}
	for _, tc := range []struct {
		name   string
		counts []Count
		want   string // error class: "refused" or "conflict"; else the shares
	}{
		{"as planned", nil, "N1 6 done, N2 8 done"},
		{"each said", []Count{{Neck: "N1", N: 6, Left: false}, {Neck: "N2", N: 8, Left: false}}, "N1 6 done, N2 8 done"},
		{"one dropped out midway", []Count{{Neck: "N1", N: 6, Left: false}, {Neck: "N2", N: 3, Left: true}}, "N1 6 done, N2 3 left"},
		{"one not named stays open", []Count{{Neck: "N1", N: 6, Left: false}}, "N1 6 done, N2 left"},
		{"one count for two necks", []Count{{Neck: "", N: 6, Left: false}}, "refused"},
		{"a neck that was not on", []Count{{Neck: "N7", N: 6, Left: false}}, "conflict"},
		{"a count of none", []Count{{Neck: "N1", N: 0, Left: false}, {Neck: "N2", N: 8, Left: false}}, "N1 done, N2 8 done"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			got, err := Finish(e, tc.counts, states, operations["drill"], end)
			switch {
			case tc.want == "refused" && errors.Is(err, ErrInvalid), tc.want == "conflict" && errors.Is(err, ErrConflict):
				return
			case err != nil:
				t.Fatal(err)
			}
			if s := sharesText(got); s != tc.want {
				t.Errorf("shares %q, want %q", s, tc.want)
			}
		})
	}
	// A step started with 4 of 6 holes plans what is left.
	four := work(1, "drill", "18:00", "18:20", Share{Neck: "N1", Step: step, Count: 4})
	rest := work(2, "drill", "19:00", "", Share{Neck: "N1", Step: step})
	got, err := Finish(rest, nil, []NeckState{Derive(ada, []Entry{four, rest}, operations, shop, end)}, operations["drill"], end)
	if err != nil || got.Shares[0].Count != 2 {
		t.Errorf("the rest of 6 holes after 4: %v %v", got.Shares, err)
	}
}

func TestFindOperationPrefersWhatTheNeckNeedsNext(t *testing.T) {
	operations, shop := testOperations(), testShop()
	ada := testNeck(t, "N1", "ada", nil)
	at := work(1, "", "20:00", "").From
	glued := work(2, "glue-face", "08:00", "08:20", done("N1", stepNo(t, ada, "glue-face"), 140))
	for word, want := range map[string]string{"drill": "drill", "flush": "flush-sand", "glue": "glue-face", "sand": "flush-sand", "choose": "choose-veneer", "glue-up": "glue-face", "Drill": "drill"} {
		k, err := FindOperation(word, operations, []NeckState{Derive(ada, nil, operations, shop, at)})
		if err != nil || k.Name != want {
			t.Errorf("%s: %s %v, want %s", word, k.Name, err, want)
		}
	}
	if k, err := FindOperation("glue", operations, []NeckState{Derive(ada, []Entry{glued}, operations, shop, at)}); err != nil || k.Name != "glue-back" {
		t.Errorf("glue after the face: %s %v", k.Name, err)
	}
	if _, err := FindOperation("dril1", operations, nil); !errors.Is(err, ErrNotFound) {
		t.Errorf("an unknown word: %v", err)
	} else if nf, ok := err.(*NotFoundError); !ok || len(nf.Near) == 0 || nf.Near[0] != "drill" {
		t.Errorf("nearest to dril1: %+v", err)
	}
	if _, err := FindOperation("inlay", operations, nil); !errors.Is(err, ErrConflict) {
		t.Errorf("a word that may be several: %v", err)
	}
}
