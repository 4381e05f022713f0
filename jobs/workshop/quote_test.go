package workshop

import (
	"encoding/json"
	"errors"
	"math"
	"testing"

	"bookmatch/costing/money"
	"bookmatch/costing/quote"
	"bookmatch/jobs"

	"github.com/google/go-cmp/cmp"
)

// few keeps the simulations of these tests short.
var few = 200

// acceptedQuote makes a shop with one accepted quote Q1 and its neck ada.
func acceptedQuote(t *testing.T, quantities map[string]float64) string {
	t.Helper()
	path := newFile(t)
	do(t, path, start, ShopSetup, &ShopSetupAsk{Settings: map[string][]string{"labour": {"34.00"}, "overhead": {"7.50"}, "tax": {"21"}, "evening": {"tue 19:30-22:00", "thu 19:30-22:00"}}})
	draftQuote(t, path, "Q1", quantities)
	do(t, path, start, QuoteSend, &QuoteSendAsk{Quote: "Q1"})
	on := jobs.DayOf(start).Add(7)
	do(t, path, start, QuoteAccept, &QuoteAcceptAsk{Quote: "Q1", DepositOn: &on, Nickname: "ada"})
	return path
}

func draftQuote(t *testing.T, path, code string, quantities map[string]float64) *QuoteResult {
	t.Helper()
	who := "an invented customer"
	r := do(t, path, start, QuoteDraft, &QuoteDraftAsk{Quote: code, QuoteWishes: QuoteWishes{Customer: &who, Quantity: quantities, Wood: "hard-maple", Draws: &few,
		Parts: []jobs.QuotePart{{Name: "tuners", Price: money.MustParse("84.00")}}}})
	return r.(*QuoteResult)
}

func changeQuote(t *testing.T, path string, quantities map[string]float64) *OrderPaper {
	t.Helper()
	order := do(t, path, start, QuoteChange, &QuoteChangeAsk{Quote: "Q1", What: "another number", Quantity: quantities}).(*QuoteResult).Order
	return do(t, path, start, QuoteChange, &QuoteChangeAsk{Quote: "Q1", Accept: order.Order.No}).(*QuoteResult).Order
}

func stepsOf(t *testing.T, path, neck string) (out []jobs.StepView) {
	t.Helper()
	view(t, path, func(b *Book) error {
		states, err := b.States([]string{neck})
		if err == nil {
			out = states[0].Steps
		}
		return err
	})
	return out
}

// A change to no inlay ends at the net of the quote written without it,
// states the tax and the new total, and takes the steps out of the neck. Asked
// for again it costs the same and brings the steps back.
func TestChangeThatDropsInlay(t *testing.T) {
	path := acceptedQuote(t, map[string]float64{"inlay": 14, "holes": 6, "coats": 3})
	first := do(t, path, start, QuoteShow, &QuoteShowAsk{Quote: "Q1"}).(*QuoteResult)
	gone := changeQuote(t, path, map[string]float64{"inlay": 0})
	// Setups that come again hang on the necks before: the new quote has none either.
	do(t, path, start, NeckHold, &NeckHoldAsk{Neck: "ada", Why: "test"})
	without := draftQuote(t, path, "Q2", map[string]float64{"inlay": 0, "holes": 6, "coats": 3})
	do(t, path, start, NeckResume, &NeckResumeAsk{Neck: "ada"})
	if got, want := first.Price.Net.Add(gone.Order.Net), without.Price.Net; got.Cmp(want) != 0 {
		t.Errorf("net %s after the change, %s in a quote without inlay", got, want)
	}
	if gone.TaxPercent.String() != "21" || gone.After.Cmp(first.Price.Gross.Add(gone.Order.Gross)) != 0 || gone.Before.Cmp(first.Price.Gross) != 0 {
		t.Errorf("tax %s %%, %s before, %s after", gone.TaxPercent, gone.Before, gone.After)
	}
	for _, s := range stepsOf(t, path, "ada") {
		if inlay := s.Operation[:min(5, len(s.Operation))] == "inlay"; inlay != (s.Skip == "change 1 of Q1") {
			t.Errorf("%s: skip %q", s.Operation, s.Skip)
		}
	}
	back := changeQuote(t, path, map[string]float64{"inlay": 14})
	if sum := gone.Order.Net.Add(back.Order.Net); !sum.IsZero() {
		t.Errorf("dropped at %s, brought back at %s", gone.Order.Net, back.Order.Net)
	}
	coats := changeQuote(t, path, map[string]float64{"coats": 5})
	n := 0
	for _, s := range stepsOf(t, path, "ada") {
		if s.Skip != "" {
			t.Errorf("%s is still skipped: %s", s.Operation, s.Skip)
		}
		if s.Operation == "finish-coat" {
			n++
		}
	}
	if n != 5 || coats.Order.Net.Sign() <= 0 {
		t.Errorf("%d coats at %s, want five and a price", n, coats.Order.Net)
	}
	mustBeSound(t, path)
}

