package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"bookmatch/cmd/words"
	"bookmatch/costing/estimate"
	"bookmatch/costing/quote"
	"bookmatch/costing/schedule"

	"github.com/shopspring/decimal"
)

// quoteBench plays commands on a file of its own with a clock that the test
// sets.
type quoteBench struct {
	t    *testing.T
	file string
	now  time.Time
}

func newQuoteBench(t *testing.T) *quoteBench {
	b := &quoteBench{t, filepath.Join(t.TempDir(), "shop.db"), time.Date(2026, 11, 25, 18, 0, 0, 0, time.UTC)}
	b.run("shop", "setup", "--name", "Test bench", "--currency", "EUR", "--zone", "Europe/Berlin", "--labour", "34.00", "--overhead", "7.50", "--tax", "21",
		"--evening", "tue 19:30-22:00", "--evening", "thu 19:30-22:00", "--paper", "a4")
	return b
}

func (b *quoteBench) run(args ...string) []byte {
	b.t.Helper()
	var out, errOut bytes.Buffer
	e := &words.Env{In: strings.NewReader(""), Out: &out, ErrOut: &errOut, Now: func() time.Time { return b.now }, Getenv: func(k string) string {
		if k == "BOOKMATCH_FILE" {
			return b.file
		}
		return ""
	}}
	if code := run(context.Background(), args, e); code != 0 {
		b.t.Fatalf("%s: exit %d: %s", strings.Join(args, " "), code, errOut.String())
	}
	return out.Bytes()
}

func (b *quoteBench) json(to any, args ...string) {
	b.t.Helper()
	if raw := b.run(append(args, "--json")...); json.Unmarshal(raw, to) != nil {
		b.t.Fatalf("%s: not JSON: %.200s", strings.Join(args, " "), raw)
	}
}

type shownQuote struct {
	Lines []struct {
		What     string          `json:"what"`
		Quantity decimal.Decimal `json:"quantity"`
		Unit     string          `json:"unit"`
		Rate     decimal.Decimal `json:"rate"`
		Amount   decimal.Decimal `json:"amount"`
	} `json:"lines"`
	Hours      estimate.Hours             `json:"hours"`
	Price      map[string]json.RawMessage `json:"price"`
	Promise    schedule.Promise           `json:"promise"`
	LossChance float64                    `json:"loss_chance"`
}

func (q shownQuote) amount(key string) decimal.Decimal {
	var s string
	if json.Unmarshal(q.Price[key], &s) != nil {
		return decimal.NewFromInt(-1)
	}
	return decimal.RequireFromString(s)
}

// The price follows from its lines to the cent.
func TestQuoteShowAddsUp(t *testing.T) {
	b := newQuoteBench(t)
	b.run("quote", "draft", "Q1", "--route", "headstock", "--for", "an invented customer", "--quantity", "inlay=14", "--quantity", "holes=6", "--margin", "25", "--wood", "hard-maple", "--part", "tuners=84.00", "--due", "2027-06-30")
	var q shownQuote
	b.json(&q, "quote", "show", "Q1")
	sum := decimal.Zero
	for _, l := range q.Lines {
		sum = sum.Add(l.Amount)
		if want := l.Quantity.Mul(l.Rate).Round(2); !want.Equal(l.Amount) {
			t.Errorf("%s: %s x %s is %s, printed %s", l.What, l.Quantity, l.Rate, want, l.Amount)
		}
	}
	cost := q.amount("cost")
	if !sum.Equal(cost) {
		t.Errorf("lines add to %s, cost %s", sum, cost)
	}
	if want := cost.DivRound(decimal.RequireFromString("0.75"), 10).Round(2); !want.Equal(q.amount("net")) || !want.Equal(q.amount("before_rounding")) {
		t.Errorf("cost / (1 - 0.25) = %s, net %s", want, q.amount("net"))
	}
	if want := q.amount("net").Mul(decimal.RequireFromString("1.21")).Round(2); !want.Equal(q.amount("gross")) {
		t.Errorf("gross %s, want %s", q.amount("gross"), want)
	}
	if h := q.Hours; !(h.P50 <= h.Mean && h.Mean <= h.P80 && h.P80 <= h.P90) {
		t.Errorf("hours %+v", h)
	}
	if q.Promise.Likely == "" || q.Promise.Likely > q.Promise.Safe || q.LossChance <= 0 || q.LossChance >= 1 {
		t.Errorf("promise %+v, loss chance %v", q.Promise, q.LossChance)
	}
}

