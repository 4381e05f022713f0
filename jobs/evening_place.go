package jobs

import (
	"fmt"
	"slices"
	"time"
)

// CardWork is an item of work with its instants. Spent work has From and To
// alike.
type CardWork struct {
	CardItem
	From, To time.Time
	Away     []Span
}

// longestStep is how far apart two times of one card may be. A larger step
// back is taken as a slip of the pen. Common practice, no source.
const longestStep = 12 * time.Hour

// PlaceCard gives the items of a card their instants. Times run on: one that
// is not after the one before it is on the next day, when that is at most
// twelve hours on. The first belongs to the evening, so one before turn is
// after midnight. offset chooses in an hour that clocks repeat, unless the item
// says it itself or only one of the two is after the time before it. Nothing
// may be after now.
func PlaceCard(items []CardItem, day Day, zone *time.Location, turn Clock, offset string, now time.Time) ([]CardWork, error) {
	p := placer{day: day, zone: zone, turn: turn, offset: offset, now: now, open: -1}
	for _, it := range items {
		if err := p.item(it); err != nil {
			return nil, err
		}
	}
	if p.open >= 0 {
		return nil, &FieldError{"evening", p.out[p.open].Text, "an end, such as 2115 end"}
	}
	first := p.first
	if first.IsZero() {
		at, err := WallTime(day, 12*60, zone, "")
		if err != nil {
			return nil, err
		}
		if first = at; first.After(now) {
			first = now
		}
	}
	for i := range p.out {
		if p.out[i].Spent > 0 {
			p.out[i].From, p.out[i].To = first, first
		}
	}
	return p.out, nil
}

type placer struct {
	day    Day
	zone   *time.Location
	turn   Clock
	offset string
	now    time.Time

	out   []CardWork
	first time.Time
	last  time.Time // newest time on the card so far
	open  int       // index of the work that runs; -1: none
}

func (p *placer) item(it CardItem) error {
	if it.Spent > 0 {
		p.out = append(p.out, CardWork{CardItem: it})
		return nil
	}
	at, err := p.at(it.At, it)
	if err != nil {
		return err
	}
	switch it.Word {
	case "away", "back":
		return p.pause(it, at)
	case "end":
		if p.open < 0 {
			return &FieldError{"item", it.Text, "work before its end"}
		}
		return p.close(at)
	}
	if err := p.close(at); err != nil {
		return err
	}
	p.out = append(p.out, CardWork{CardItem: it, From: at})
	p.open = len(p.out) - 1
	if it.Until.Set {
		until, err := p.at(it.Until, it)
		if err != nil {
			return err
		}
		return p.close(until)
	}
	return nil
}

func (p *placer) pause(it CardItem, at time.Time) error {
	if p.open < 0 {
		return &FieldError{"item", it.Text, "work before it to interrupt"}
	}
	w := &p.out[p.open]
	n := len(w.Away)
	gone := n > 0 && w.Away[n-1].To == nil
	switch {
	case it.Word == "away" && gone:
		return &FieldError{"item", it.Text, "back before another away"}
	case it.Word == "back" && !gone:
		return &FieldError{"item", it.Text, "away before it"}
	case gone:
		w.Away[n-1].To = &at
	default:
		w.Away = append(w.Away, Span{From: at})
	}
	return nil
}

// close ends the running work at an instant; work left while away ended when
// the builder went.
func (p *placer) close(at time.Time) error {
	if p.open < 0 {
		return nil
	}
	w := &p.out[p.open]
	if n := len(w.Away); n > 0 && w.Away[n-1].To == nil {
		at = w.Away[n-1].From
		w.Away = slices.Clone(w.Away[:n-1])
	}
	w.To = at
	p.open = -1
	return nil
}

// at resolves a time as written to an instant after the last one.
func (p *placer) at(t CardTime, it CardItem) (time.Time, error) {
	offset := t.Offset
	if offset == "" {
		offset = p.offset
	}
	if p.last.IsZero() {
		day := p.day
		if t.Clock < p.turn {
			day = day.Add(1)
		}
		at, err := WallTime(day, t.Clock, p.zone, offset)
		if err != nil {
			return at, p.named(err, it)
		}
		p.first = at
		return p.took(at, it)
	}
	at, err := NextWall(p.last, t.Clock, p.zone, offset)
	if err != nil {
		return at, p.named(err, it)
	}
	if at.Sub(p.last) > longestStep {
		return at, &FieldError{"time", it.Text, "a time after " + p.last.In(p.zone).Format("15:04") + ", the time before it"}
	}
	return p.took(at, it)
}

func (p *placer) took(at time.Time, it CardItem) (time.Time, error) {
	if at.After(p.now) {
		return at, &FieldError{"time", it.Text, "a time that has been: it is " + p.now.In(p.zone).Format("2006-01-02 15:04")}
	}
	p.last = at
	return at, nil
}

// named puts the item into an error about one of its times, and keeps the
// question about a repeated hour as it is.
func (p *placer) named(err error, it CardItem) error {
	if fe, ok := err.(*FieldError); ok {
		return &FieldError{fe.Field, fe.Value + " in " + it.Text, fe.Want}
	}
	return err
}

// NextWall gives the first instant after a given one at which the shop's clock
// shows c. In an hour that clocks repeat it asks (*RepeatedHourError) unless
// offset chooses or only the later of the two is after it; a time that clocks
// skip that night is refused.
func NextWall(after time.Time, c Clock, zone *time.Location, offset string) (time.Time, error) {
	day := DayOf(after.In(zone))
	wall := c % (24 * 60)
	for n := 0; n < 3; n++ {
		at, err := WallTime(day.Add(n), wall, zone, offset)
		var twice *RepeatedHourError
		if again, ok := err.(*RepeatedHourError); ok {
			twice = again
		}
		switch {
		case twice != nil && twice.First.After(after):
			return at, err
		case twice != nil && twice.Later.After(after):
			return twice.Later.UTC(), nil
		case twice != nil:
		case err != nil:
			// Skipped that night: it was meant only if it would have come next.
			before := Clock(after.In(zone).Hour()*60 + after.In(zone).Minute())
			if n > 0 || wall > before {
				return at, err
			}
		case at.After(after):
			return at, nil
		}
	}
	return time.Time{}, &FieldError{"time", c.String(), fmt.Sprintf("a time after %s", after.In(zone).Format("15:04"))}
}
