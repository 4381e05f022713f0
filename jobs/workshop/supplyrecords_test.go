package workshop

import (
	"errors"
	"math/rand/v2"
	"testing"
	"time"

	"bookmatch/costing/money"
	"bookmatch/costing/stock"
	"bookmatch/jobs"
	"bookmatch/jobs/store"

	"github.com/google/go-cmp/cmp"
)

func testQty(s string) money.Qty {
	q, err := money.ParseQty(s)
	if err != nil {
		panic(err)
	}
	return q
}

// gluedShop has two necks, one of them finished, and 200 ml of glue.
func gluedShop(t *testing.T) string {
	t.Helper()
	path := newFile(t)
	closed := start.AddDate(0, 1, 0)
	update(t, path, start, "set up", func(b *Book) error {
		for _, n := range []jobs.Neck{
			{Code: "N1", Nickname: "ada", Status: jobs.Open, Route: "headstock", Steps: []jobs.Step{{No: 1, Operation: "glue-face", Quantity: 180}}},
			{Code: "N2", Nickname: "bo", Status: jobs.Open, Route: "headstock", Steps: []jobs.Step{{No: 1, Operation: "glue-face", Quantity: 90}}},
			{Code: "N3", Nickname: "cy", Status: jobs.Finished, Closed: &closed},
		} {
			if err := store.Put(b.Tx, store.Necks, n); err != nil {
				return err
			}
		}
		if err := b.AddSupply(jobs.Supply{Name: "wood-glue", Unit: jobs.UnitML}); err != nil {
			return err
		}
		_, err := b.ReceiveLot(jobs.Lot{Supply: "wood-glue", Source: jobs.SourceBought, Received: start, Quantity: testQty("200"), Price: money.MustParse("18.00")})
		return err
	})
	return path
}

func TestRecordUseRefuses(t *testing.T) {
	path := gluedShop(t)
	good := jobs.SupplyUse{Supply: "wood-glue", Kind: jobs.UseIssue, Quantity: testQty("10"), On: start.AddDate(0, 2, 0)}
	for name, c := range map[string]struct {
		change func(*jobs.SupplyUse)
		class  error
	}{
		"unknown neck":        {func(u *jobs.SupplyUse) { u.Neck = "N9" }, jobs.ErrNotFound},
		"closed neck":         {func(u *jobs.SupplyUse) { u.Neck = "N3" }, jobs.ErrConflict},
		"unknown lot":         {func(u *jobs.SupplyUse) { u.Lot = 9 }, jobs.ErrNotFound},
		"lot of another":      {func(u *jobs.SupplyUse) { u.Supply, u.Lot = "tape", 1 }, jobs.ErrConflict},
		"nothing used":        {func(u *jobs.SupplyUse) { u.Quantity = money.Qty{} }, jobs.ErrInvalid},
		"count for a neck":    {func(u *jobs.SupplyUse) { u.Kind, u.Neck = jobs.UseCount, "N1" }, jobs.ErrInvalid},
		"no date":             {func(u *jobs.SupplyUse) { u.On = time.Time{} }, jobs.ErrInvalid},
		"late, before closed": {func(u *jobs.SupplyUse) { u.Neck, u.On = "N3", start.AddDate(0, 0, 20) }, nil},
	} {
		u := good
		c.change(&u)
		err := tryUpdate(path, start.AddDate(0, 3, 0), name, func(b *Book) error { _, err := b.RecordUse(u); return err })
		if !errors.Is(err, c.class) {
			t.Errorf("%s: got %v, want %v", name, err, c.class)
		}
	}
	if err := tryUpdate(path, start, "add again", func(b *Book) error { return b.AddSupply(jobs.Supply{Name: "wood-glue", Unit: jobs.UnitML}) }); !errors.Is(err, jobs.ErrConflict) {
		t.Errorf("a supply added twice: %v", err)
	}
	view(t, path, func(b *Book) error {
		if s, err := b.FindSupply("wood"); err != nil || s.Name != "wood-glue" {
			t.Errorf("by prefix: %v, %v", s.Name, err)
		}
		_, err := b.FindSupply("wod-glue")
		var nf *jobs.NotFoundError
		if !errors.As(err, &nf) || len(nf.Near) != 1 {
			t.Errorf("misspelt: %v", err)
		}
		return nil
	})
	mustBeSound(t, path)
}

