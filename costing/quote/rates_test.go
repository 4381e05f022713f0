package quote

import (
	"testing"
	"time"

	"bookmatch/costing/money"
)

// Job costing, from accounting study texts: 7a overhead 120,000 over 50,000 h,
// a job of 80 kg at 5 and 40 h at 6 costs 736; 7b 450,000 over 45,000 h, a job
// of 400 h and 10,750 in all; 7c 118,000 over 4,500 h, a job of 18 h costs
// 4,698.00 with 3,740 of materials and labour at 27.
func TestAbsorbWorkedExamples(t *testing.T) {
	absorb := func(yearly string, hours int) money.Amount {
		return Absorb(money.MustParse(yearly), time.Duration(hours)*time.Hour, 0, 0).PerHour
	}
	job := func(overhead money.Amount, labour string, hours int, materials string) money.Amount {
		h := time.Duration(hours) * time.Hour
		return money.Sum(money.MustParse(materials), money.MustParse(labour).Times(h), overhead.Times(h)).Round(2)
	}
	eq(t, "7a rate", absorb("120000", 50000), "2.40")
	eq(t, "7a job", job(absorb("120000", 50000), "6", 40, "400"), "736.00")
	eq(t, "7b rate", absorb("450000", 45000), "10")
	eq(t, "7c rate", absorb("118000", 4500).Round(4), "26.2222")
	eq(t, "7c job", job(absorb("118000", 4500), "27", 18, "3740"), "4698.00")
}

// Own arithmetic: 2,600 a year over 330 logged hours is 7.88 an hour; over 600
// imagined ones 4.33; a job of 40 h then loses 141.82.
func TestAbsorbImaginedHours(t *testing.T) {
	yearly := money.MustParse("2600")
	got := Absorb(yearly, 330*time.Hour, 600, 40)
	eq(t, "yearly", got.Yearly, "2600")
	eq(t, "per logged hour", got.PerHour.Round(2), "7.88")
	eq(t, "per imagined hour", got.PlannedPerHour.Round(2), "4.33")
	eq(t, "missing", got.Missing.Round(2), "141.82")
	if got := Absorb(yearly, 10*time.Hour, 600, 40); got.Known || len(got.Warnings) != 1 {
		t.Errorf("10 h logged: %+v", got)
	}
	if got := Absorb(money.Zero, 0, 0, 0); got.Known || !got.PerHour.IsZero() {
		t.Errorf("nothing: %+v", got)
	}
}