// Four coats of 15 minutes are four steps of 15 minutes, not one of 60.
// The minutes are those of the neck, and the causes add up to the difference.
func TestReviewByStep(t *testing.T) {
	path := acceptedQuote(t, map[string]float64{"holes": 6, "coats": 4})
	changeQuote(t, path, map[string]float64{"holes": 7})
	at := start.AddDate(0, 0, 14)
	for range 4 {
		do(t, path, at, Spent, &SpentAsk{Minutes: 15, Operation: "finish-coat", Text: "ada", Finished: true, Started: Started{Anyway: "test"}})
		at = at.AddDate(0, 0, 2)
	}
	do(t, path, at, Spent, &SpentAsk{Minutes: 40, Operation: "drill", Text: "ada 7", Finished: true, Started: Started{Anyway: "test"}})
	rv := do(t, path, at.AddDate(0, 0, 1), QuoteReview, &QuoteReviewAsk{Quote: "Q1"}).(*QuoteReviewResult).Review
	var got, want []float64
	for _, s := range rv.Steps {
		if s.Operation != quote.ResumedSetups { // what was logged of them is in the steps
			got = append(got, s.ActualMin)
		}
	}
	for _, v := range stepsOf(t, path, "ada") {
		want = append(want, jobs.Round2(v.Actual.Minutes()))
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("minutes by step, of the neck and of the review:\n%s", diff)
	}
	amounts, hours := money.Zero, 0.0
	for _, p := range rv.Parts {
		amounts = amounts.Add(p.Amount)
		if p.Part != "unlogged" && p.Part != "price" {
			hours += p.Hours
		}
	}
	if amounts.Cmp(rv.Difference) != 0 {
		t.Errorf("causes add up to %s, difference %s", amounts, rv.Difference)
	}
	if math.Abs(hours-(rv.ActualHours-rv.QuotedHours)) > 0.05 {
		t.Errorf("causes add up to %.2f h, logged less quoted is %.2f h", hours, rv.ActualHours-rv.QuotedHours)
	}
	if rv.ChangeHours <= 0 || math.Abs(rv.WithChanges-rv.QuotedHours-rv.ChangeHours) > 0.011 {
		t.Errorf("%.2f h with the change, %.2f h quoted, %.2f h changed", rv.WithChanges, rv.QuotedHours, rv.ChangeHours)
	}
}

