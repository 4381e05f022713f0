package reports_test

import (
	"encoding/csv"
	"fmt"
	"math"
	"math/rand/v2"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"bookmatch/costing/money"
	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"
	"bookmatch/reports/screen"
)

// player is an invented shop that a test plays on, with a clock of its own.
type player struct {
	t    *testing.T
	shop *workshop.Workshop
	now  time.Time
}

func newPlayer(t *testing.T) *player {
	b := &player{t: t, now: time.Date(2026, 1, 6, 18, 30, 0, 0, time.UTC)}
	b.shop = workshop.At(filepath.Join(t.TempDir(), "shop.db"), func() time.Time { return b.now })
	done, err := b.shop.Keep() // nothing waits for the disk
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := done(); err != nil {
			t.Error(err)
		}
	})
	b.do(workshop.ShopSetup, &workshop.ShopSetupAsk{Settings: map[string][]string{"name": {"Lime Tree Lane"}, "currency": {"EUR"}, "labour": {"34.00"}, "overhead": {"7.50"}, "evening": {"tue 19:30-22:00", "thu 19:30-22:00"}}})
	return b
}

func (b *player) do(v workshop.Verb, ask workshop.Ask) workshop.Result {
	b.t.Helper()
	r, err := b.shop.Do(v, ask)
	if err != nil {
		b.t.Fatalf("%s: %v", v.Name, err)
	}
	return r
}

// randomNeck adds a neck and works some of its steps, from a seed.
func (b *player) randomNeck(rng *rand.Rand) *workshop.NeckShowResult {
	ask := &workshop.NeckAddAsk{Neck: "N1", Nickname: "ada", Title: "six in line, inlaid border", Route: "neck", Wood: "hard-maple", Veneer: "ebony", Customer: "J. Corrigan-Thorne", Quantities: map[string]float64{"inlay": float64(rng.IntN(20)), "coats": float64(rng.IntN(4))}}
	if rng.IntN(2) == 0 {
		ask.Due = "2026-12-24"
	}
	steps := b.do(workshop.NeckAdd, ask).(*workshop.NeckResult).Steps
	price, freight := money.New(int64(rng.IntN(20000)), -2), money.New(int64(rng.IntN(900)), -2)
	b.do(workshop.PartAdd, &workshop.PartAddAsk{Neck: "ada", Name: "tuners, set of six", PartFacts: workshop.PartFacts{Price: &price, Freight: &freight, Here: rng.IntN(2) == 0}})
	for i := range rng.IntN(3) {
		b.do(workshop.NeckNote, &workshop.NeckNoteAsk{Neck: "ada", Text: fmt.Sprintf("a remark of some length, the number %d of them", i+1)})
	}
	for range rng.IntN(steps) {
		b.now = b.now.Add(time.Duration(12+rng.IntN(30))*time.Hour + time.Duration(rng.IntN(3600))*time.Second)
		next := b.do(workshop.NeckList, &workshop.NeckListAsk{}).(*workshop.NeckListResult).Necks[0].Next
		if next == "" {
			break
		}
		b.do(workshop.Spent, &workshop.SpentAsk{Minutes: 3 + float64(rng.IntN(90)), Operation: next, Text: "ada", Finished: rng.IntN(4) > 0, Started: workshop.Started{Anyway: "a test"}})
	}
	switch rng.IntN(6) {
	case 0:
		b.do(workshop.NeckFinish, &workshop.NeckFinishAsk{Neck: "ada", Price: &price, Anyway: "as it is"})
	case 1:
		b.do(workshop.NeckScrap, &workshop.NeckScrapAsk{Neck: "ada", Why: "a crack at the tip"})
	case 2:
		b.do(workshop.NeckHold, &workshop.NeckHoldAsk{Neck: "ada", Why: "waits for wood"})
	}
	return b.do(workshop.NeckShow, &workshop.NeckShowAsk{Neck: "ada"}).(*workshop.NeckShowResult)
}

