package bitlife

import (
	"math"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"
	"time"

	"bookmatch/costing/money"
	"bookmatch/jobs"

	"gonum.org/v1/gonum/stat/distuv"
)

var shopDay = time.Date(2026, 1, 6, 19, 0, 0, 0, time.UTC)

// bookOf gives S10-1, a 10 mm brad bit rated 2.25 m with edge 1 at age metres,
// and one older bit for each closed life (events below zero).
func bookOf(age float64, lives ...float64) jobs.BitBook {
	b := jobs.BitBook{Woods: jobs.SeedWoods()}
	id := uint64(0)
	add := func(code string, metres float64) {
		b.Bits = append(b.Bits, jobs.Bit{Code: code, DiameterMM: 10, DiameterText: "10mm", Point: "brad", Material: "hss", Keep: jobs.KeepShow,
			Price: money.MustParse("9.00"), NewEdgeCost: money.MustParse("9.00"), ExpectedM: 2.25, Added: shopDay})
		if metres > 0 {
			id++
			// One deep hole of hard maple stands for the whole wear.
			b.Uses = append(b.Uses, jobs.BitUse{ID: id, Bit: code, Edge: 1, On: shopDay, Holes: 1, DepthMM: 1000 * metres, Layers: []jobs.Layer{{Wood: "hard-maple", DepthMM: 1000 * metres}}})
		}
	}
	add("S10-1", age)
	for i, x := range lives {
		code, cause := "old-"+string(rune('a'+i)), jobs.CauseSwapped
		if x < 0 {
			x, cause = -x, jobs.CauseDull
		}
		add(code, x)
		id++
		b.Moves = append(b.Moves, jobs.BitMove{ID: id, Bit: code, Edge: 1, On: shopDay, To: jobs.KeepGeneral, Cause: cause})
	}
	return b
}

func advise(b jobs.BitBook) Advisor { return NewAdvisor(b, 2.5, money.New(1, 0)) }

// six 15 mm holes in hard maple without backing.
func sixHoles(tornHole string) FaceJob {
	return FaceJob{Holes: 6, CutM: 0.09, TornHoleCost: money.MustParse(tornHole)}
}

