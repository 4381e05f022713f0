package money

import (
	"math/rand/v2"
	"testing"
)

// Printed lines add to the printed total, and the cent that
// rounding leaves goes to the largest line.
func TestAddUp(t *testing.T) {
	for _, c := range []struct {
		name, total string
		parts, want []string
		plugged     int
	}{
		{"nothing left over", "3.00", []string{"1", "2"}, []string{"1", "2"}, -1},
		{"a cent too little", "10.00", []string{"3.333", "3.334", "3.333"}, []string{"3.33", "3.34", "3.33"}, 1},
		{"a cent too much", "0.01", []string{"0.005", "0.005"}, []string{"0", "0.01"}, 0},
		{"the largest in size", "-5.00", []string{"1.004", "-6.006", "0.002"}, []string{"1", "-6", "0"}, 1},
		{"no parts", "1.00", nil, nil, -1},
	} {
		parts := make([]Amount, len(c.parts))
		for i, p := range c.parts {
			parts[i] = MustParse(p)
		}
		got, plugged := AddUp(MustParse(c.total), parts, 2)
		if plugged != c.plugged {
			t.Errorf("%s: plugged %d, want %d", c.name, plugged, c.plugged)
		}
		for i := range got {
			if got[i].Cmp(MustParse(c.want[i])) != 0 {
				t.Errorf("%s: line %d is %s, want %s", c.name, i, got[i], c.want[i])
			}
		}
	}
}

// Whatever the parts, the lines add up and no other line than the plugged one
// differs from its plain rounding.
func TestAddUpAlways(t *testing.T) {
	r := rand.New(rand.NewPCG(15, 10))
	for range 2000 {
		parts := make([]Amount, 1+r.IntN(9))
		for i := range parts {
			parts[i] = New(r.Int64N(2_000_000)-1_000_000, -5)
		}
		total := Sum(parts...).Round(2)
		lines, plugged := AddUp(total, parts, 2)
		if Sum(lines...).Cmp(total) != 0 {
			t.Fatalf("%v: %v do not add to %s", parts, lines, total)
		}
		for i := range lines {
			if same := lines[i].Cmp(parts[i].Round(2)) == 0; same == (i == plugged) {
				t.Fatalf("%v: line %d of %v, plugged %d", parts, i, lines, plugged)
			}
		}
	}
}