// The first screen of a neck fits: at most 24 lines, nothing wider than the terminal,
// the answer first. The report is as wide as the terminal too.
func TestNeckShowFits(t *testing.T) {
	for seed := range uint64(12) {
		r := newPlayer(t).randomNeck(rand.New(rand.NewPCG(seed, 13)))
		for _, width := range []int{60, 80, 120} {
			for _, depth := range []reports.Depth{reports.First, reports.Full, reports.First | reports.Why, reports.Steps, reports.Cost} {
				got := screenOf(t, reports.NeckShow(r).At(depth), width)
				lines := strings.Split(strings.TrimRight(got, "\n"), "\n")
				for _, l := range lines {
					if len([]rune(l)) > width {
						t.Errorf("seed %d, %d columns, depth %d: %d wide: %s", seed, width, depth, len([]rune(l)), l)
					}
				}
				if !strings.HasPrefix(lines[0], "ada (N1)") {
					t.Errorf("seed %d: begins with %s", seed, lines[0])
				}
				if depth == reports.First && len(lines) > 24 {
					t.Errorf("seed %d: %d lines at %d columns\n%s", seed, len(lines), width, got)
				}
			}
		}
	}
}

// One object behind the screen, the report and every file. Each figure of
// the route card and the cost, as CSV gives it, is the one of the result. CSV keeps
// all the digits of a figure, so nothing may differ by more than half a hundredth.
func TestNeckFiguresAgree(t *testing.T) {
	for seed := range uint64(8) {
		r := newPlayer(t).randomNeck(rand.New(rand.NewPCG(seed, 15)))
		rep := reports.NeckShow(r).At(reports.Full)
		card := csvOf(t, rep, "route card")
		if len(card) < len(r.Steps) {
			t.Fatalf("seed %d: %d lines for %d steps", seed, len(card), len(r.Steps))
		}
		for i, s := range r.Steps {
			for key, want := range map[string]float64{"likely_min": s.LikelyMin, "safe_min": s.SafeMin, "actual_min": s.ActualMin, "rework_min": s.ReworkMin, "setup_min": s.SetupMin, "quantity": s.Quantity} {
				near(t, fmt.Sprintf("seed %d %s %s", seed, s.Operation, key), card[i][key], want)
			}
		}
		lines := csvOf(t, rep, "cost")
		for i, l := range r.Cost.Lines {
			near(t, fmt.Sprintf("seed %d %s amount", seed, l.What), lines[i]["amount"], l.Amount.Float())
			near(t, fmt.Sprintf("seed %d %s minutes", seed, l.What), lines[i]["minutes"], l.Minutes)
		}
		for i, g := range csvOf(t, rep, "groups") {
			if i < 6 {
				near(t, "seed group "+g["group"], g["amount"], map[string]money.Amount{"labour": r.Cost.Labour, "overhead": r.Cost.Overhead, "supplies": r.Cost.Supplies, "bits": r.Cost.Bits, "parts": r.Cost.Parts, "rework": r.Cost.Rework}[g["group"]].Float())
			}
		}
		first := screenOf(t, reports.NeckShow(r).At(reports.First), 80)
		if total := r.Cost.Total.Fixed(2); !r.Cost.Total.IsZero() && !strings.Contains(first, total) {
			t.Errorf("seed %d: no total %s on the first screen\n%s", seed, total, first)
		}
		if r.Progress.Done > 0 && r.Status == jobs.Open && !strings.Contains(first, fmt.Sprintf("%d of %d steps", r.Progress.Done, r.Progress.Steps)) {
			t.Errorf("seed %d: no %d of %d steps\n%s", seed, r.Progress.Done, r.Progress.Steps, first)
		}
	}
}

// csvOf reads a table of a report as CSV, a map for each line.
func csvOf(t *testing.T, r reports.Report, table string) []map[string]string {
	t.Helper()
	var b strings.Builder
	if err := screen.CSV(&b, r, table); err != nil {
		t.Fatal(err)
	}
	all, err := csv.NewReader(strings.NewReader(strings.TrimPrefix(b.String(), "\ufeff"))).ReadAll()
	if err != nil || len(all) == 0 {
		t.Fatalf("%s: %v", table, err)
	}
	var out []map[string]string
	for _, line := range all[1:] {
		m := map[string]string{}
		for i, key := range all[0] {
			m[key] = line[i]
		}
		out = append(out, m)
	}
	return out
}

// near compares a cell with a figure. An empty cell is zero.
func near(t *testing.T, what, cell string, want float64) {
	t.Helper()
	got := 0.0
	if cell != "" {
		var err error
		if got, err = strconv.ParseFloat(cell, 64); err != nil {
			t.Errorf("%s: %v", what, err)
		}
	}
	if math.Abs(got-want) > 0.005 {
		t.Errorf("%s: %v in the file, %v in the result", what, got, want)
	}
}
