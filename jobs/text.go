package jobs

import (
	"fmt"
	"math"
	"strings"
	"time"
)

// MinutesText prints a span as whole minutes, "under a minute" below one.
func MinutesText(d time.Duration) string {
	if d < time.Minute {
		return "under a minute"
	}
	return fmt.Sprintf("%d min", int(math.Round(d.Minutes())))
}

// NumberText prints a number with at most two decimals, none where it is whole.
func NumberText(q float64) string {
	return strings.TrimRight(strings.TrimRight(fmt.Sprintf("%.2f", q), "0"), ".")
}

// UnitText prints a quantity with its unit: "6 holes", "1 neck", "140 cm2".
func UnitText(q float64, o Operation) string {
	unit := o.Unit()
	if q != 1 && unit != "cm" && unit != "cm2" {
		unit += "s"
	}
	return NumberText(q) + " " + unit
}

// CountText prints a count with its noun: "1 evening", "6 holes", "2 entries", "3 days".
func CountText(n int, noun string) string {
	stem, y := strings.CutSuffix(noun, "y")
	y = y && !strings.ContainsAny(stem[max(len(stem)-1, 0):], "aeiou")
	switch {
	case n == 1:
	case y:
		noun = stem + "ies"
	default:
		noun += "s"
	}
	return fmt.Sprintf("%d %s", n, noun)
}

// Round2 rounds to hundredths, half away from zero: minutes, hours and
// percentages as results give them.
func Round2(x float64) float64 { return math.Round(x*100) / 100 }

// Round3 rounds to thousandths, half away from zero: lengths in mm as results
// give them.
func Round3(x float64) float64 { return math.Round(x*1000) / 1000 }

// Round1 rounds to tenths, half away from zero: weeks and evenings as results
// give them.
func Round1(x float64) float64 { return math.Round(x*10) / 10 }