// One operation, no history: the quoted hours are those of Student t with 6 degrees
// of freedom and scale 0.35 sqrt(1 + 1/3), for the builder's own standard weighs
// as three past jobs (0.9057 is t's P80).
func TestQuoteOfOneOperationAgreesWithClosedForm(t *testing.T) {
	b := newQuoteBench(t)
	b.run("operation", "add", "carve", "--setup", "10", "--run", "5", "--per", "holes")
	b.run("route", "set", "carving", "--steps", "carve")
	b.run("quote", "draft", "Q1", "--route", "carving", "--for", "an invented customer", "--quantity", "holes=6")
	var q shownQuote
	b.json(&q, "quote", "show", "Q1")
	median := 40.0 / 60
	for _, c := range []struct {
		p              string
		got, want, err float64
	}{{"P50", q.Hours.P50, median, q.Hours.P50Error}, {"P80", q.Hours.P80, median * math.Exp(0.9057*0.35*math.Sqrt(4.0/3)), q.Hours.P80Error}} {
		if math.Abs(c.got-c.want) > 1.6*c.err+0.01 { // results give hundredths of an hour
			t.Errorf("%s %.4f h, closed form %.4f, stated error %.4f", c.p, c.got, c.want, c.err)
		}
	}
}

// The main job: quoted, accepted, built, reviewed. The parts of the review add
// up to the difference, whatever the evenings brought.
func TestQuoteReviewAddsUpAfterABuild(t *testing.T) {
	b := newQuoteBench(t)
	b.run("quote", "draft", "Q1", "--for", "an invented customer", "--quantity", "inlay=3", "--quantity", "holes=6", "--margin", "25", "--wood", "hard-maple", "--part", "tuners=84.00")
	b.run("quote", "send", "Q1")
	b.run("quote", "accept", "Q1", "--deposit-on", "2027-01-15", "--nickname", "ada")
	b.run("quote", "change", "Q1", "--ask", "four more dots", "--quantity", "inlay=7")
	b.run("quote", "change", "Q1", "--accept", "1")
	var neck struct {
		Steps []struct {
			Operation string  `json:"operation"`
			Quantity  float64 `json:"quantity"`
			Safe      float64 `json:"safe_min"`
		} `json:"steps"`
	}
	b.json(&neck, "neck", "show", "ada")
	if len(neck.Steps) != 22 {
		t.Fatalf("%d steps, want 22", len(neck.Steps))
	}
	for i, s := range neck.Steps {
		b.now = time.Date(2027, 1, 19, 18, 30, 0, 0, time.UTC).AddDate(0, 0, 2*i)
		b.run("on", s.Operation, "ada", "--anyway", "test")
		b.now = b.now.Add(time.Duration(s.Safe) * time.Minute)
		b.run("done")
	}
	b.run("shop", "set", "labour", "36.00")
	b.run("neck", "finish", "ada")
	var rv struct {
		Quoted     decimal.Decimal `json:"quoted_cost"`
		Actual     decimal.Decimal `json:"actual_cost"`
		Difference decimal.Decimal `json:"difference"`
		Finished   bool            `json:"finished"`
		Parts      []struct {
			Part   string          `json:"part"`
			Amount decimal.Decimal `json:"amount"`
		} `json:"parts"`
	}
	b.json(&rv, "quote", "review", "Q1")
	sum, got := decimal.Zero, map[string]float64{}
	for _, p := range rv.Parts {
		sum = sum.Add(p.Amount)
		got[p.Part] = p.Amount.InexactFloat64()
	}
	if !sum.Equal(rv.Difference) || !rv.Actual.Sub(rv.Quoted).Equal(rv.Difference) || !rv.Finished {
		t.Errorf("parts add to %s, difference %s of %s and %s", sum, rv.Difference, rv.Actual, rv.Quoted)
	}
	if fmt.Sprint(len(got)) != fmt.Sprint(len(quote.ReviewParts())) {
		t.Errorf("parts %v", got)
	}
	// Every step took its safe time: slower than the mean. Four more pieces were
	// agreed and made. The labour rate rose.
	if got["pace"] <= 0 || got["change"] <= 0 || got["price"] <= 0 || math.Abs(got["quantity"]) > got["change"] {
		t.Errorf("parts %v", got)
	}
}

