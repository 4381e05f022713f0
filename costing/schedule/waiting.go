package schedule

import "slices"

// Reason is why a neck is not in tonight's plan.
type Reason string

// The reasons, in the order they are looked for.
const (
	Curing    Reason = "curing"     // a cure or a lead time is not over
	AtGate    Reason = "gate"       // a record is missing
	WetRoom   Reason = "wet"        // a wet film in the room, no dust
	NoClamps  Reason = "clamps"     // all clamp sets are in use
	TooLoud   Reason = "noise"      // does not end before the quiet hour
	TooTired  Reason = "machine"    // does not end before the tired hour
	NoTime    Reason = "time"       // does not fit into the evening
	Outranked Reason = "other work" // fits alone, but other work is worth more
	AllDone   Reason = "done"       // nothing left to do
)

// Waiting is a neck without a line in the plan, with its first reason.
type Waiting struct {
	Neck, Step string
	Reason     Reason
	// By is the step that cures, or the words of the gate.
	By string
	// LiftsMin is when the reason ends, in minutes from now; below 0 nobody
	// knows.
	LiftsMin float64
	// AloneMin and AlonePoints are what the step would take and be worth if it
	// was planned alone; 0 when it cannot start.
	AloneMin, AlonePoints int
}

// waiting gives every neck without a line, with its next step and the first
// reason.
func (s *search) waiting() (out []Waiting) {
	for k := range s.necks {
		if !slices.ContainsFunc(s.plan.items, func(it member) bool { return it.neck == k }) {
			out = append(out, s.why(k))
		}
	}
	return out
}

// next gives the undone step of a neck whose needs are all worked and that has
// the longest path behind it, of those that may start tonight if there are any.
func (s *search) next(neck int) int {
	v := s.values[neck]
	behind := v.behind()
	best, most := -1, -1.0
	for _, i := range v.order {
		if v.steps[i].Done || slices.ContainsFunc(v.steps[i].Needs, func(n Need) bool { return !v.steps[n.Step].Done }) {
			continue
		}
		length := behind[i]
		if at, _, _ := s.readyAt(neck, i); at < s.Minutes {
			length += never // before all that cannot start
		}
		if length > most {
			best, most = i, length
		}
	}
	return best
}

// why gives the first reason of a neck without a line.
func (s *search) why(neck int) Waiting {
	w := Waiting{Neck: s.necks[neck].Code, LiftsMin: -1, Reason: AllDone}
	i := s.next(neck)
	if i < 0 {
		return w
	}
	if len(s.row.from) > 0 {
		w.LiftsMin = s.row.from[0]
	}
	it := s.item(neck, i, 1)
	w.Step = it.Name
	at, why, by := s.readyAt(neck, i)
	end := at + it.SafeSetupMin + it.run
	free := at
	if it.Clamps > 0 {
		free = s.clampsFree(s.plan.items, s.plan.ends, at, it.Clamps)
	}
	lifts := func(r Reason, by string, at int) {
		w.Reason, w.By, w.LiftsMin = r, by, float64(at)
		if at >= never {
			w.LiftsMin = -1
		}
	}
	switch {
	case at > 0 && end > s.Minutes:
		lifts(why, by, at)
	case free >= s.Minutes:
		lifts(NoClamps, "", free)
	case end > s.Minutes:
		w.Reason = NoTime
	case it.Marks.Has(Noisy) && end > s.NoiseUntil:
		w.Reason = TooLoud
	case it.Marks.Has(Machine) && end > s.MachinesUntil:
		w.Reason = TooTired
	case it.Marks.Has(Dusty) && s.plans(Wet), it.Marks.Has(Wet) && s.plans(Dusty):
		w.Reason = WetRoom
	default:
		w.Reason = Outranked
	}
	if end <= s.Minutes {
		w.AloneMin = end - at
		w.AlonePoints = s.values[neck].worth([]item{it}, []int{end}).points(s.necks[neck].Weight)
	}
	return w
}

// plans says whether a step of the plan has a mark, never in a dust-free room.
func (s *search) plans(m Marks) bool {
	return !s.DustFreeRoom && slices.ContainsFunc(s.plan.items, func(it member) bool { return it.Marks.Has(m) })
}
