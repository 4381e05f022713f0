package workshop

import (
	"maps"
	"math"
	"slices"
	"strings"

	"bookmatch/jobs"
)

// leftOutByChange says that an accepted change took the step out of the neck.
func leftOutByChange(s jobs.Step) bool { return strings.HasPrefix(s.Skip, "change ") }

// followOrder gives a neck at the quantities of an accepted change. Steps that
// are not started and have nothing left to do are skipped in the name of the
// change. Those that an earlier change took out and this one needs come back.
// Each coat of a finish is a step of its own: coats are added or left out.
func followOrder(st jobs.NeckState, quantities map[string]float64, needs map[string]string, label string, operations map[string]jobs.Operation) jobs.Neck {
	n := st.Neck
	n.Steps, n.Quantities = slices.Clone(n.Steps), maps.Clone(n.Quantities)
	if n.Quantities == nil {
		n.Quantities = map[string]float64{}
	}
	maps.Copy(n.Quantities, quantities)
	coats := map[string]int{} // how many were met
	for i := range n.Steps {
		s := &n.Steps[i]
		v, _ := st.View(s.No)
		started := v.Actual > 0 || v.DoneAt != nil || v.State == jobs.On
		leave := func(out bool) {
			switch {
			case out && !started && s.Skip == "":
				s.Skip = label
			case !out && leftOutByChange(*s):
				s.Skip = ""
			}
		}
		if need := needs[s.Operation]; need != "" {
			if q, said := quantities[need]; said {
				leave(q <= 0)
			}
		}
		k := operations[s.Operation]
		q, said := quantities[k.Per]
		switch {
		case !said:
		case k.Per == "coats" && k.CureMin > 0:
			nth := coats[s.Operation]
			coats[s.Operation]++
			leave(float64(nth) >= q)
			if float64(nth) < q && !started {
				s.Quantity = math.Min(q-float64(nth), 1)
			}
		case q <= 0:
			leave(true)
		default:
			leave(false)
			if v.DoneAt == nil || q > s.Quantity {
				s.Quantity = q
			}
		}
	}
	for _, operation := range jobs.SortedKeys(coats) {
		n.Steps = withCoats(n.Steps, operation, quantities[operations[operation].Per])
	}
	return n
}

// withCoats adds the coats that are missing, after the last there is.
func withCoats(steps []jobs.Step, operation string, want float64) []jobs.Step {
	have, last, no := 0.0, 0, 1
	for i, s := range steps {
		no = max(no, s.No+1)
		if s.Operation == operation {
			have, last = have+1, i
		}
	}
	for ; have < want; have++ {
		s := steps[last]
		s.No, s.Quantity, s.Skip = no, math.Min(want-have, 1), ""
		no, last = no+1, last+1
		steps = slices.Insert(steps, last, s)
	}
	return steps
}
