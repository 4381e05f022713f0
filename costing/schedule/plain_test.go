package schedule

import (
	"fmt"
	"math"
	"sort"
)

// A second reading of the rules, written without the search: the remaining
// evenings by plain recursion over wall minutes, every sequence of steps, and
// a replay of a plan minute by minute.

// plainRemaining gives R of a neck. done holds the ends of the steps that are
// over, part the share done of others.
func plainRemaining(n Neck, e Evening, done map[int]float64, part map[int]float64, pace float64) float64 {
	windows := e.Later
	need := func(i int) float64 {
		s := n.Steps[i]
		return (s.MeanSetupMin + (1-part[i])*s.MeanRunMin) * pace * e.Unlogged / e.UsualMin
	}
	// work moves a moment on by so many evenings of work.
	work := func(at, share float64) float64 {
		for _, w := range windows {
			if at >= w.ToMin {
				continue
			}
			at = max(at, w.FromMin)
			length := w.ToMin - w.FromMin
			if room := (w.ToMin - at) / length; share > room {
				share -= room
				at = w.ToMin
				continue
			}
			return at + share*length
		}
		return math.Inf(1)
	}
	memo := map[int]float64{}
	var finish func(i int) float64
	finish = func(i int) float64 {
		if at, ok := memo[i]; ok {
			return at
		}
		at := windows[0].FromMin
		for _, nd := range n.Steps[i].Needs {
			if end, ok := done[nd.Step]; ok {
				at = max(at, end+nd.WaitMin)
			} else {
				at = max(at, finish(nd.Step)+nd.WaitMin)
			}
		}
		memo[i] = work(at, need(i))
		return memo[i]
	}
	count := func(at float64) float64 {
		for k, w := range windows {
			if at <= w.ToMin {
				return float64(k) + max(0, at-w.FromMin)/(w.ToMin-w.FromMin)
			}
		}
		return float64(len(windows))
	}
	longest, all := 0.0, 0.0
	for i := range n.Steps {
		if _, ok := done[i]; !ok {
			longest = max(longest, count(finish(i)))
			all += need(i)
		}
	}
	return max(longest, all)
}

// plainLater carries the two evenings of the last week on for two years.
func plainLater(e Evening) Evening {
	windows := append([]Window(nil), e.Later...)
	for len(windows) < 200 {
		w := windows[len(windows)-2]
		windows = append(windows, Window{w.FromMin + weekMin, w.ToMin + weekMin})
	}
	e.Later = windows
	return e
}

// played is one step of a sequence.
type played struct {
	neck, step int
	share      float64
	from, to   int
}

// plainPoints gives the points of what was played.
func plainPoints(s Situation, seq []played) int {
	total := 0
	later := plainLater(s.Evening)
	for k, n := range s.Necks {
		before, after, part := map[int]float64{}, map[int]float64{}, map[int]float64{}
		for i, st := range n.Steps {
			if st.Done {
				before[i], after[i] = st.DoneMin, st.DoneMin
			}
		}
		minutes, some := 0.0, false
		for _, p := range seq {
			if p.neck != k {
				continue
			}
			some = true
			st := n.Steps[p.step]
			if p.share == 1 {
				after[p.step] = float64(p.to)
				minutes += st.MeanSetupMin + st.MeanRunMin
			} else {
				part[p.step] = p.share
				minutes += p.share * st.MeanRunMin
			}
		}
		if !some {
			continue
		}
		gain := 0.0
		for _, pace := range []float64{0.75, 1, 1.3} {
			gain += (plainRemaining(n, later, before, nil, pace) - plainRemaining(n, later, after, part, pace)) / 3
		}
		total += n.Weight * int(math.Round(1000*gain+300*minutes*s.Evening.Unlogged/s.Evening.UsualMin))
	}
	return total
}

