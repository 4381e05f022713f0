package main

import (
	"time"

	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
)

// evening plays one evening: work that is ready, the glue-up last.
func (s *story) evening(day jobs.Day) {
	s.at(day, 19*60+30+s.rng.IntN(14))
	end := s.p.now.Add(time.Duration(115+s.rng.IntN(40)) * time.Minute)
	for turns := 0; turns < 12 && s.p.err == nil; turns++ {
		left := end.Sub(s.p.now).Minutes()
		if left < 12 {
			break
		}
		states := s.states()
		s.rng.Shuffle(len(states), func(i, j int) { states[i], states[j] = states[j], states[i] })
		operation, necks, ok := s.choose(states, left)
		if !ok {
			break
		}
		if !s.work(operation, necks, left) {
			break
		}
		s.pass(2 + 7*s.rng.Float64())
	}
	for _, st := range s.states() {
		if _, open := st.Next(); !open && len(st.Steps) > 0 {
			s.handOver(st.Neck)
		}
	}
}

// handOver finishes a neck. Half of those made for stock are sold, with a deposit
// and the rest, the others are kept.
func (s *story) handOver(n jobs.Neck) {
	w := []string{"neck", "finish", n.Nickname}
	if n.Nickname == "tern" {
		s.tie(n)
		s.p.must(w...)
		return
	}
	switch price := []string{"690.00", "", "745.00"}[len(n.Title)%3]; {
	case n.Quote != "":
	case n.Customer != "", price != "":
		if price == "" {
			price = "820.00"
		}
		s.p.must("neck", "pay", n.Nickname, "200.00", "deposit")
		s.p.must(append(w, "--price", price)...)
		return
	default:
		w = append(w, "--keep")
	}
	s.p.must(w...)
}

// tie quotes a neck that was made for stock to a customer who saw it.
func (s *story) tie(n jobs.Neck) {
	p := s.p
	p.must("quote", "draft", "Q-"+n.Nickname, "--title", n.Title, "--route", "headstock", "--for", "H. Wethersome", "--quantity", "holes=6", "--quantity", "coats=6", "--margin", "20", "--wood", "hard-maple")
	p.must("quote", "send", "Q-"+n.Nickname)
	p.must("quote", "accept", "Q-"+n.Nickname, "--neck", n.Nickname, "--deposit-on", string(jobs.DayOf(p.now)))
}

// states derives the open necks at the story's hour.
func (s *story) states() []jobs.NeckState {
	var out []jobs.NeckState
	err := s.p.env.Shop.Read(s.p.now, func(b *workshop.Book) (err error) {
		s.shop, s.operations = b.Shop, b.Operations
		out, err = b.OpenNecks()
		return err
	})
	if err != nil && s.p.err == nil {
		s.p.err = err
	}
	return out
}

func gluing(k jobs.Operation) bool { return k.CureMin >= 8*60 }

// choose takes the next ready step: glue-ups wait for the end of the evening,
// noise stops at the quiet hours, the same operation on two necks is one session.
func (s *story) choose(states []jobs.NeckState, left float64) (jobs.Operation, []jobs.NeckState, bool) {
	hour := s.p.now.In(s.zone)
	late := jobs.Clock(hour.Hour()*60+hour.Minute()) >= s.shop.QuietAfter-10
	pick := func(closing bool) (jobs.Operation, []jobs.NeckState, bool) {
		for i, st := range states {
			v, ok := st.Next()
			if !ok || (v.State != jobs.Ready && v.State != jobs.Started) || (v.ReadyAt != nil && v.ReadyAt.After(s.p.now)) {
				continue
			}
			k := s.operations[v.Operation]
			if gluing(k) != closing || (k.Noise && late) || (k.NoStop && k.StandardMin(v.Quantity)*1.3 > left+10) {
				continue
			}
			necks := []jobs.NeckState{st}
			for _, other := range states[i+1:] {
				if w, ok := other.Next(); ok && w.Operation == v.Operation && w.State == jobs.Ready && w.ReadyAt == nil && k.Noise && k.StandardMin(v.Quantity+w.Quantity)*1.4 < left {
					necks = append(necks, other)
				}
			}
			return k, necks, true
		}
		return jobs.Operation{}, nil, false
	}
	if left > 45 {
		if k, n, ok := pick(false); ok {
			return k, n, true
		}
	}
	if k, n, ok := pick(true); ok {
		return k, n, true
	}
	return pick(false)
}
