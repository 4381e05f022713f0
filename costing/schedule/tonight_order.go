package schedule

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"bookmatch/jobs"
)

// farDays stands for the date of a neck that has none: it comes behind those
// with a date that presses, before those with one far off. Judgement.
const farDays = 60

// leverage says how much of the calendar hangs on a neck: the days to its date
// less the days that its remaining chain takes. The chain takes an evening for
// every over-night cure, or as many evenings as its mean hours fill with the
// un-logged time of the shop, whichever is more, at the evenings planned a week.
func (t Tonight) leverage(n *tonightNeck, neck jobs.Neck) {
	cures, days, hours := 0, 0.0, 0.0
	for _, s := range n.steps {
		hours += s.avg / 60
		if s.closes {
			cures++
			days += math.Max(1, math.Ceil(s.operation.CureMin/(24*60)))
		}
	}
	n.hours = math.Round(hours*100) / 100
	perWeek, length := 0.0, 0.0
	for _, slot := range t.Shop.Evenings {
		perWeek++
		length += float64(slot.Minutes()) / 60
	}
	if perWeek == 0 {
		perWeek, length = 3, 3*2.25 // judgement, until evenings are set up
	}
	evenings := math.Max(days, math.Ceil(hours*math.Max(t.Unlogged.Factor, 1)/(length/perWeek)))
	chain := math.Ceil(evenings * 7 / perWeek)
	word := "cures"
	if cures == 1 {
		word = "cure"
	}
	n.leverage = fmt.Sprintf("%d over-night %s, about %.1f h (mean) left", cures, word, hours)
	if neck.Due == "" {
		n.order = farDays - chain
		return
	}
	n.order = float64(t.Shop.Evening(t.Now).DaysTo(neck.Due)) - chain
	n.leverage += fmt.Sprintf(", due %s: ", neck.Due)
	switch {
	case n.order < 0:
		n.leverage += fmt.Sprintf("%.0f days short", -n.order)
	default:
		n.leverage += fmt.Sprintf("%.0f days in hand", n.order)
	}
}

// byLeverage orders necks: least slack or longest chain first, then the most
// hours left, then by code.
func byLeverage(ns []tonightNeck) {
	slices.SortStableFunc(ns, func(a, b tonightNeck) int {
		return cmp.Or(cmp.Compare(a.order, b.order), cmp.Compare(b.hours, a.hours), cmp.Compare(a.code, b.code))
	})
}

// clampsFree counts the sets of clamps that are free from now on, and says when
// the next come free.
func (t Tonight) clamps() (free int, next *Gate) {
	free = t.Shop.Clamps
	held := 0
	for _, n := range t.Necks {
		for _, v := range n.State.Steps {
			k := t.Operations[jobs.PresentName(v.Operation, t.Operations)]
			if k.Clamps == 0 || v.FreeAt == nil || !v.FreeAt.After(t.start()) || v.DoneAt == nil {
				continue
			}
			free -= k.Clamps
			held += k.Clamps
			if next == nil || v.FreeAt.Before(*next.Lifts) {
				at := *v.FreeAt
				next = &Gate{Lifts: &at}
			}
		}
	}
	if next != nil {
		next.Reason = fmt.Sprintf("clamps: %d of %d sets are held", held, t.Shop.Clamps)
	}
	return max(free, 0), next
}

// film names a film that is open in the shop now: dust would spoil it.
func (t Tonight) wet() *Gate {
	var open *Gate
	for _, n := range t.Necks {
		for _, v := range n.State.Steps {
			k := t.Operations[jobs.PresentName(v.Operation, t.Operations)]
			if k.Wet && v.State == jobs.Curing && v.ReadyAt != nil && (open == nil || v.ReadyAt.After(*open.Lifts)) {
				at := *v.ReadyAt
				open = &Gate{fmt.Sprintf("dust: the %s on %s is open until %s", v.Operation, n.State.Neck.Name(), t.Shop.WhenFrom(at, t.Now)), &at}
			}
		}
	}
	return open
}
