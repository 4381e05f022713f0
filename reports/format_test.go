package reports_test

import (
	"strconv"
	"testing"

	"bookmatch/reports"
)

// A chance is never "0 %" and never "100 %"; a share that is nothing says so.
func TestPercents(t *testing.T) {
	for f, want := range map[float64]string{0: "under 1 %", 0.0099: "under 1 %", 0.01: "1 %", 0.155: "16 %", 0.99: "99 %", 0.9999: "over 99 %", 1: "over 99 %"} {
		if got := reports.ChanceText(f); got != want {
			t.Errorf("chance %v is %q, want %q", f, got, want)
		}
	}
	for f, want := range map[float64]string{0: "none", 0.004: "under 1 %", 0.5: "50 %", 1: "100 %", -0.05: "-5 %"} {
		if got := (reports.Format{}).Show(reports.Share(f), reports.Column{Kind: reports.KindShare}); got != want {
			t.Errorf("share %v is %q, want %q", f, got, want)
		}
	}
	for _, x := range []float64{0, 0.3, 1} {
		if s := strconv.FormatFloat(x, 'f', -1, 64); reports.Chance(x).Decimal().String() != s {
			t.Errorf("chance %v is held as %s", x, reports.Chance(x).Decimal())
		}
	}
}
