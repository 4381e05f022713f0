package schedule

import "slices"

// Startable gives the steps of neck k that could begin now and would end, or
// leave a part done, before their hour. The first is what the rule of thumb
// takes: glue-ups last, then the longest path behind. It answers for a moment
// of the log as for now.
func Startable(necks []Neck, k int, e Evening) (out []int) {
	held, wet := 0, false
	for _, n := range necks {
		for _, s := range n.Steps {
			if s.Done && s.DoneMin+s.HandledMin > 0 {
				held += s.Clamps
				wet = wet || s.Marks.Has(Wet) && !e.DustFreeRoom
			}
		}
	}
	steps := necks[k].Steps
	o, ok := newOutlook(steps, &evenings{}, Evening{Unlogged: 1, UsualMin: 1})
	if !ok {
		return nil
	}
	for i := range steps {
		s := &steps[i]
		least := s.SafeSetupMin + s.SafeRunMin
		if shares := parts(s); len(shares) > 0 {
			least = s.SafeSetupMin + ceil(float64(s.SafeRunMin)*shares[len(shares)-1])
		}
		switch {
		case s.Done || !openNow(steps, s), least > e.limit(s):
		case wet && s.Marks.Has(Dusty):
		case s.Clamps > 0 && held > 0 && held+s.Clamps > e.ClampSets:
		default:
			out = append(out, i)
		}
	}
	behind := o.behind()
	glue := func(i int) int { return is(steps[i].HandledMin >= closerMin && steps[i].Place != Off) }
	slices.SortStableFunc(out, func(i, j int) int {
		if glue(i) != glue(j) {
			return glue(i) - glue(j)
		}
		return int(behind[j]) - int(behind[i])
	})
	return out
}

// openNow says that the needs of a step are met and no cure keeps it off.
func openNow(steps []Step, s *Step) bool {
	for _, n := range s.Needs {
		if e := &steps[n.Step]; !e.Done || e.DoneMin+n.WaitMin > 0 {
			return false
		}
	}
	for i := range steps {
		if e := &steps[i]; e.Done && e.DoneMin+touch(s, e) > 0 {
			return false
		}
	}
	return true
}