// plainStart gives the first minute from now on at which a step could begin
// after what was played, or -1.
func plainStart(s Situation, seq []played, now, neck, step int) int {
	n := s.Necks[neck]
	st := n.Steps[step]
	ends := map[int]float64{}
	for i, e := range n.Steps {
		if e.Done {
			ends[i] = e.DoneMin
		}
	}
	for _, p := range seq {
		if p.neck == neck && p.share == 1 {
			ends[p.step] = float64(p.to)
		}
	}
	for _, nd := range st.Needs {
		if _, ok := ends[nd.Step]; !ok {
			return -1
		}
	}
	for at := now; at <= s.Evening.Minutes; at++ {
		if plainAllowed(s, seq, ends, float64(at), neck, step) {
			return at
		}
	}
	return -1
}

// plainAllowed says whether a step may begin at a minute.
func plainAllowed(s Situation, seq []played, ends map[int]float64, at float64, neck, step int) bool {
	const hair = 1e-9
	n := s.Necks[neck]
	st := n.Steps[step]
	if st.Shut != nil && (st.Shut.LiftsMin < 0 || at < st.Shut.LiftsMin-hair) {
		return false
	}
	for _, nd := range st.Needs {
		if at < ends[nd.Step]+nd.WaitMin-hair {
			return false
		}
	}
	for i, end := range ends {
		e := n.Steps[i]
		if e.Place == Off || st.Place == Off {
			continue
		}
		if at < end+e.HandledMin-hair || st.Place == Force && at < end+e.CuredMin-hair {
			return false
		}
	}
	clamps := st.Clamps
	wet := func(e Step, end float64) bool {
		return !s.Evening.DustFreeRoom && st.Marks.Has(Dusty) && e.Marks.Has(Wet) && at < end+e.HandledMin-hair
	}
	for _, other := range s.Necks {
		for _, e := range other.Steps {
			if e.Done && at < e.DoneMin+e.HandledMin-hair {
				clamps += e.Clamps
			}
			if e.Done && wet(e, e.DoneMin) {
				return false
			}
		}
	}
	for _, p := range seq {
		e := s.Necks[p.neck].Steps[p.step]
		if at < float64(p.to)+e.HandledMin-hair {
			clamps += e.Clamps
		}
		if !s.Evening.DustFreeRoom && (e.Marks.Has(Wet) && st.Marks.Has(Dusty) || e.Marks.Has(Dusty) && st.Marks.Has(Wet)) {
			return false
		}
	}
	return st.Clamps == 0 || clamps <= s.Evening.ClampSets
}

// plainEnd gives the end of a step started at a minute, and whether it is in
// time.
func plainEnd(s Situation, seq []played, at, neck, step int, share float64) (int, bool) {
	st := s.Necks[neck].Steps[step]
	end := at + int(math.Ceil(float64(st.SafeRunMin)*share-1e-9))
	if len(seq) == 0 || s.Necks[seq[len(seq)-1].neck].Steps[seq[len(seq)-1].step].Operation != st.Operation {
		end += st.SafeSetupMin
	}
	ok := end <= s.Evening.Minutes
	ok = ok && (!st.Marks.Has(Noisy) || end <= s.Evening.NoiseUntil)
	return end, ok && (!st.Marks.Has(Machine) || end <= s.Evening.MachinesUntil)
}

// plainShares gives the whole and the parts of a step that may compete.
func plainShares(s Situation, st Step) []float64 {
	out := []float64{1}
	if !st.Marks.Has(Resumable) || float64(st.SafeSetupMin+st.SafeRunMin) <= s.Evening.UsualMin/2 {
		return out
	}
	pieces := int(math.Ceil(st.Left))
	if st.Left <= 1 {
		pieces = st.SafeRunMin / 15
	}
	for k := 1; k < pieces; k++ {
		share := float64(k) / float64(pieces)
		if share >= 0.5 || share*float64(st.SafeRunMin) >= 30 {
			out = append(out, share)
		}
	}
	return out
}

