package reports_test

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"bookmatch/costing/bitlife"
	"bookmatch/costing/money"
	"bookmatch/jobs"
	"bookmatch/reports"
	"bookmatch/reports/plain"
	"bookmatch/reports/reporttest"
	"bookmatch/reports/screen"
)

// bitSample has two classes with closed edges, a torn rim and an unknown bit.
func bitSample(t *testing.T) reports.BitBook {
	t.Helper()
	shop := jobs.DefaultShop()
	shop.Name, shop.Currency = "Elm Yard", "EUR"
	on := reporttest.Made.AddDate(0, -2, 0)
	book := jobs.BitBook{Woods: jobs.SeedWoods()}
	id := uint64(0)
	next := func() uint64 { id++; return id }
	bit := func(code string, mm float64, holes int, why string) {
		book.Bits = append(book.Bits, jobs.Bit{Code: code, DiameterMM: mm, DiameterText: jobs.FormatMM(mm) + "mm", Point: "brad", Material: "hss", Keep: jobs.KeepShow,
			Price: money.MustParse("9.00"), RatedM: 2.25, Added: on})
		grade := 0
		book.Uses = append(book.Uses, jobs.BitUse{ID: next(), Bit: code, Edge: 1, On: on, Holes: holes, DepthMM: 15, Layers: []jobs.Layer{{Wood: "hard-maple", DepthMM: 15}},
			Backing: jobs.Backing{State: jobs.BackingTight}, GradeIn: &grade})
		if why != "" {
			book.Moves = append(book.Moves, jobs.BitMove{ID: next(), Bit: code, Edge: 1, On: on.Add(time.Hour), To: jobs.KeepGeneral, Cause: why})
		}
	}
	bit("S10-1", 10, 40, "")
	bit("S10-0", 10, 90, jobs.CauseDull)
	bit("S8-0", 8, 70, jobs.CauseSwapped)
	three := 3
	book.Uses = append(book.Uses,
		jobs.BitUse{ID: next(), Bit: "S8-0", Edge: 1, On: on.AddDate(0, 0, 3), Holes: 2, Layers: []jobs.Layer{{Wood: "wenge", DepthMM: 15}}, Backing: jobs.Backing{State: jobs.BackingLoose}, GradeOut: &three},
		jobs.BitUse{ID: next(), UnknownMM: 10, On: on.AddDate(0, 0, 4), Holes: 3, Layers: []jobs.Layer{{Wood: "ebony", DepthMM: 15}}})
	b := reports.BitBook{Shop: shop, Now: reporttest.Made, Book: book, Advisor: bitlife.NewAdvisor(book, shop.BitShape, shop.TestHoleCost),
		Job: bitlife.FaceJob{Holes: 6, CutM: 0.09, Damage: money.MustParse("70.00"), DamageBasis: "as said"}}
	b.Lives = b.Advisor.Lives
	for _, x := range book.Bits {
		v, err := b.Advisor.Verdict(x.Code, b.Job)
		if err != nil {
			t.Fatal(err)
		}
		b.Verdicts = append(b.Verdicts, v)
	}
	return b
}

func TestBitsReport(t *testing.T) {
	b := bitSample(t)
	for _, r := range []reports.Report{reports.Bits(b), reports.BitList(b, true), reports.BitCard(b, b.Book.Bits[0])} {
		if err := r.Check(); err != nil {
			t.Error(err)
		}
		var out bytes.Buffer
		if err := (screen.Screen{}).Print(&out, r); err != nil {
			t.Fatal(err)
		}
		for _, line := range strings.Split(out.String(), "\n") {
			if plain.Width(line) > 80 {
				t.Errorf("%s: %d columns: %q", r.Name, plain.Width(line), line)
			}
		}
		if strings.Contains(out.String(), " 0 %") {
			t.Errorf("%s: a bare 0 %%:\n%s", r.Name, out.String())
		}
	}
	r := reports.Bits(b)
	var names []string
	for _, x := range r.Tables() {
		names = append(names, x.Name)
	}
	if got, want := strings.Join(names, " "), "register particulars lives survival model survival-2 model-2 grades tear-out"; got != want {
		t.Errorf("tables %s, want %s", got, want)
	}
	// One worn out at 90 holes: the step goes from all to none there.
	s := r.Table("survival")
	last := s.Rows[len(s.Rows)-1]
	if age, _ := last.At(0).Decimal().Float64(); age != 90 {
		t.Errorf("the last step is at %v holes, want 90", age)
	}
	if good, _ := last.At(1).Decimal().Float64(); good != 0 {
		t.Errorf("share %v, want none", good)
	}
	// A rim that nobody saw is empty, not 0.
	g := r.Table("grades")
	for _, row := range g.Rows {
		if row.At(g.Index("bit")).Words() == "? 10" && (!row.At(g.Index("grade_in")).IsEmpty() || !row.At(g.Index("age")).IsEmpty()) {
			t.Errorf("the unknown bit has an age or a grade: %+v", row)
		}
	}
}
