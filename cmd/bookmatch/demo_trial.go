package main

import (
	"fmt"
	"path/filepath"
	"strconv"
	"strings"

	"bookmatch/jobs"
)

// trial is what the workshop tries next to its necks, on days without an evening
// of their own: a scrap blank, an operation and a wax of its own. Nothing of it
// counts in the times and prices of the others.
func (s *story) trial(day jobs.Day) {
	switch day {
	case "2025-08-05":
		s.prepareTrial()
	case "2025-08-06":
		s.tryLayout()
	case "2025-08-07":
		s.tryWax()
	case "2025-08-12":
		s.endTrial()
	}
}

// prepareTrial adds the blank, its route and what it is made of.
func (s *story) prepareTrial() {
	p := s.p
	p.must("wood", "set", "hornbeam", "--new", "--abrasion", "1.1", "--title", "hornbeam, from the hedge")
	p.must("operation", "add", "wax-rub", "--title", "rub in wax", "--setup", "6", "--run", "4", "--per", "coats", "--place", "light", "--resume", "any", "--caution", "Waxed rags can heat up by themselves: dry them flat, outside.")
	p.must("operation", "set", "wax-rub", "--setup", "5")
	p.must("route", "set", "trial", "--title", "a blank to try things on", "--steps", "flush-sand")
	p.must("route", "add", "trial", "wax-rub", "--after", "flush-sand")
	p.must("neck", "add", "T1", "--nickname", "pipit", "--title", "trial blank with a waxed face", "--route", "trial", "--wood", "hornbeam")
	p.must("neck", "step", "pipit", "flush-sand", "--skip", "planed by hand")
	p.must("piece", "add", "W1", "--wood", "walnut", "--thickness", "0.9", "--length", "230", "--width", "94", "--price", "5.50")
	p.must("piece", "set", "W1", "--thickness", "0.8", "--note", "thinner at one end")
	p.must("piece", "use", "W1", "pipit")
	p.must("piece", "offcut", "W1", "W2", "--length", "80", "--width", "94", "--value", "1.20")
	p.must("part", "add", "pipit", "tuners, second-hand", "--price", "21.00")
	p.must("part", "add", "pipit", "bushings", "--price", "4.40")
	p.must("part", "freight", "5.80", s.part(1)+","+s.part(2))
	p.must("part", "drop", s.part(2))
	s.parts += 2
}

// tryLayout places a post by hand and pricks the holes of the plan.
func (s *story) tryLayout() {
	p := s.p
	spec := filepath.Join(p.dir, "trial.toml")
	p.must("layout", "begin", "pipit", "--posts", "6+0", "--nut-width", "42mm", "--hole", "8mm", "--width", "0=43mm", "--width", "24=77mm", "--width", "185=52mm", "--gauges", "10-46", "--out", spec, "--force")
	p.must("layout", "solve", "pipit", "--spec", spec, "--mode", "even-pitch")
	p.must("layout", "move", "pipit", "2=66.5")
	p.must("layout", "freeze", "pipit")
	p.must("bit", "test", "G3-1", "--wood", "hornbeam", "--grade", "fuzz", "--note", "a waste of a test: it was blunt")
	p.must("bit", "sharpen", "G3-1", "--why", "dull")
	p.must("neck", "hold", "pipit", "--why", "the wax is not here yet")
}

// tryWax works on the blank: by the clock, from a card, and with a slip or two.
func (s *story) tryWax() {
	p := s.p
	p.must("supply", "add", "face-wax", "--unit", "g", "--open-life-days", "900")
	p.must("supply", "set", "face-wax", "--label", "thin coats, a day between them")
	p.must("supply", "receive", "face-wax", "200", "--price", "9.00")
	p.must("supply", "receive", "face-wax", "100", "--price", "6.00")
	p.must("supply", "open", "face-wax")
	p.must("neck", "resume", "pipit")
	s.at("2025-08-07", 19*60)
	p.must("on", "wax-rub", "pipit")
	s.pass(5)
	p.must("go")
	s.pass(11)
	p.must("off", "first coat, too thick")
	p.must("entry", "amend", "last", "--note", "first coat, wiped off again", "--why", "what became of it")
	p.must("supply", "use", "face-wax", "40", "--neck", "pipit")
	p.must("supply", "amend", "use", p.use(), "--quantity", "14", "--why", "weighed the tin again")
	p.must("supply", "use", "face-wax", "4", "--neck", "pipit")
	p.must("supply", "drop", "use", p.use())
	p.must("supply", "offcut", "face-wax", "3", "--neck", "pipit")
	p.must("supply", "write-off", "face-wax", "20", "--why", "dust in it")
	p.must("spent", "10", "wax-rub", "wren")
	p.must("entry", "move", "last", "--to-neck", "pipit", "--why", "the wrong neck")
	p.must("spent", "10", "wax-rub", "pipit")
	p.must("entry", "drop", "last", "--why", "logged twice")
}

// endTrial enters the last evening from its card and gives the blank up.
func (s *story) endTrial() {
	p := s.p
	p.must("evening", "enter", "2025-08-11", "1930 wax-rub pipit, 1955 end")
	p.must("neck", "scrap", "pipit", "--why", "the wax stays soft on this wood")
}

// use is the number of the use that was logged last.
func (p *player) use() string {
	var n string
	if _, err := fmt.Sscanf(p.out.String(), "LOGGED use %s", &n); err != nil && p.err == nil {
		p.err = fmt.Errorf("demo: no number of a use in %q", p.out.String())
	}
	return strings.TrimSuffix(n, ":")
}

// part is the number of the nth part that is added next.
func (s *story) part(n int) string { return strconv.Itoa(s.parts + n) }