// A frozen revision reads back as it was frozen, to the last digit, also by way
// of JSON.
func TestFrozenFiguresComeBack(t *testing.T) {
	path := acceptedQuote(t, map[string]float64{"inlay": 3})
	view(t, path, func(b *Book) error {
		q, err := b.FindQuote("Q1")
		if err != nil {
			return err
		}
		r, err := b.Revision(q, 0)
		if err != nil {
			return err
		}
		in, out, err := quote.Frozen(r)
		if err != nil {
			return err
		}
		again, err := quote.PriceQuote(in)
		if err != nil {
			return err
		}
		a, _ := json.Marshal(out)
		c, _ := json.Marshal(again)
		if string(a) != string(c) {
			t.Error("the frozen inputs no longer give the frozen figures")
		}
		r.Input = []byte(`{"ask":`)
		if _, _, err := quote.Frozen(r); err == nil {
			t.Error("figures that cannot be read are not refused")
		}
		return nil
	})
}

// What a quote's state does not allow is a refusal with all its parts.
func TestQuoteRefusals(t *testing.T) {
	path := acceptedQuote(t, nil)
	on := jobs.DayOf(start).Add(7)
	for _, tc := range []struct {
		verb Verb
		ask  Ask
		code string
	}{
		{QuoteDraft, &QuoteDraftAsk{Quote: "Q1"}, "quote-accepted"},
		{QuoteSend, &QuoteSendAsk{Quote: "Q1"}, "quote-accepted"},
		{QuoteAccept, &QuoteAcceptAsk{Quote: "Q1", DepositOn: &on}, "quote-accepted"},
		{QuoteAccept, &QuoteAcceptAsk{Quote: "Q1"}, "deposit-on"},
		{QuoteDecline, &QuoteDeclineAsk{Quote: "Q1"}, "quote-accepted"},
		{QuoteRevise, &QuoteReviseAsk{Quote: "Q1"}, "quote-accepted"},
		{QuoteChange, &QuoteChangeAsk{Quote: "Q1"}, "usage"},
		{QuoteChange, &QuoteChangeAsk{Quote: "Q1", Accept: 1}, "missing"},
		{QuoteChange, &QuoteChangeAsk{Quote: "Q1", What: "frets", Quantity: map[string]float64{"frets": 22}}, "invalid"},
		{QuoteShow, &QuoteShowAsk{Quote: "Q7"}, "missing"},
		{QuoteShow, &QuoteShowAsk{Quote: "Q1", Order: 1}, "missing"},
	} {
		var r *jobs.Refusal
		if err := refuse(t, path, start, tc.verb, tc.ask); !errors.As(err, &r) || r.Code != tc.code || r.What == "" || r.Why == "" {
			t.Errorf("%s: %v, want a refusal %q", tc.verb.Name, err, tc.code)
		}
	}
}

// Every answer about a quote survives JSON.
func TestQuoteResultsRoundTrip(t *testing.T) {
	path := acceptedQuote(t, map[string]float64{"inlay": 3})
	changeQuote(t, path, map[string]float64{"inlay": 5})
	for _, tc := range []struct {
		verb Verb
		ask  Ask
	}{
		{QuoteShow, &QuoteShowAsk{Quote: "Q1"}}, {QuoteShow, &QuoteShowAsk{Quote: "Q1", Customer: true}}, {QuoteShow, &QuoteShowAsk{Quote: "Q1", Bill: true}},
		{QuoteShow, &QuoteShowAsk{Quote: "Q1", Order: 1}}, {QuoteShow, &QuoteShowAsk{Quote: "Q1", Order: 1, Customer: true}},
		{QuoteList, &QuoteListAsk{}}, {QuoteReview, &QuoteReviewAsk{Quote: "Q1"}}, {QuoteHeld, &QuoteHeldAsk{}},
	} {
		r := do(t, path, start, tc.verb, tc.ask)
		first, err := json.Marshal(r)
		if err != nil {
			t.Fatal(err)
		}
		again := tc.verb.NewResult()
		if err := json.Unmarshal(first, again); err != nil {
			t.Fatal(err)
		}
		if second, _ := json.Marshal(again); string(second) != string(first) {
			t.Errorf("%s %+v: %s\nbecame %s", tc.verb.Name, tc.ask, first, second)
		}
	}
}
