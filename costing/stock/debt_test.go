package stock

import (
	"testing"

	"bookmatch/jobs"
)

// A debt settles at the price of the next lots whatever their
// size. The figures are arithmetic: 100 at 0.09, then 20 at 0.20, then 100 at 0.12.
func TestDebtSettlesAtTheNextLots(t *testing.T) {
	first, small, large := lot(1, "2026-01-05", "100", "9.00"), lot(3, "2026-02-10", "20", "4.00"), lot(4, "2026-02-20", "100", "12.00")
	u := use(2, "2026-02-01", "160", "N1")
	for _, c := range []struct {
		name string
		lots []jobs.Lot
		want string
		left string
	}{
		{"no lot came", []jobs.Lot{first}, "14.40", "60"},                          // 9.00 + 60 x 0.09
		{"a lot too small", []jobs.Lot{first, small}, "21.00", "40"},               // 9.00 + 4.00 + 40 x 0.20
		{"and one that does", []jobs.Lot{first, small, large}, "17.80", "0"},       // 9.00 + 4.00 + 40 x 0.12
		{"nothing before the small one", []jobs.Lot{small}, "32.00", "140"},        // 160 x 0.20
		{"a gift settles for nothing", []jobs.Lot{first, gift("60")}, "9.00", "0"}, // 9.00 + 0
	} {
		got := fifo(glue, c.lots, u)
		eq(t, c.name, got.Issued, c.want)
		if got.Issues[0].Short.String() != c.left {
			t.Errorf("%s: %s waits on, want %s", c.name, got.Issues[0].Short, c.left)
		}
		if total(got).Cmp(got.ValueIn) != 0 {
			t.Errorf("%s: %s in, %s accounted for", c.name, got.ValueIn, total(got))
		}
	}
}

func gift(q string) jobs.Lot {
	l := lot(9, "2026-02-15", q, "0")
	l.Source = jobs.SourceGift
	return l
}

// What a count found before any price was known is worth what the first lot says,
// as the warning promises: 10 at 0.50.
func TestFoundBeforeAnyPrice(t *testing.T) {
	count := jobs.SupplyUse{ID: 1, Supply: "glue", Kind: jobs.UseCount, Quantity: qty("10"), On: on("2026-01-02")}
	got := fifo(glue, []jobs.Lot{lot(2, "2026-02-01", "100", "50.00")}, count, use(3, "2026-03-01", "10", "N1"))
	eq(t, "used of what was found", got.Issued, "5.00")
	eq(t, "on hand", got.Value, "50.00")
}

// A count and a write-off of one instant apply in the order
// typed.
func TestCountAndWriteOffOfOneInstant(t *testing.T) {
	at := on("2026-02-01")
	count := jobs.SupplyUse{Supply: "glue", Kind: jobs.UseCount, Quantity: qty("40"), On: at}
	off := jobs.SupplyUse{Supply: "glue", Kind: jobs.UseWriteOff, Quantity: qty("5"), On: at}
	for _, c := range []struct {
		name       string
		count, off uint64
		want       string
	}{{"count, then write-off", 2, 3, "35"}, {"write-off, then count", 3, 2, "40"}} {
		count.ID, off.ID = c.count, c.off
		if got := fifo(glue, []jobs.Lot{lot(1, "2026-01-05", "100", "10.00")}, count, off); got.OnHand.String() != c.want {
			t.Errorf("%s: %s on hand, want %s", c.name, got.OnHand, c.want)
		}
	}
}

// A rate over a short history says so: 10 in 6 days are no 10
// in 28.
func TestShortHistorySaysSo(t *testing.T) {
	l := fifo(glue, []jobs.Lot{lot(1, "2026-05-26", "100", "10.00")}, use(2, "2026-05-29", "14", ""))
	got := PlanReorder(l, nil, "2026-06-01")
	if !got.ShortHistory || got.History != 6 || got.Days != 28 || got.PerWeek.String() != "3.5" {
		t.Errorf("history %d, divided by %d, short %v, %s a week", got.History, got.Days, got.ShortHistory, got.PerWeek)
	}
	if want := "14 ml used in 6 days, a short history, so 28 days are counted: 3.5 a week"; got.Reasons[0] != want {
		t.Errorf("got %q, want %q", got.Reasons[0], want)
	}
	l = fifo(glue, []jobs.Lot{lot(1, "2026-01-26", "100", "10.00")}, use(2, "2026-05-29", "14", ""))
	if got := PlanReorder(l, nil, "2026-06-01"); got.ShortHistory || got.History != got.Days {
		t.Errorf("a long history is short: %+v", got)
	}
}
