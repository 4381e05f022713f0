package main

import (
	"fmt"
	"math"
	"path/filepath"

	"bookmatch/cmd/words"
	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
)

// work plays one session; false ends the evening.
func (s *story) work(k jobs.Operation, necks []jobs.NeckState, left float64) bool {
	p := s.p
	if k.Name == "freeze-plan" { // the record does it
		for _, st := range necks {
			p.must("layout", "freeze", st.Neck.Nickname)
		}
		s.pass(2)
		return p.err == nil
	}
	names, q := "", 0.0
	for i, st := range necks {
		v, _ := st.Next()
		if i > 0 {
			names += "+"
		}
		names += st.Neck.Nickname
		q += v.Quantity - v.Counted
	}
	if _, ok := s.pace[k.Name]; !ok {
		s.pace[k.Name] = 1.12 * math.Exp(0.22*s.rng.NormFloat64())
	}
	minutes := k.StandardMin(q) * s.pace[k.Name] * math.Exp(0.27*s.rng.NormFloat64())
	if k.Decide && s.rng.Float64() < 0.5 {
		p.must("spent", fmt.Sprint(math.Max(10, math.Round(minutes/5)*5)), k.Name, names)
		return true
	}
	p.must(s.start(k, names)...)
	switch {
	case s.rng.Float64() < 0.012 && !k.NoStop: // left on over night
		s.forgot = true
		return false
	case minutes > left && !k.NoStop:
		s.pass(math.Max(5, left))
		p.must("off")
		return false
	}
	if s.rng.Float64() < 0.05 && minutes > 20 {
		s.pass(minutes / 2)
		p.must("away")
		s.pass(6 + 10*s.rng.Float64())
		p.must("back")
		minutes /= 2
	}
	s.pass(math.Max(2, minutes))
	s.finish(k, necks)
	return true
}

// start gives the words that begin a session. A bit that the tool would not
// take any more goes to the general set first, and a new one comes in.
func (s *story) start(k jobs.Operation, names string) []string {
	w := []string{"on", k.Name, names}
	if k.Drills != jobs.DrillsPosts || s.p.err != nil {
		return w
	}
	if s.p.say(w...) == words.ExitConflict {
		s.newBit("swapped")
		return w
	}
	s.p.must("oops")
	return w
}

func (s *story) newBit(why string) {
	s.p.must("bit", "move", s.bit(), "--to", "general", "--why", why)
	s.bits++
	s.p.must("bit", "add", s.bit(), "--diameter", "10", "--point", "brad", "--keep", "show", "--price", "14.00", "--life", "2.0m", "--new-edge", "14.00")
	s.life[s.bit()] = 2.1 * math.Pow(-math.Log(1-s.rng.Float64()), 1/2.5)
}

func (s *story) bit() string { return fmt.Sprintf("S10-%d", s.bits) }

// finish says done, with a grade where holes were drilled.
func (s *story) finish(k jobs.Operation, necks []jobs.NeckState) {
	p := s.p
	w := []string{"done"}
	if k.Drills == jobs.DrillsPosts {
		grade := 0
		if s.worn(s.bit()) {
			grade = 2
		} else if s.operations != nil && necks[0].Neck.Veneer == "rosewood" && s.rng.Float64() < 0.3 {
			grade = 1 // what an open-pored face gives even a sharp bit
		}
		w = append(w, "--grade", fmt.Sprint(grade), "--backing", "tight")
		p.must(w...)
		if grade == 2 {
			s.newBit("dull")
			s.again(k, necks, "bit")
		}
		return
	}
	p.must(w...)
	if k.ReworkChance > 0 && s.rng.Float64() < 2*k.ReworkChance && !gluing(k) {
		s.again(k, necks, "wood")
	}
}

// again is rework on the first neck of a session. What a dull bit did is repaired,
// other work is done once more.
func (s *story) again(k jobs.Operation, necks []jobs.NeckState, cause string) {
	s.pass(3)
	operation := k.Name
	if cause == "bit" {
		operation = "repair"
	}
	s.p.must("on", operation, necks[0].Neck.Nickname, "--rework", cause, "--anyway", "repair")
	s.pass(15 + 30*s.rng.Float64())
	s.p.must("off")
}

// worn says whether a bit has passed its hidden life.
func (s *story) worn(code string) bool {
	worn := false
	err := s.p.env.Shop.Read(s.p.now, func(tx *workshop.Book) error {
		book, err := tx.BitBook(code)
		if l, ok := book.Life(code); ok {
			worn = l.WearM > s.life[code]
		}
		return err
	})
	if err != nil && s.p.err == nil {
		s.p.err = err
	}
	return worn
}

// plan solves the layout of a neck from the spec of its shape.
func (s *story) plan(n jobs.Neck) {
	for _, sn := range storyNecks {
		if sn.code != n.Code {
			continue
		}
		mode := map[string]string{"six-in-line.toml": "even-pitch", "three-three.toml": "even-pitch", "four-two.toml": "balanced"}[sn.spec]
		s.p.must("layout", "solve", n.Nickname, "--spec", filepath.Join(s.p.dir, sn.spec), "--mode", mode)
	}
}

// close leaves the desk as the demo shows it: two quotes.
func (s *story) close() {
	p := s.p
	p.must("spent", "25", "repair", "teal", "--rework", "wood", "--payer", "shop", "--on", "2026-05-21", "--note", "a dent behind the nut, steamed out")
	p.must("neck", "note", "finch", "two voids at the fifth fret, filled with dust and thin glue")
	p.must("neck", "set", "curlew", "--title", "six in line, walnut face, satin")
	p.must("piece", "add", "V1", "--wood", "walnut", "--thickness", "1/32in", "--length", "8 1/2in", "--width", "3 3/8in", "--price", "4.00")
	p.must("quote", "draft", "Q4", "--title", "six in line, 25 1/2 in scale", "--spec", "nut 1 11/16 in wide, face 5/8 in thick", "--spec", "six post holes of 25/64 in", "--route", "headstock", "--for", "S. Wickenden", "--quantity", "holes=6", "--margin", "25", "--wood", "hard-maple", "--part", "tuners=62.50", "--layout", "kite")
	p.must("quote", "send", "Q4")
	p.must("quote", "draft", "Q5", "--route", "headstock", "--for", "R. Thistlewood", "--quantity", "inlay=14", "--quantity", "holes=6", "--quantity", "coats=3", "--margin", "25", "--wood", "hard-maple", "--part", "tuners=84.00", "--due", "2027-03-31", "--layout", "finch")
	p.must("customer", "set", "S. Wickenden", "--address", "Alder Court 15, 00418 Upper Marsh")
	p.must("customer", "set", "R. Thistlewood", "--address", "Heron Street 2, second floor, 00418 Upper Marsh")
	p.must("customer", "set", "B. Ellingford-Pratt", "--address", "Mill House, 00421 Sedge Bank")
}