// One mix over two necks: 270 cm2 at 0.02 ml + 2 ml is 7.4 ml, split by area;
// asked again it does nothing; each neck bears its part of 0.09 a ml.
func TestIssueRecipe(t *testing.T) {
	path := gluedShop(t)
	now := start.Add(30 * time.Minute)
	update(t, path, now, "done", func(b *Book) error {
		operation := b.Operations["glue-face"]
		operation.Recipe = []jobs.RecipeLine{{Supply: "wood-glue", PerUnit: testQty("0.02"), Waste: testQty("2")}, {Supply: "not-kept", PerUnit: testQty("1")}}
		e := jobs.Entry{ID: 1, Operation: "glue-face", Class: jobs.First, From: start, To: &now, Shares: []jobs.Share{{Neck: "N1", Step: 1, Done: true}, {Neck: "N2", Step: 1, Count: 90, Done: true}}}
		if err := store.Put(b.Tx, store.Entries, e); err != nil {
			return err
		}
		got, err := b.IssueRecipe(e, operation)
		if err != nil {
			return err
		}
		if len(got) != 4 || got[0].Use.Quantity.String() != "4.933" || got[1].Use.Quantity.String() != "2.467" || got[0].Missing || !got[2].Missing {
			t.Errorf("issued %+v", got)
		}
		if again, err := b.IssueRecipe(e, b.Operations["glue-face"]); err != nil || len(again) != 0 {
			t.Errorf("asked again: %+v, %v", again, err)
		}
		return nil
	})
	view(t, path, func(b *Book) error {
		for neck, want := range map[string]string{"N1": "0.44", "N2": "0.22"} {
			n, _, err := store.Get(b.Tx, store.Necks, neck)
			if err != nil {
				return err
			}
			c, err := b.NeckCost(n)
			if err != nil || c.Supplies.Fixed(2) != want {
				t.Errorf("%s bears %s, %v, want %s", neck, c.Supplies, err, want)
			}
		}
		return nil
	})
}

// Whatever is recorded, amended, dropped and taken back, value in = issued +
// written off + on hand, exactly, and an undo gives the account before.
func TestSupplyAccountThroughTheFile(t *testing.T) {
	const seed = 11
	r := rand.New(rand.NewPCG(seed, 3))
	path := gluedShop(t)
	account := func() (l stock.SupplyLedger) {
		view(t, path, func(b *Book) error {
			s, err := b.FindSupply("wood-glue")
			if err != nil {
				return err
			}
			l, err = b.SupplyLedger(s)
			return err
		})
		return l
	}
	figures := func(l stock.SupplyLedger) [5]string {
		return [5]string{l.ValueIn.String(), l.Issued.String(), l.WrittenOff.String(), l.Value.String(), l.OnHand.String()}
	}
	cents := 0
	for round := range 60 {
		before := figures(account())
		now := start.AddDate(0, 0, round)
		update(t, path, now, "change", func(b *Book) error {
			uses, err := store.All(b.Tx, store.Uses)
			if err != nil {
				return err
			}
			q := money.Qty{Decimal: testQty("0.1").Mul(money.QtyOf(1 + r.Int64N(900)).Decimal)}
			on := start.AddDate(0, 0, r.IntN(60))
			switch k := r.IntN(6); {
			case k == 0:
				_, err = b.ReceiveLot(jobs.Lot{Supply: "wood-glue", Source: jobs.SourceBought, Received: on, Quantity: q, Price: money.New(r.Int64N(3000), -2)})
			case k == 1 && len(uses) > 0:
				u := uses[r.IntN(len(uses))]
				u.Quantity, u.On = q, on
				_, err = b.RecordUse(u)
			case k == 2 && len(uses) > 0:
				err = store.Delete(b.Tx, store.Uses, uses[r.IntN(len(uses))])
			case k == 3:
				_, err = b.RecordUse(jobs.SupplyUse{Supply: "wood-glue", Kind: jobs.UseCount, Quantity: q, On: on})
			default:
				_, err = b.RecordUse(jobs.SupplyUse{Supply: "wood-glue", Kind: jobs.UseIssue, Quantity: q, On: on, Neck: []string{"N1", "N2", ""}[r.IntN(3)]})
			}
			return err
		})
		after := account()
		if sum := money.Sum(after.Issued, after.WrittenOff, after.Value); sum.Cmp(after.ValueIn) != 0 {
			t.Fatalf("seed %d round %d: in %s, out and left %s", seed, round, after.ValueIn, sum)
		}
		printed := do(t, path, start.AddDate(1, 0, 0), SupplyShow, &SupplyShowAsk{Supply: "wood-glue"}).(*SupplyShowResult)
		cents += mustAddUp(t, printed.SupplyReading)
		if round%4 == 0 {
			do(t, path, start.AddDate(1, 0, 0), Oops, &OopsAsk{})
			if d := cmp.Diff(before, figures(account())); d != "" {
				t.Fatalf("seed %d round %d: after taking it back (-before +after):\n%s", seed, round, d)
			}
		}
	}
	if cents == 0 {
		t.Error("no account needed a cent: the test shows nothing")
	}
	mustBeSound(t, path)
}

// mustAddUp checks that the printed account adds up and
// counts the lines that carry a cent of rounding.
func mustAddUp(t *testing.T, r SupplyReading) (cents int) {
	t.Helper()
	lots := money.Zero
	for _, x := range r.Lots {
		lots = lots.Add(x.Value)
		if x.CentOn {
			cents++
		}
	}
	if r.Owed != nil {
		lots = lots.Sub(r.Owed.Value)
	}
	if sum := money.Sum(r.Issued, r.WrittenOff, r.Value); sum.Cmp(r.ValueIn) != 0 || lots.Cmp(r.Value) != 0 && len(r.Lots) > 0 {
		t.Fatalf("in %s, out and left %s; on hand %s, by lot %s", r.ValueIn, sum, r.Value, lots)
	}
	if r.CentOn != "" {
		cents++
	}
	return cents
}
