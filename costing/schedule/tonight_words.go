package schedule

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"bookmatch/jobs"
)

// reasons writes why each line stands where it does.
func (b *tonightBook) reasons(lines []TonightLine, p pick) []TonightLine {
	for i := range lines {
		l := &lines[i]
		k := b.t.Operations[l.Operation]
		var why []string
		if l.Closes {
			why = append(why, "last: "+b.closingWhy(*l))
		}
		for j, n := range b.necks {
			if p.closes[j] && !l.Closes && slices.Contains(l.Necks, n.code) {
				why = append(why, fmt.Sprintf("makes %s on %s possible tonight", n.steps[p.before[j]].operation.Name, n.name))
			}
		}
		if len(why) == 0 {
			switch {
			case k.Decide:
				why = append(why, b.decideWhy(*l))
			case k.Noise && !b.quietAfter.IsZero():
				why = append(why, "ready, and noisy: before "+b.t.Shop.QuietAfter.String())
			case !b.quietAfter.IsZero() && l.EndsBy.After(b.quietAfter):
				why = append(why, "ready, and quiet: allowed after "+b.t.Shop.QuietAfter.String())
			default:
				why = append(why, "ready, next on "+strings.Join(l.Names, " and "))
			}
		}
		if l.Part {
			why = append(why, fmt.Sprintf("as far as it goes: %g of %g %s; the rest takes a setup again", l.Quantity, l.of, units(k)))
		}
		if n := len(l.Necks); n > 1 && k.SetupMin > 0 {
			why = append(why, fmt.Sprintf("one setup for %d necks saves about %.0f min", n, float64(n-1)*k.SetupMin*b.pace(l)))
		}
		l.Why = strings.Join(why, "; ")
	}
	return lines
}

func (b *tonightBook) pace(l *TonightLine) float64 {
	if p := b.t.Estimate(l.Operation, l.Quantity).Pace; p > 0 {
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
			x.Operation = n.steps[0].operation.Name
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
		return Gate{"no time is known for it: give the operation a standard", nil}
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
		if s.operation.Dust && p.closes[j] && n.steps[p.before[j]].operation.Wet {
			return Gate{fmt.Sprintf("dust: the evening ends with %s on %s", n.steps[p.before[j]].operation.Name, n.name), b.visit()}
		}
	}
	_, why := b.build(p)
	switch {
	case why == nil:
		return Gate{"time", b.visit()}
	case strings.HasPrefix(why.Reason, "clamps"):
		return Gate{"clamps: the plan takes the free sets", b.visit()}
	case strings.HasPrefix(why.Reason, "time"):
		return Gate{fmt.Sprintf("time: %.0f min to be safe, too many with the plan", math.Ceil(s.safe)), b.visit()}
	case strings.HasPrefix(why.Reason, "noise") && !s.operation.Noise:
		return Gate{"it would push noisy work of the plan past the quiet hour " + b.t.Shop.QuietAfter.String(), b.visit()}
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
			long := math.Ceil(s.safe) > shortMin && !(s.operation.Decide && s.likely <= 2*shortMin)
			if s.gate != nil || s.safe <= 0 || long || (!first && !s.operation.Decide) {
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
			if _, why := b.build(p); why != nil && !s.operation.Decide {
				continue
			}
			line := ShortLine{s.operation.Name + " " + n.name, math.Ceil(s.safe), n.leverage}
			switch {
			case s.operation.Decide:
				line.Why = fmt.Sprintf("%d steps wait for it; it can be broken off", s.behind)
			case s.closes:
				line.Why = "starts a cure: a day gained"
			}
			if s.closes || s.operation.Decide {
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
	all := mean * math.Max(b.t.Unlogged.Factor, 1)
	have := out.Until.Sub(out.From).Minutes()
	out.Notes = append(out.Notes, fmt.Sprintf("about %.0f min of work on average, %.0f with unlogged time (x %.2f), of the %.0f min there are", mean, all, math.Max(b.t.Unlogged.Factor, 1), have))
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

// units is the plural of an operation's unit.
func units(k jobs.Operation) string {
	if u := k.Unit(); !strings.HasPrefix(u, "cm") {
		return u + "s"
	}
	return k.Unit()
}
