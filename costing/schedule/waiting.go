package schedule

// Reason is why a neck is not in tonight's plan.
type Reason string

// The reasons, in the order they are looked for.
const (
	Curing    Reason = "curing"     // a cure or a lead time is not over
	AtGate    Reason = "gate"       // a record is missing
	WetFilm   Reason = "wet"        // a wet film in the room, no dust
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
	planned := make([]bool, len(s.necks))
	for _, it := range s.best.items {
		planned[it.neck] = true
	}
	for k := range s.necks {
		if !planned[k] {
			out = append(out, s.why(k))
		}
	}
	return out
}

// next gives the undone step of a neck whose needs are all worked and that has
// the longest path behind it; of those that may start now if there are any.
func (s *search) next(neck int) (step int, ok bool) {
	v := s.values[neck]
	behind := make([]float64, len(v.steps))
	for k := len(v.order) - 1; k >= 0; k-- {
		i := v.order[k]
		e := &v.steps[i]
		for _, n := range e.Needs {
			behind[n.Step] = max(behind[n.Step], behind[i]+n.WaitMin+e.MeanSetupMin+e.MeanRunMin)
		}
	}
	best, bestNow := -1, false
	for _, i := range v.order {
		e := &v.steps[i]
		worked := !e.Done
		for _, n := range e.Needs {
			worked = worked && v.steps[n.Step].Done
		}
		if !worked {
			continue
		}
		at, _, _ := s.readyAt(neck, i)
		now := at < s.Minutes
		if best < 0 || now && !bestNow || now == bestNow && behind[i] > behind[best] {
			best, bestNow = i, now
		}
	}
	return best, best >= 0
}

// why gives the first reason of a neck without a line.
func (s *search) why(neck int) Waiting {
	i, ok := s.next(neck)
	if !ok {
		return Waiting{Neck: s.necks[neck].Code, Reason: AllDone}
	}
	step := &s.necks[neck].Steps[i]
	w := Waiting{Neck: s.necks[neck].Code, Step: step.Name, LiftsMin: -1}
	if len(s.row.from) > 0 {
		w.LiftsMin = s.row.from[0]
	}
	it := s.item(neck, i, 1)
	at, why, by := s.readyAt(neck, i)
	end := at + it.setup + it.run
	switch {
	case at >= never:
		w.Reason, w.By, w.LiftsMin = why, by, -1
	case at > 0 && end > s.Minutes:
		w.Reason, w.By, w.LiftsMin = why, by, float64(at)
	case step.Clamps > 0 && s.clampsBusy(&w, step.Clamps, at):
	case step.Marks.Has(Noisy) && end > s.NoiseUntil && end <= s.Minutes:
		w.Reason = TooLoud
	case step.Marks.Has(Machine) && end > s.MachinesUntil && end <= s.Minutes:
		w.Reason = TooTired
	case end > s.Minutes:
		w.Reason = NoTime
	case step.Marks.Has(Dusty) && s.plans(Film), step.Marks.Has(Film) && s.plans(Dusty):
		w.Reason = WetFilm
	default:
		w.Reason = Outranked
	}
	if w.Reason == Outranked || w.Reason == WetFilm || w.Reason == NoClamps {
		w.AloneMin = it.setup + it.run
		w.AlonePoints = s.values[neck].worth([]int{i}, []int{end}, -1, 0).points(s.necks[neck].Weight)
	}
	return w
}

// plans says whether a step of the plan has a mark; never in a dust-free room.
func (s *search) plans(m Marks) bool {
	for _, it := range s.best.items {
		if !s.DustFreeRoom && s.necks[it.neck].Steps[it.step].Marks.Has(m) {
			return true
		}
	}
	return false
}

// clampsBusy says whether the clamps are in use for the rest of the evening,
// by a cure or by the plan, and from when on they are free.
func (s *search) clampsBusy(w *Waiting, sets, at int) bool {
	free := s.clampsFree(s.best.items, s.best.ends, at, sets)
	if free < s.Minutes {
		return false
	}
	w.Reason, w.LiftsMin = NoClamps, float64(free)
	if free >= never {
		w.LiftsMin = -1
	}
	return true
}
