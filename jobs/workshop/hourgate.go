package workshop

import (
	"fmt"
	"time"

	"bookmatch/jobs"
)

// hourGate stops a noisy step in quiet hours, and a machine when hands are
// tired: after the planned end of the evening or some hours at the bench. Other
// work is only reported of tired hands.
func (b *Book) hourGate(o jobs.Operation, states []jobs.NeckState, anyway string) error {
	if b.asked.At != nil {
		return nil // it is logged late
	}
	day := b.Tonight()
	names := jobs.NeckNames(states)
	if o.Noise && anyway == "" && b.Shop.QuietAfter > 0 {
		quiet, err := b.quietAt(day)
		if err == nil && !b.Now.Before(quiet) {
			typed := []string{}
			if v, ok := b.quietStep(states); ok {
				typed = append(typed, "on "+v+" "+names)
			}
			r := jobs.Refuse("quiet", "noise ends at "+b.Shop.QuietAfter.String(), append(typed, fmt.Sprintf("on %s %s --anyway \"neighbours away\"", o.Name, names))...)
			r.Anyway = true
			return r
		}
	}
	tired, err := b.tired(day)
	if err != nil || tired == "" {
		return err
	}
	if !o.Machine {
		if !o.Decide {
			b.Warnf("tired", "%s: tired hands. Glue, draw or stop. No machine.", tired)
		}
		return nil
	}
	if anyway != "" {
		return nil
	}
	r := jobs.Refuse("tired", tired+": tired hands. Glue, draw or stop, no machine", fmt.Sprintf("on %s %s --anyway \"one cut only\"", o.Name, names))
	r.Anyway = true
	return r
}

// quietAt is when quiet hours of an evening begin.
func (b *Book) quietAt(day jobs.Day) (time.Time, error) {
	if b.Shop.QuietAfter < b.Shop.DayEnds {
		day = day.Add(1) // after midnight
	}
	return jobs.WallTime(day, b.Shop.QuietAfter, b.Shop.Location(), "")
}

// quietStep names a step without noise that could begin on the first neck.
func (b *Book) quietStep(states []jobs.NeckState) (string, bool) {
	for _, v := range states[0].Steps {
		o := b.Operations[v.Operation]
		if v.State == jobs.Ready && !o.Noise && !o.Decide {
			return v.Operation, true
		}
	}
	return "", false
}

// tired says why hands are tired: "22:40, 3 h 10 in". Empty: they are not.
func (b *Book) tired(day jobs.Day) (string, error) {
	if b.Shop.TiredAfterH <= 0 {
		return "", nil
	}
	began, err := b.eveningBegan(b.Now)
	if err != nil {
		return "", err
	}
	in := b.Now.Sub(began)
	late := in > time.Duration(b.Shop.TiredAfterH*float64(time.Hour))
	if slot, ok := b.Shop.SlotOn(day); ok {
		from, err := jobs.WallTime(day, slot.From, b.Shop.Location(), "")
		late = late || err == nil && b.Now.After(from.Add(time.Duration(slot.Minutes())*time.Minute))
	}
	if !late {
		return "", nil
	}
	return fmt.Sprintf("%s, %d h %02d in", b.Clock(b.Now), int(in.Hours()), int(in.Minutes())%60), nil
}
