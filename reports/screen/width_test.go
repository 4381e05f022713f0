package screen

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"bookmatch/costing/money"
	"bookmatch/reports"
	"bookmatch/reports/plain"
)

const amount = "1250300.55"

// noted is a table of one long text between numbers.
func noted() reports.Report {
	t := reports.Table{Name: "steps", Columns: []reports.Column{{Key: "step", Header: "step", Kind: reports.KindCount},
		{Key: "said", Header: "said", Max: 30}, {Key: "cost", Header: "cost", Unit: "EUR", Kind: reports.KindMoney}}}
	t.Add(reports.Count(16), reports.Text(strings.Repeat("seven by ", 20)), reports.Money(money.MustParse(amount)))
	r := reports.Report{Name: "steps", Currency: "EUR"}
	r.Add(t)
	return r
}

// Text takes what is left on a wide screen; the amount stays on one line at any
// width, and below 60 columns each row is a block of its own.
func TestWidths(t *testing.T) {
	for _, c := range []struct{ width, widest int }{{0, 46}, {80, 46}, {60, 46}, {120, 120}, {200, 198}, {400, 198}} {
		var b bytes.Buffer
		if err := (Screen{Width: c.width}).Print(&b, noted()); err != nil {
			t.Fatal(err)
		}
		widest := 0
		for _, l := range strings.Split(b.String(), "\n") {
			widest = max(widest, plain.Width(l))
		}
		if diff(float64(widest), float64(c.widest)) > 8 {
			t.Errorf("%d columns: the widest line has %d, want about %d:\n%s", c.width, widest, c.widest, b.String())
		}
		if !strings.Contains(b.String(), amount) {
			t.Errorf("%d columns: the amount is broken:\n%s", c.width, b.String())
		}
	}
	var b bytes.Buffer
	if err := (Screen{Width: 50}).Print(&b, noted()); err != nil {
		t.Fatal(err)
	}
	if !strings.HasPrefix(b.String(), "step        16\nsaid        seven by") || !strings.Contains(b.String(), "\ncost (EUR)  "+amount+"\n") {
		t.Errorf("50 columns, want a block:\n%s", b.String())
	}
}

func diff(a, b float64) float64 { return math.Abs(a - b) }

// luminance is the relative luminance of a colour of the table of 256.
func luminance(code int) float64 {
	part := func(v float64) float64 {
		if v /= 255; v <= 0.04045 {
			return v / 12.92
		} else {
			return math.Pow((v+0.055)/1.055, 2.4)
		}
	}
	if code >= 232 {
		return part(float64(8 + 10*(code-232)))
	}
	steps := []float64{0, 95, 135, 175, 215, 255}
	n := code - 16
	return 0.2126*part(steps[n/36]) + 0.7152*part(steps[n/6%6]) + 0.0722*part(steps[n%6])
}
