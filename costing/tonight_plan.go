package costing

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

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
	b.film = t.film()
	if t.Shop.Curfew > 0 {
		if at, err := jobs.WallTime(t.Shop.Evening(t.Now), t.Shop.Curfew, t.Shop.Location(), ""); err == nil {
			b.curfew = at
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

// fill adds one more step: in pass 0 such as share a kind with what is planned,
// in pass 1 any that is ready, in pass 2 decisions, also ahead of their turn.
func (b *tonightBook) fill(p *pick, pass int) bool {
	kinds := map[string]bool{}
	lines, _ := b.build(*p)
	left := b.t.Until.Sub(b.t.start()).Minutes()
	for _, l := range lines {
		kinds[l.Kind] = true
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
			if s.gate != nil || s.closes || s.safe <= 0 || tonightRank(s.kind) != rank || (pass == 0 && !kinds[s.kind.Name]) || (s.kind.Decide && pass != 2) {
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

// fillPart adds as much of one step as fits: of a kind that may stop midway, in
// whole units, at least ten likely minutes of it.
func (b *tonightBook) fillPart(p *pick) bool {
	for i, n := range b.necks {
		if n.block != nil || p.closes[i] || p.part[i] > 0 || p.before[i] >= len(n.steps) {
			continue
		}
		s := n.steps[p.before[i]]
		if s.gate != nil || s.closes || s.safe <= 0 || s.kind.OneGo || s.kind.Decide || s.kind.CureMin > 0 || s.q < 2 || slices.Contains(p.decides[i], p.before[i]) {
			continue
		}
		step := math.Max(1, math.Floor(s.q/20))
		for q := math.Ceil(s.q) - step; q >= 1; q -= step {
			try := p.clone()
			try.before[i]++
			try.part[i] = q
			if likely, _, _, _ := b.t.minutes(s.kind.Name, q, s.difficulty, 0); likely < 10 {
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
			if !s.kind.Decide || s.gate != nil || s.safe <= 0 || slices.Contains(p.decides[i], k) {
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
	return slices.EqualFunc(a, b, func(x, y TonightLine) bool { return x.Kind == y.Kind && slices.Equal(x.Necks, y.Necks) })
}

// reasons writes why each line stands where it does.
func (b *tonightBook) reasons(lines []TonightLine, p pick) []TonightLine {
	for i := range lines {
		l := &lines[i]
		k := b.t.Kinds[l.Kind]
		var why []string
		if l.Closes {
			why = append(why, "last: "+b.closingWhy(*l))
		}
		for j, n := range b.necks {
			if p.closes[j] && !l.Closes && slices.Contains(l.Necks, n.code) {
				why = append(why, fmt.Sprintf("makes %s on %s possible tonight", n.steps[p.before[j]].kind.Name, n.name))
			}
		}
		if len(why) == 0 {
			switch {
			case k.Decide:
				why = append(why, b.decideWhy(*l))
			case k.Noise && !b.curfew.IsZero():
				why = append(why, "ready, and noisy: before "+b.t.Shop.Curfew.String())
			case !b.curfew.IsZero() && l.EndsBy.After(b.curfew):
				why = append(why, "ready, and quiet: allowed after "+b.t.Shop.Curfew.String())
			default:
				why = append(why, "ready, next on "+strings.Join(l.Names, " and "))
			}
		}
		if l.Part {
			why = append(why, fmt.Sprintf("as far as it goes: %g of %g %s; the rest takes a set-up again", l.Quantity, l.of, k.Driver))
		}
		if n := len(l.Necks); n > 1 && k.SetupMin > 0 {
			why = append(why, fmt.Sprintf("one set-up for %d necks saves about %.0f min", n, float64(n-1)*k.SetupMin*b.pace(l)))
		}
		l.Why = strings.Join(why, "; ")
	}
	return lines
}

func (b *tonightBook) pace(l *TonightLine) float64 {
	if p := b.t.Estimate(l.Kind, l.Quantity).Pace; p > 0 {
		return p
	}
	return 1
}

func (b *tonightBook) closingWhy(l TonightLine) string {
	var parts []string
	for _, code := range l.Necks {
		n := b.necks[b.index(code)]
		parts = append(parts, n.name+": "+n.leverage)
	}
	why := strings.Join(parts, "; ")
	why += "; cures until " + b.t.Shop.WhenFrom(*l.CureUntil, b.t.Now)
	if v := b.t.NextVisit; !v.IsZero() {
		if l.CureUntil.After(v) {
			why += ", after the next evening " + b.t.Shop.WhenFrom(v, b.t.Now)
		} else {
			why += ", free before the next evening " + b.t.Shop.WhenFrom(v, b.t.Now)
		}
	}
	return why + "; another evening is that much later"
}

func (b *tonightBook) decideWhy(l TonightLine) string {
	i := b.index(l.Necks[0])
	for _, s := range b.necks[i].steps {
		if s.no == l.steps[l.Necks[0]] && s.behind > 0 {
			return fmt.Sprintf("a decision that %d steps of %s wait for", s.behind, b.necks[i].name)
		}
	}
	return "a decision, needs no bench"
}

func (b *tonightBook) index(code string) int {
	return slices.IndexFunc(b.necks, func(n tonightNeck) bool { return n.code == code })
}

// blocked names every neck on which nothing is planned, with its first reason.
func (b *tonightBook) blocked(out *TonightPlan, p pick) {
	planned := map[string]bool{}
	for _, l := range out.Plan {
		for _, n := range l.Necks {
			planned[n] = true
		}
	}
	for i, n := range b.necks {
		if planned[n.code] {
			continue
		}
		if n.done && n.block == nil {
			out.Notes = append(out.Notes, fmt.Sprintf("%s has no step left: neck finish %s", n.name, n.name))
			continue
		}
		x := BlockedNeck{Neck: n.code, Name: n.name}
		if len(n.steps) > 0 {
			x.Kind = n.steps[0].kind.Name
		}
		g := b.firstReason(i, p.clone())
		x.Reason, x.LiftsAt = g.Reason, g.Lifts
		out.Blocked = append(out.Blocked, x)
	}
}

// firstReason says what stands against the next step of a neck; p is the plan
// chosen, of which it gets a copy.
func (b *tonightBook) firstReason(i int, p pick) Gate {
	n := b.necks[i]
	if n.block != nil {
		return *n.block
	}
	s := n.steps[0]
	if s.gate != nil {
		return *s.gate
	}
	if s.safe <= 0 {
		return Gate{"no time is known for it: give the kind a standard", nil}
	}
	alone := b.empty()
	if s.closes {
		alone.closes[i] = true
	} else {
		alone.before[i] = 1
	}
	if _, why := b.build(alone); why != nil {
		if n.avail.After(b.t.start()) {
			at := n.avail
			return Gate{"cure until " + b.t.Shop.WhenFrom(at, b.t.Now) + ", then " + why.Reason, &at}
		}
		return *why
	}
	// It could be done alone: what stands against it beside the plan?
	if s.closes {
		p.closes[i] = true
	} else {
		p.before[i] = 1
	}
	for j, n := range b.necks {
		if s.kind.Dust && p.closes[j] && n.steps[p.before[j]].kind.Film {
			return Gate{fmt.Sprintf("dust: the evening ends with %s on %s", n.steps[p.before[j]].kind.Name, n.name), b.visit()}
		}
	}
	_, why := b.build(p)
	switch {
	case why == nil:
		return Gate{"time", b.visit()}
	case strings.HasPrefix(why.Reason, "clamps"):
		return Gate{"clamps: the plan takes the free sets", b.visit()}
	case strings.HasPrefix(why.Reason, "time"):
		return Gate{fmt.Sprintf("time: %.0f min to be safe, too many beside the plan", math.Ceil(s.safe)), b.visit()}
	case strings.HasPrefix(why.Reason, "noise") && !s.kind.Noise:
		return Gate{"it would push noisy work of the plan past the curfew " + b.t.Shop.Curfew.String(), b.visit()}
	}
	return *why
}

// short gives what can be done in twenty minutes: decisions, a glue-up, small
// steps, errands.
func (b *tonightBook) short(out *TonightPlan) {
	for _, e := range b.t.Errands {
		out.Short = append(out.Short, ShortLine{e.Text, e.Minutes, e.Why})
	}
	var rest []ShortLine
	for i, n := range b.necks {
		if n.block != nil && !n.curing {
			continue
		}
		for k, s := range n.steps {
			first := k == 0 && n.block == nil && !n.avail.After(b.t.start())
			long := math.Ceil(s.safe) > shortMin && !(s.kind.Decide && s.likely <= 2*shortMin)
			if s.gate != nil || s.safe <= 0 || long || (!first && !s.kind.Decide) {
				continue
			}
			p := b.empty()
			switch {
			case !first:
				p.decides[i] = []int{k}
			case s.closes:
				p.closes[i] = true
			default:
				p.before[i] = 1
			}
			if _, why := b.build(p); why != nil && !s.kind.Decide {
				continue
			}
			line := ShortLine{s.kind.Name + " " + n.name, math.Ceil(s.safe), n.leverage}
			switch {
			case s.kind.Decide:
				line.Why = fmt.Sprintf("%d steps wait for it; it can be broken off", s.behind)
			case s.closes:
				line.Why = "starts a cure: a day gained"
			}
			if s.closes || s.kind.Decide {
				out.Short = append(out.Short, line)
			} else {
				rest = append(rest, line)
			}
		}
	}
	out.Short = append(out.Short, rest...)
	out.Short = out.Short[:min(len(out.Short), 5)]
}

// notes sums the plan up in means, which add.
func (b *tonightBook) notes(out *TonightPlan) {
	if len(out.Plan) == 0 {
		return
	}
	mean := 0.0
	for _, l := range out.Plan {
		mean += l.mean
	}
	all := mean * math.Max(b.t.Loose.Factor, 1)
	have := out.Until.Sub(out.From).Minutes()
	out.Notes = append(out.Notes, fmt.Sprintf("about %.0f min of work on average, %.0f with un-logged time (x %.2f), of the %.0f min there are", mean, all, math.Max(b.t.Loose.Factor, 1), have))
	for _, l := range out.Plan {
		if l.Closes && b.t.Shop.ColdBelowC > 0 {
			out.Notes = append(out.Notes, fmt.Sprintf("cures are by the defaults here and follow the product label; below %g C they take %g times as long", b.t.Shop.ColdBelowC, b.t.Shop.ColdFactor))
			break
		}
	}
	if last := out.Plan[len(out.Plan)-1]; last.EndsBy.Sub(out.From) > 5*time.Hour {
		out.Notes = append(out.Notes, "a long evening: late on, glue or stop, no machine")
	}
}