// After the build the next quote stands on its log: past jobs, un-logged time
// and the evenings that were really worked.
func TestQuoteLearnsFromTheLog(t *testing.T) {
	b := newQuoteBench(t)
	b.run("neck", "add", "N1", "--nickname", "ada", "--route", "headstock", "--wood", "hard-maple")
	for i, operation := range []string{"choose-veneer", "thickness-core", "joint-veneer", "glue-face", "thickness-head"} {
		b.now = time.Date(2027, 1, 5, 18, 30, 0, 0, time.UTC).AddDate(0, 0, 7*i) // tuesdays, never a thursday
		b.run("on", operation, "ada")
		b.now = b.now.Add(40 * time.Minute)
		b.run("done")
		b.now = b.now.Add(20 * time.Minute)
		b.run("on", "ease-holes", "ada", "--anyway", "test")
		b.now = b.now.Add(20 * time.Minute)
		b.run("off")
	}
	b.now = b.now.AddDate(0, 0, 1)
	b.run("quote", "draft", "Q1", "--for", "an invented customer", "--quantity", "holes=6")
	var q struct {
		Unlogged estimate.Unlogged `json:"unlogged"`
		Steps    []struct {
			Operation string `json:"operation"`
			N         int    `json:"n"`
		} `json:"steps"`
		Promise schedule.Promise `json:"promise"`
	}
	b.json(&q, "quote", "show", "Q1")
	// 60 of 80 minutes are logged; five evenings at 1.333 lean on five at 1.25.
	if want := (1.25 + 80.0/60) / 2; q.Unlogged.Evenings != 5 || math.Abs(q.Unlogged.Factor-want) > 0.001 {
		t.Errorf("un-logged time %+v, want %.3f over 5 evenings", q.Unlogged, want)
	}
	for _, s := range q.Steps {
		if want := map[bool]int{true: 1, false: 0}[s.Operation == "thickness-core" || s.Operation == "joint-veneer"]; s.N != want && (want == 1 || s.Operation == "drill") {
			t.Errorf("%s stands on %d past jobs, want %d", s.Operation, s.N, want)
		}
	}
	basis := strings.Join(q.Promise.Basis, "; ")
	// Tuesdays: (3+5)/(4+5) worked; Thursdays: 3 of 4, less four that were missed.
	if want := 8.0/9 + 3.0/8; !strings.Contains(basis, fmt.Sprintf("2 evenings a week planned, %.1f worked", want)) {
		t.Errorf("basis %q, want %.1f evenings", basis, want)
	}
	if !strings.Contains(basis, "1 neck before it") {
		t.Errorf("basis %q: the neck on the bench does not stand before", basis)
	}
}

// A person at a terminal is asked for an own estimate before any figure is
// shown, once.
func TestQuoteAsksForAnEstimateOnce(t *testing.T) {
	b := newQuoteBench(t)
	ask := func(answer string) string {
		var out, errOut bytes.Buffer
		e := &words.Env{In: strings.NewReader(answer), Out: &out, ErrOut: &errOut, Columns: 80, Now: func() time.Time { return b.now }, Getenv: func(k string) string {
			return map[string]string{"BOOKMATCH_FILE": b.file, "NO_COLOR": "1"}[k]
		}}
		if code := run(context.Background(), []string{"quote", "draft", "Q1", "--for", "an invented customer"}, e); code != 0 {
			t.Fatalf("exit %d: %s", code, errOut.String())
		}
		return errOut.String()
	}
	if got := ask("12\n"); !strings.Contains(got, "Enter for none") {
		t.Errorf("not asked: %q", got)
	}
	if got := ask("99\n"); strings.Contains(got, "Enter for none") {
		t.Errorf("asked again: %q", got)
	}
	var q struct {
		Own float64 `json:"own_estimate_h"`
	}
	if b.json(&q, "quote", "show", "Q1"); q.Own != 12 {
		t.Errorf("own estimate %g, want 12", q.Own)
	}
}
