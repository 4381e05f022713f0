package schedule

import (
	"math"
	"slices"

	"bookmatch/jobs"
)

// PlanTonight decides what to do this evening.
//
// The closing glue-up or film is reserved first, for the neck with most calendar
// leverage, together with the steps that must come before it; then further
// closings as clamps, film and time allow; then necks that share a set-up with
// what is planned, other ready steps, as
// much of one more as fits where it may stop midway, and decisions. A step is planned only when
// its safe time (80 %) ends before the hour given, so a plan holds without
// adding any safe times up. Noisy steps come while noise may be made. Dusty ones
// are never planned beside an open film, nor on an evening that ends with one.
func PlanTonight(t Tonight) TonightPlan {
	b := &tonightBook{t: t}
	for _, n := range t.Necks {
		b.necks = append(b.necks, t.read(n))
	}
	byLeverage(b.necks)
	b.free, b.clamps = t.clamps()
	b.wet = t.wet()
	if t.Shop.QuietAfter > 0 {
		if at, err := jobs.WallTime(t.Shop.Evening(t.Now), t.Shop.QuietAfter, t.Shop.Location(), ""); err == nil {
			b.quietAfter = at
		}
	}
	out := TonightPlan{From: t.start(), Until: t.Until, Plan: []TonightLine{}, Short: []ShortLine{}, Blocked: []BlockedNeck{}, Notes: []string{}}
	first, refused := b.choose(nil)
	if lines, why := b.build(first); why == nil {
		out.Plan = append(out.Plan, b.reasons(lines, first)...)
	}
	if len(refused) > 0 {
		second, _ := b.choose(refused[:1])
		if lines, why := b.build(second); why == nil && second.closes[refused[0]] && !sameLines(lines, out.Plan) {
			out.Other = b.reasons(lines, second)
		}
	}
	b.blocked(&out, first)
	b.short(&out)
	b.notes(&out)
	return out
}

// choose fills an evening. first names necks whose closing is tried before the
// others; refused are necks whose closing could have been done alone.
func (b *tonightBook) choose(first []int) (p pick, refused []int) {
	p = b.empty()
	order := append([]int{}, first...)
	for i := range b.necks {
		if !slices.Contains(order, i) {
			order = append(order, i)
		}
	}
	for _, i := range order {
		k, ok := b.pathToClosing(i)
		if !ok {
			continue
		}
		try := p.clone()
		try.before[i], try.closes[i] = k, true
		if _, why := b.build(try); why == nil {
			p = try
			continue
		}
		alone := b.empty()
		alone.before[i], alone.closes[i] = k, true
		if _, why := b.build(alone); why == nil {
			refused = append(refused, i)
		}
	}
	for b.fill(&p, 0) || b.fill(&p, 1) || b.fillPart(&p) || b.fill(&p, 2) {
	}
	return p, refused
}

// pathToClosing gives how many steps come before the first closing step of a
// neck, if all of them and it can be begun tonight.
func (b *tonightBook) pathToClosing(i int) (int, bool) {
	n := b.necks[i]
	if n.block != nil {
		return 0, false
	}
	for k, s := range n.steps {
		if s.gate != nil || s.safe <= 0 {
			return 0, false
		}
		if s.closes {
			return k, true
		}
	}
	return 0, false
}

// fill adds one more step: in pass 0 such as share an operation with what is planned,
// in pass 1 any that is ready, in pass 2 decisions, also ahead of their turn.
func (b *tonightBook) fill(p *pick, pass int) bool {
	operations := map[string]bool{}
	lines, _ := b.build(*p)
	left := b.t.Until.Sub(b.t.start()).Minutes()
	for _, l := range lines {
		operations[l.Operation] = true
		left -= l.SafeMin
	}
	for _, rank := range []int{0, 1, 2} {
		for i, n := range b.necks {
			if n.block != nil || p.closes[i] || p.part[i] > 0 {
				continue
			}
			k := p.before[i]
			for k < len(n.steps) && slices.Contains(p.decides[i], k) {
				k++
			}
			if k >= len(n.steps) {
				continue
			}
			s := n.steps[k]
			if s.likely > left {
				continue // not even the likely time is there
			}
			if s.gate != nil || s.closes || s.safe <= 0 || tonightRank(s.operation) != rank || (pass == 0 && !operations[s.operation.Name]) || (s.operation.Decide && pass != 2) {
				continue
			}
			try := p.clone()
			try.before[i] = k + 1
			if _, why := b.build(try); why == nil {
				*p = try
				return true
			}
		}
	}
	return pass == 2 && b.decideAhead(p)
}

// fillPart adds as much of one step as fits: of an operation that may stop midway, in
// whole units, at least ten likely minutes of it.
func (b *tonightBook) fillPart(p *pick) bool {
	for i, n := range b.necks {
		if n.block != nil || p.closes[i] || p.part[i] > 0 || p.before[i] >= len(n.steps) {
			continue
		}
		s := n.steps[p.before[i]]
		if s.gate != nil || s.closes || s.safe <= 0 || s.operation.NoStop || s.operation.Decide || s.operation.CureMin > 0 || s.q < 2 || slices.Contains(p.decides[i], p.before[i]) {
			continue
		}
		step := math.Max(1, math.Floor(s.q/20))
		for q := math.Ceil(s.q) - step; q >= 1; q -= step {
			try := p.clone()
			try.before[i]++
			try.part[i] = q
			if likely, _, _, _ := b.t.minutes(s.operation.Name, q, s.difficulty, 0); likely < 10 {
				break
			}
			if _, why := b.build(try); why == nil {
				*p = try
				return true
			}
		}
	}
	return false
}

// decideAhead adds a decision that stands further down a route: deciding waits
// for nothing.
func (b *tonightBook) decideAhead(p *pick) bool {
	for i, n := range b.necks {
		if n.block != nil && !n.curing {
			continue
		}
		from := p.before[i]
		if p.closes[i] {
			from++
		}
		for k := from; k < len(n.steps); k++ {
			s := n.steps[k]
			if !s.operation.Decide || s.gate != nil || s.safe <= 0 || slices.Contains(p.decides[i], k) {
				continue
			}
			try := p.clone()
			try.decides[i] = append(try.decides[i], k)
			if _, why := b.build(try); why == nil {
				*p = try
				return true
			}
		}
	}
	return false
}

func sameLines(a, b []TonightLine) bool {
	return slices.EqualFunc(a, b, func(x, y TonightLine) bool { return x.Operation == y.Operation && slices.Equal(x.Necks, y.Necks) })
}
