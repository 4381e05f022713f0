package jobs

import "testing"

// A part that nobody ordered is not in the shop, and a date that
// is past never reads as expected. The days are arithmetic.
func TestPartState(t *testing.T) {
	const on = "2026-02-10"
	for _, tc := range []struct {
		name  string
		part  Part
		state PartState
		where string
	}{
		{"as quoted", Part{}, PartToOrder, "to order"},
		{"ordered, no date", Part{Ordered: "2026-02-01"}, PartOrdered, "ordered"},
		{"expected", Part{Ordered: "2026-02-01", Arrives: "2026-02-14"}, PartOrdered, "expected 2026-02-14"},
		{"expected today", Part{Arrives: on}, PartOrdered, "expected 2026-02-10"},
		{"a day late", Part{Arrives: "2026-02-09"}, PartOverdue, "overdue 1 day"},
		{"a week late", Part{Arrives: "2026-02-03"}, PartOverdue, "overdue 7 days"},
		{"here", Part{Arrives: "2026-02-03", Arrived: "2026-02-08"}, PartHere, "here"},
		{"sent back", Part{Arrived: "2026-02-08", Returned: "2026-02-09"}, PartReturned, "sent back"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			if got := tc.part.State(on); got != tc.state {
				t.Errorf("state %q, want %q", got, tc.state)
			}
			if got := tc.part.Where(on); got != tc.where {
				t.Errorf("where %q, want %q", got, tc.where)
			}
			if got, want := tc.part.Missing(on), tc.state != PartHere && tc.state != PartReturned; got != want {
				t.Errorf("missing %v, want %v", got, want)
			}
		})
	}
}

// When the last missing part comes. A told date slips by a quarter, three days at
// least (our guess).
func TestExpected(t *testing.T) {
	const on = "2026-02-10"
	for _, tc := range []struct {
		name  string
		parts []Part
		want  *Arrival
	}{
		{"none", nil, nil},
		{"all here", []Part{{Arrived: "2026-02-01"}, {Arrived: "2026-02-01", Returned: "2026-02-02"}}, nil},
		{"told", []Part{{Arrived: "2026-02-01"}, {Arrives: "2026-02-12"}}, &Arrival{"2026-02-12", "2026-02-15"}},
		{"told far off", []Part{{Arrives: "2026-03-22"}}, &Arrival{"2026-03-22", "2026-04-01"}},
		{"the later one", []Part{{Arrives: "2026-02-12"}, {}}, &Arrival{"2026-02-24", "2026-02-27"}},
		{"overdue", []Part{{Arrives: "2026-02-03"}}, &Arrival{"2026-02-13", "2026-02-20"}},
	} {
		t.Run(tc.name, func(t *testing.T) {
			got := Expected(tc.parts, on)
			if (got == nil) != (tc.want == nil) || got != nil && *got != *tc.want {
				t.Errorf("got %v, want %v", got, tc.want)
			}
		})
	}
}