// everySequence gives the most points over every sequence of steps. It
// reports false when there are more sequences than limit.
func everySequence(s Situation, limit int) (best int, sequences int, ok bool) {
	known := map[string]int{}
	var try func(seq []played, now int)
	try = func(seq []played, now int) {
		if sequences++; sequences > limit {
			return
		}
		// The points add up over the necks.
		ends := map[[2]int]played{}
		for _, p := range seq {
			ends[[2]int{p.neck, p.step}] = p
		}
		points := 0
		for k := range s.Necks {
			var own []played
			for _, p := range seq {
				if p.neck == k {
					own = append(own, p)
				}
			}
			sort.Slice(own, func(i, j int) bool { return own[i].step < own[j].step })
			key := fmt.Sprint(own)
			if _, seen := known[key]; !seen {
				known[key] = plainPoints(s, own)
			}
			points += known[key]
		}
		best = max(best, points)
		for k, n := range s.Necks {
			for i, st := range n.Steps {
				if _, done := ends[[2]int{k, i}]; st.Done || done {
					continue
				}
				at := plainStart(s, seq, now, k, i)
				if at < 0 {
					continue
				}
				for _, share := range plainShares(s, st) {
					if end, in := plainEnd(s, seq, at, k, i, share); in {
						try(append(seq[:len(seq):len(seq)], played{k, i, share, at, end}), end)
					}
				}
			}
		}
	}
	try(nil, 0)
	return best, sequences, sequences <= limit
}

// replay checks a plan minute by minute against the rules and gives what was
// played.
func replay(s Situation, p Proposal) ([]played, error) {
	index := func(code string) int {
		for k, n := range s.Necks {
			if n.Code == code {
				return k
			}
		}
		return -1
	}
	var seq []played
	parts := 0
	for _, l := range p.Lines {
		k := index(l.Neck)
		step := -1
		for i, st := range s.Necks[k].Steps {
			if st.Name == l.Step {
				step = i
			}
		}
		st := s.Necks[k].Steps[step]
		now := 0
		if len(seq) > 0 {
			now = seq[len(seq)-1].to
		}
		if at := plainStart(s, seq, now, k, step); at < 0 || l.FromMin < at {
			return nil, fmt.Errorf("%s %s begins at %d, may not before %d", l.Neck, l.Step, l.FromMin, at)
		}
		if end, in := plainEnd(s, seq, l.FromMin, k, step, l.Share); !in || end != l.ToMin {
			return nil, fmt.Errorf("%s %s ends at %d, want %d in time (%v)", l.Neck, l.Step, l.ToMin, end, in)
		}
		for minute := l.FromMin; minute < l.ToMin; minute++ {
			switch {
			case minute >= s.Evening.Minutes:
				return nil, fmt.Errorf("%s %s goes on after the end at %d", l.Neck, l.Step, minute)
			case st.Marks.Has(Noisy) && minute >= s.Evening.NoiseUntil:
				return nil, fmt.Errorf("%s %s is loud at %d", l.Neck, l.Step, minute)
			case st.Marks.Has(Machine) && minute >= s.Evening.MachinesUntil:
				return nil, fmt.Errorf("%s %s runs a machine at %d", l.Neck, l.Step, minute)
			}
			for _, e := range seq {
				if minute < e.to {
					return nil, fmt.Errorf("%s %s shares minute %d", l.Neck, l.Step, minute)
				}
			}
		}
		if l.Share < 1 {
			parts++
			if !st.Marks.Has(Resumable) || st.Marks.Has(NoStop) {
				return nil, fmt.Errorf("%s %s cannot be left midway", l.Neck, l.Step)
			}
		}
		if st.Done {
			return nil, fmt.Errorf("%s %s is done already", l.Neck, l.Step)
		}
		seq = append(seq, played{k, step, l.Share, l.FromMin, l.ToMin})
	}
	if got := plainPoints(s, seq); got != p.Points+p.FillerPoints {
		return seq, fmt.Errorf("the plan is worth %d, it says %d + %d", got, p.Points, p.FillerPoints)
	}
	return seq, nil
}
