package reports

import (
	"os"
	"testing"
)

func TestWorkbookRecalculates(t *testing.T) {
	file := writeBook(t, sample())
	b, _ := os.ReadFile(file)
	os.WriteFile("/tmp/bm/R/sample.xlsx", b, 0o644)
	if n := sameRecalculated(t, file); n < 30 {
		t.Errorf("%d formula cells compared, want 30 at least", n)
	}
}
