package workshop

import (
	"slices"

	"bookmatch/costing/schedule"
	"bookmatch/jobs"
)

// NeckPromise is when a neck will be finished, behind those that are promised
// before it. SpareDays are the days from the safe date to the promised one. Below
// zero the promise is at risk.
type NeckPromise struct {
	Likely    jobs.Day `json:"likely"`
	Safe      jobs.Day `json:"safe"`
	SpareDays *int     `json:"spare_days,omitempty"`
}

// promises works out the dates of the whole queue in one walk. It reads the queue
// and the calendar once.
type promises struct {
	book *Book
	line []schedule.QueueNeck
	cal  schedule.Habits
	walk schedule.Question
	days *schedule.Walked // of the whole line, once it was asked for
}

func (b *Book) promises() (p *promises, err error) {
	p = &promises{book: b}
	if p.line, err = b.Queue(); err != nil {
		return p, err
	}
	p.cal, _, err = b.Calendar()
	return p, err
}

// of gives the date of one neck. Nil where the shop has no evenings, the neck is on
// hold, or nothing is left to do on it.
func (p *promises) of(n jobs.Neck) *NeckPromise {
	i := slices.IndexFunc(p.line, func(j schedule.QueueNeck) bool { return j.Name == n.Name() })
	if i < 0 || len(p.cal.Slots) == 0 {
		return nil
	}
	if p.days == nil {
		p.walk = schedule.Question{Now: p.book.Wall(p.book.Now), Own: p.line, Calendar: p.cal, Bench: p.book.bench()}
		w := p.walk.Walk()
		p.days = &w
	}
	likely, safe := p.walk.DatesOf(*p.days, i)
	if safe == "" {
		return nil
	}
	out := &NeckPromise{Likely: likely, Safe: safe}
	if n.Due != "" {
		days := safe.DaysTo(n.Due)
		out.SpareDays = &days
	}
	return out
}

func (b *Book) promiseOf(n jobs.Neck) (*NeckPromise, error) {
	p, err := b.promises()
	if err != nil {
		return nil, err
	}
	return p.of(n), nil
}

// likelyEnds gives the likely date of each open neck, by its code. A neck without a
// date is left out.
func (b *Book) likelyEnds() (map[string]jobs.Day, error) {
	if b.ends != nil {
		return b.ends, nil
	}
	p, err := b.promises()
	if err != nil {
		return nil, err
	}
	necks, err := b.NecksOf(jobs.Open)
	out := map[string]jobs.Day{}
	for _, n := range necks {
		if d := p.of(n); d != nil {
			out[n.Code] = d.Likely
		}
	}
	b.ends = out
	return out, err
}

// bench is what a walk must know of the room.
func (b *Book) bench() schedule.Bench {
	return schedule.Bench{ClampSets: b.Shop.Clamps, DustFreeRoom: b.Shop.DustFree}
}