func verdictOf(t *testing.T, b jobs.BitBook, job FaceJob) Verdict {
	t.Helper()
	v, err := advise(b).Verdict("S10-1", job)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func TestVerdictWorkedCase(t *testing.T) {
	for i, age := range []float64{0.6, 1.2, 1.8, 2.4} {
		prior := verdictOf(t, bookOf(age), sixHoles("70"))
		closed := verdictOf(t, bookOf(age, -1.35, -1.95, -1.65, 0.72, 0.60), sixHoles("70"))
		if got, want := 100**prior.Next.ChanceDull, []float64{1.46, 3.30, 4.51, 4.95}[i]; math.Abs(got-want) > 0.005 {
			t.Errorf("no closed edges, age %v: %.3f %%, want %v", age, got, want)
		}
		if got, want := 100**closed.Next.ChanceDull, []float64{2.36, 5.79, 9.02, 11.34}[i]; math.Abs(got-want) > 0.005 {
			t.Errorf("five closed edges, age %v: %.3f %%, want %v", age, got, want)
		}
		if closed.Life.Events != 3 || closed.Life.Censored != 2 || math.Abs(*closed.Life.ScaleM/0.015-125) > 0.05 {
			t.Errorf("age %v: life %+v", age, closed.Life)
		}
	}
}

func TestVerdictWords(t *testing.T) {
	lives := []float64{-1.35, -1.95, -1.65, 0.72, 0.60} // scale 1.87 m: best age 0.71 m at damage 70 and a fresh bit
	proven := func(age float64) jobs.BitBook {
		b := bookOf(age, lives...)
		g := 0
		b.Uses = append(b.Uses, jobs.BitUse{ID: 99, Bit: "S10-1", Edge: 1, On: shopDay, Holes: 1, DepthMM: 1, Layers: []jobs.Layer{{Wood: "hard-maple", DepthMM: 1}}, GradeIn: &g, Test: true})
		return b
	}
	torn := bookOf(0.3, lives...)
	three := 3
	torn.Uses[0].GradeIn = &three
	unrated := bookOf(0.3)
	unrated.Bits[0].ExpectedM = 0
	moved := bookOf(0.3, lives...)
	moved.Moves = append(moved.Moves, jobs.BitMove{ID: 90, Bit: "S10-1", Edge: 1, On: shopDay, To: jobs.KeepGeneral, Cause: jobs.CauseSwapped})
	hidden := sixHoles("0")
	hidden.Hidden = true
	for name, c := range map[string]struct {
		book   jobs.BitBook
		job    FaceJob
		want   string
		reason string
	}{
		"young edge":                          {bookOf(0.2, lives...), sixHoles("70"), VerdictReady, "13 holes of about 47"},
		"the test hole pays":                  {bookOf(0.6, lives...), sixHoles("70"), VerdictTest, "A test hole pays"},
		"same edge, plain face":               {bookOf(0.6, lives...), sixHoles("25"), VerdictReady, "40 holes"},
		"same edge, inlaid face":              {bookOf(0.6, lives...), sixHoles("300"), VerdictRetire, "A fresh bit is cheaper for this face from"},
		"clean proof":                         {proven(0.6), sixHoles("70"), VerdictReady, "was clean"},
		"the best age is in this job":         {bookOf(0.7, lives...), sixHoles("70"), VerdictLast, "falls inside this job"},
		"past the best age":                   {bookOf(0.8, lives...), sixHoles("70"), VerdictRetire, "A fresh bit is cheaper for this face from"},
		"past it with a clean proof":          {proven(0.8), sixHoles("70"), VerdictTest, "needs its own test hole"},
		"far past it with a clean proof":      {proven(2.5), sixHoles("70"), VerdictRetire, "but a fresh bit is cheaper"},
		"torn":                                {torn, sixHoles("70"), VerdictRetire, "entry grade 3"},
		"torn, hidden holes":                  {torn, hidden, VerdictReady, "Hidden holes allow"},
		"general set":                         {moved, sixHoles("70"), VerdictRetire, "clean test hole first"},
		"general set, hidden holes":           {moved, hidden, VerdictReady, "Hidden holes"},
		"nothing known":                       {unrated, sixHoles("70"), VerdictNoRecord, "--life"},
		"a torn hole costs less than an edge": {bookOf(2.0, lives...), sixHoles("0"), VerdictReady, "no reason to change early"},
	} {
		v := verdictOf(t, c.book, c.job)
		if v.Verdict != c.want || len(v.Reasons) == 0 || !strings.Contains(strings.Join(v.Reasons, "; "), c.reason) {
			t.Errorf("%s: got %q, want %q with %q: %v", name, v.Verdict, c.want, c.reason, v.Reasons)
		}
	}
}

func TestVerdictFigures(t *testing.T) {
	// Scale 1.8 m needs (1.8/2.25)^2.5 of the prior: one event at a suiting age.
	v := verdictOf(t, bookOf(0.2, -1.35, -1.95, -1.65, 0.72, 0.60), sixHoles("70"))
	if v.RetireAtM == nil || math.Abs(*v.RetireAtM-RetireAge(2.5, *v.Life.ScaleM, 9, 79).AgeM) > 1e-12 {
		t.Fatalf("got %+v", v)
	}
	if want := int((*v.RetireAtM - 0.2) / 0.015); *v.HolesLeft != want || *v.HeadstocksLeft != want/6 {
		t.Errorf("holes left %d, headstocks %d; want %d and %d", *v.HolesLeft, *v.HeadstocksLeft, want, want/6)
	}
	if v.Life.MLE != nil {
		t.Error("three events are too few for a fit beside the closed form")
	}
	b := advise(bookOf(0.2, -1.35, -1.95, -1.65, 0.72, 0.60))
	b.Fit = true
	fitted, _ := b.Verdict("S10-1", sixHoles("70"))
	if m := fitted.Life.MLE; m == nil || m.Shape <= 0 || !strings.Contains(m.Warning, "Only 3 worn out") || m.Events != 3 || m.Censored != 3 {
		t.Errorf("on request: got %+v", fitted.Life.MLE)
	}
	eight := verdictOf(t, bookOf(0.2, -1.1, -1.2, -1.35, -1.95, -1.65, -1.7, -2.1, -2.4, 0.72), sixHoles("70"))
	if m := eight.Life.MLE; m == nil || m.Warning != "" || m.ShapeInterval.Low == nil {
		t.Errorf("from eight events on: got %+v", m)
	}
	one := advise(bookOf(0))
	one.Fit = true
	if v, err := one.Verdict("S10-1", sixHoles("70")); err != nil || v.Life.MLE.Warning == "" {
		t.Errorf("a fit of nothing: %+v %v", v.Life.MLE, err)
	}
	never := verdictOf(t, bookOf(0.2, 0.72, 0.9, 1.08), sixHoles("70"))
	if !strings.Contains(strings.Join(never.Reasons, " "), "never worn one out. From that alone a life is at least 68 holes (90 % sure), or 95 holes (63 % sure).") {
		t.Errorf("got %v", never.Reasons)
	}
	if _, err := advise(bookOf(0)).Verdict("S10-9", sixHoles("70")); err == nil {
		t.Error("an unknown bit has no verdict")
	}
}

func TestPoolBorrows(t *testing.T) {
	b := bookOf(0.2, -1.35, 0.72)
	for i := range b.Bits[1:] {
		b.Bits[i+1].DiameterMM, b.Bits[i+1].ExpectedM = 8, 1.5
	}
	v := verdictOf(t, b, sixHoles("70"))
	if v.Life.Events != 0 || v.Life.BorrowedEvents != 1 || v.Life.BorrowedCensored != 1 || !strings.Contains(v.Life.Basis, "other sizes (old-a, old-b), at weight 0.5 each") {
		t.Errorf("got %+v", v.Life)
	}
	// Ages are stretched by 2.25/1.5 and count half.
	want := math.Pow((math.Pow(2.25, 2.5)+0.5*(math.Pow(1.35*1.5, 2.5)+math.Pow(0.72*1.5, 2.5)))/1.5, 1/2.5)
	if math.Abs(*v.Life.ScaleM-want) > 1e-9 {
		t.Errorf("scale %v, want %v", *v.Life.ScaleM, want)
	}
	b.Bits[1].Point = "twist"
	if got := verdictOf(t, b, sixHoles("70")).Life.BorrowedEvents; got != 0 {
		t.Errorf("a twist bit lends nothing to a brad point: %d", got)
	}
}

// Properties on random books. The seed is printed on failure.
func TestVerdictProperties(t *testing.T) {
	const seed = 5
	r := rand.New(rand.NewPCG(seed, seed))
	for range 300 {
		var lives []float64
		for range r.IntN(7) {
			x := 0.2 + 2.5*r.Float64()
			if r.IntN(2) == 0 {
				x = -x
			}
			lives = append(lives, x)
		}
		age := 3 * r.Float64()
		tornHole := money.New(int64(10+r.IntN(400)), 0)
		job := FaceJob{Holes: 6, CutM: 0.05 + 0.1*r.Float64(), TornHoleCost: tornHole}
		book := bookOf(age, lives...)
		v := verdictOf(t, book, job)
		if v.RetireAtM != nil && v.AgeM >= *v.RetireAtM && v.Verdict == VerdictReady {
			t.Fatalf("seed %d: ready at %v, past %v", seed, v.AgeM, *v.RetireAtM)
		}
		if v.Verdict == VerdictReady && len(v.Reasons) == 0 {
			t.Fatalf("seed %d: a verdict without a reason", seed)
		}
		dearer := job
		dearer.TornHoleCost = tornHole.MulInt(2)
		if d := verdictOf(t, book, dearer); v.RetireAtM != nil && (d.RetireAtM == nil || *d.RetireAtM > *v.RetireAtM*(1+1e-9)) {
			t.Fatalf("seed %d: a larger damage raised T*: %v to %v", seed, *v.RetireAtM, d.RetireAtM)
		}
		// Dropping a use brings every figure back.
		more := book
		more.Uses = append(append([]jobs.BitUse{}, book.Uses...), jobs.BitUse{ID: 1000, Bit: "S10-1", Edge: 1, On: shopDay, Holes: 6, Layers: []jobs.Layer{{Wood: "ebony", DepthMM: 12}}})
		if verdictOf(t, more, job).AgeM <= v.AgeM {
			t.Fatalf("seed %d: a use added no wear", seed)
		}
		more.Uses = more.Uses[:len(more.Uses)-1]
		if again := verdictOf(t, more, job); !reflect.DeepEqual(again, v) {
			t.Fatalf("seed %d: dropping a use left %+v, not %+v", seed, again, v)
		}
	}
}

func TestPlanBits(t *testing.T) {
	b := bookOf(0.30, -1.35, -1.95, -1.65, 0.72, 0.60)
	fresh := bookOf(0.03).Bits[0]
	fresh.Code = "S10-2"
	old := fresh
	old.Code, old.Keep = "G10", jobs.KeepGeneral
	b.Bits = append(b.Bits, fresh, old)
	plain, inlaid, hidden := sixHoles("25"), sixHoles("300"), sixHoles("0")
	plain.Neck, inlaid.Neck, hidden.Neck, hidden.Hidden = "bo", "ada", "cy", true
	plans, err := advise(b).PlanBits(10, []FaceJob{plain, hidden, inlaid})
	if err != nil {
		t.Fatal(err)
	}
	got := map[string]string{}
	for _, p := range plans {
		got[p.Neck] = p.Bit
	}
	want := map[string]string{"ada": "S10-2", "bo": "S10-1", "cy": "old-d"}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
	none, err := advise(b).PlanBits(6, []FaceJob{plain})
	if err != nil || none[0].Bit != "" || none[0].Why == "" {
		t.Errorf("no bit of 6 mm: got %+v, %v", none, err)
	}
	// Two dear faces and one bit: the second is judged with the wear of the first.
	solo := bookOf(0.66, -1.35, -1.95, -1.65, 0.72, 0.60)
	two, _ := advise(solo).PlanBits(10, []FaceJob{sixHoles("70"), sixHoles("70")})
	if two[0].Verdict.Verdict != VerdictLast || two[1].Verdict.Verdict != VerdictRetire {
		t.Errorf("got %q then %q", two[0].Verdict.Verdict, two[1].Verdict.Verdict)
	}
}

func TestDamage(t *testing.T) {
	// Defaults: 90 min at 41.50 = 62.25 repaired nine times in ten; 363.10 sunk lost
	// in one: 0.9 x 62.25 + 0.1 x 363.10 = 92.335.
	hour, sunk := money.MustParse("41.50"), money.MustParse("363.10")
	if d, basis := (TornFace{PerHour: hour, Sunk: sunk}).TornHoleCost(); d.String() != "92.34" || !strings.Contains(basis, "90 min") {
		t.Errorf("got %s, %s", d, basis)
	}
	// Repairs of 60 and 80 min: (180 + 140)/4 = 80 min; scrap 1/12 = 0.083.
	if d, _ := (TornFace{RepairMin: []float64{60, 80}, PerHour: hour, Sunk: sunk}).TornHoleCost(); d.String() != "80.88" {
		t.Errorf("got %s, want 80.88", d)
	}
	more, _ := (TornFace{PerHour: hour, Sunk: sunk.MulInt(4)}).TornHoleCost()
	less, _ := (TornFace{PerHour: hour, Sunk: sunk}).TornHoleCost()
	if more.Cmp(less) <= 0 {
		t.Error("more sunk in the neck, more damage")
	}
}

// No price and no expected life still lead to retirement.
func TestVerdictOfWhatIsMissing(t *testing.T) {
	noPrice := func(b jobs.BitBook) jobs.BitBook {
		for i := range b.Bits {
			b.Bits[i].Price, b.Bits[i].NewEdgeCost = money.Zero, money.Zero
		}
		return b
	}
	noLife := func(b jobs.BitBook) jobs.BitBook {
		for i := range b.Bits {
			b.Bits[i].ExpectedM = 0
		}
		return b
	}
	tested := func(b jobs.BitBook) jobs.BitBook {
		zero := 0
		b.Uses = append(b.Uses, jobs.BitUse{ID: 99, Bit: "S10-1", Edge: 1, On: shopDay, Holes: 1, Layers: []jobs.Layer{{Wood: "hard-maple", DepthMM: 15}}, GradeIn: &zero, Test: true})
		return b
	}
	own := bookOf(0.6, 0.9)
	own.Bits[0].Price, own.Bits[0].NewEdgeCost = money.Zero, money.Zero
	for name, c := range map[string]struct {
		book    jobs.BitBook
		verdict string
		retire  float64 // 0: none
		from    string
	}{
		"no price anywhere, young":      {noPrice(bookOf(0.2)), VerdictReady, 2.25, FromUnknown},
		"no price anywhere, past life":  {noPrice(bookOf(2.3)), VerdictRetire, 2.25, FromUnknown},
		"the price of its class":        {own, VerdictReady, -1, FromClass},
		"no life, one retired at 0.9 m": {noLife(bookOf(1.2, 0.9)), VerdictRetire, -1, FromOwn},
		"no life, one worn out":         {noLife(bookOf(1.2, -0.9)), VerdictRetire, -1, FromOwn},
		"nothing known":                 {noLife(bookOf(0.2)), VerdictNoRecord, 0, FromOwn},
		"nothing known, tested clean":   {tested(noLife(bookOf(0.2))), VerdictReady, 0, FromOwn},
	} {
		v := verdictOf(t, c.book, sixHoles("61"))
		if v.Verdict != c.verdict || v.ChangeFrom != c.from {
			t.Errorf("%s: got %q from %q, want %q from %q: %v", name, v.Verdict, v.ChangeFrom, c.verdict, c.from, v.Reasons)
		}
		switch {
		case c.retire == 0 && v.RetireAtM != nil:
			t.Errorf("%s: retire at %v, want none", name, *v.RetireAtM)
		case c.retire != 0 && v.RetireAtM == nil:
			t.Errorf("%s: it never retires: %v", name, v.Reasons)
		case c.retire > 0 && math.Abs(*v.RetireAtM-c.retire) > 1e-9:
			t.Errorf("%s: retire at %v, want %v", name, *v.RetireAtM, c.retire)
		}
	}
}

// The learned share is the mean of a Beta posterior (gonum's Beta distribution).
func TestFoundIsTheMeanOfABeta(t *testing.T) {
	for _, r := range []TestRecord{{}, {1, 0}, {0, 1}, {7, 2}, {0, 40}, {40, 0}} {
		want := distuv.Beta{Alpha: 4 + float64(r.Found), Beta: 1 + float64(r.Missed)}.Mean()
		if got := r.Share(); math.Abs(got-want) > 1e-12 {
			t.Errorf("%+v: got %v, want %v", r, got, want)
		}
	}
}

func TestPercent(t *testing.T) {
	for p, want := range map[float64]string{0: "under 1 %", 0.004: "under 1 %", 0.0146: "1 %", 0.5: "50 %", 0.9999: "over 99 %", 1: "over 99 %"} {
		if got := Percent(p); got != want {
			t.Errorf("%v: got %q, want %q", p, got, want)
		}
	}
	if got := PercentRange(0.0016, 0.034); got != "under 1 to 3 %" {
		t.Errorf("got %q", got)
	}
	if got := PercentRange(0.012, 0.083); got != "1 to 8 %" {
		t.Errorf("got %q", got)
	}
}
