package main

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"time"

	"bookmatch/jobs"
)

// The story of the demo is invented from a fixed seed: names, birds for
// nicknames, times, grades, prices. It is played through the same words a user
// types.

var storyBegin = time.Date(2025, 5, 13, 16, 0, 0, 0, time.UTC)

// storyNeck is a neck of the story: when it comes in and what it asks for.
type storyNeck struct {
	code, nick, title, customer string
	day                         jobs.Day
	wood, veneer, route         string
	quantities                  []string
	spec                        string
	due                         jobs.Day
	quote                       string // made by accepting this quote, drafted three weeks before
}

var storyNecks = []storyNeck{
	{"N1", "wren", "six in line, plain maple", "", "2025-05-13", "hard-maple", "", "neck", nil, "six-in-line.toml", "", ""},
	{"N2", "lark", "six in line, walnut face", "", "2025-05-20", "hard-maple", "walnut", "headstock", nil, "six-in-line.toml", "", ""},
	{"N3", "teal", "three and three, oiled", "O. Vantrell", "2025-07-01", "mahogany", "rosewood", "headstock", []string{"coats=4"}, "three-three.toml", "2025-12-15", ""},
	{"N4", "rook", "six in line, small inlay", "M. Quillfeather", "2025-08-26", "hard-maple", "ebony", "headstock", []string{"inlay=5", "coats=3"}, "six-in-line.toml", "2026-01-31", ""},
	{"N5", "bunting", "four and two, plain", "", "2025-09-16", "walnut", "", "headstock", nil, "four-two.toml", "", ""},
	{"N6", "whinchat", "three and three, oiled", "T. Harrowby-Lisle", "2025-11-04", "mahogany", "rosewood", "headstock", []string{"coats=4"}, "three-three.toml", "2026-04-01", ""},
	{"N7", "kite", "six in line, maple", "", "2025-11-25", "hard-maple", "", "headstock", []string{"coats=6"}, "six-in-line.toml", "", ""},
	{"N8", "crane", "four and two, inlaid", "P. Ostrander-Vey", "2026-01-20", "hard-maple", "ebony", "headstock", []string{"inlay=9", "coats=3"}, "four-two.toml", "2026-06-30", ""},
	{"N9", "redstart", "three and three, practice piece", "", "2026-02-10", "mahogany", "", "headstock", nil, "three-three.toml", "", ""},
	{"N10", "plover", "six in line, oiled", "", "2026-03-31", "walnut", "", "neck", []string{"coats=3"}, "six-in-line.toml", "", ""},
	{"N11", "dunlin", "three and three, rosewood face", "C. Maddershaw", "2026-05-05", "mahogany", "rosewood", "headstock", []string{"coats=4"}, "three-three.toml", "2026-09-30", "Q1"},
	{"N12", "tern", "four and two, plain maple", "", "2026-06-09", "hard-maple", "", "headstock", []string{"coats=6"}, "four-two.toml", "", ""},
	{"N13", "avocet", "six in line, inlay and oil", "B. Ellingford-Pratt", "2026-08-18", "hard-maple", "ebony", "headstock", []string{"inlay=6", "coats=3"}, "six-in-line.toml", "2027-01-31", "Q2"},
	{"N14", "swift", "four and two, walnut face", "", "2026-09-29", "hard-maple", "walnut", "neck", []string{"coats=3"}, "four-two.toml", "", ""},
	{"N15", "finch", "six in line, inlaid border", "J. Corrigan-Thorne", "2026-10-20", "hard-maple", "ebony", "headstock", []string{"inlay=14", "coats=3"}, "six-in-line.toml", "2027-03-15", ""},
	{"N16", "siskin", "three and three, plain", "", "2026-11-17", "mahogany", "", "headstock", nil, "three-three.toml", "", ""},
	{"N17", "curlew", "six in line, walnut face", "D. Fennimore-Ash", "2026-11-12", "hard-maple", "walnut", "headstock", nil, "six-in-line.toml", "2027-02-28", ""},
}

type story struct {
	p          *player
	rng        *rand.Rand
	pace       map[string]float64
	life       map[string]float64 // hidden true life of each edge, cut metres
	zone       *time.Location
	shop       jobs.Shop
	operations map[string]jobs.Operation
	forgot     bool
	bits       int
	parts      int                 // on record so far
	coming     map[jobs.Day]string // numbers of parts by the day they come
}

func newStory(p *player) *story {
	return &story{p: p, rng: rand.New(rand.NewPCG(20261124, 7)), pace: map[string]float64{}, life: map[string]float64{}, coming: map[jobs.Day]string{}, zone: berlin()}
}

// tell plays day after day until the demo's evening.
func (s *story) tell() error {
	for name, text := range demoSpecs {
		if err := os.WriteFile(filepath.Join(s.p.dir, name), []byte(text), 0o600); err != nil {
			return err
		}
	}
	s.furnish()
	for day := jobs.DayOf(storyBegin); day < "2026-11-24" && s.p.err == nil; day = day.Add(1) {
		s.at(day, 18*60)
		s.arrivals(day)
		s.trial(day)
		if s.works(day) {
			s.evening(day)
		}
	}
	s.at("2026-11-24", 18*60)
	s.close()
	return s.p.err
}

// at sets the clock to a wall time of a day; it never runs back.
func (s *story) at(day jobs.Day, minute int) {
	t, err := jobs.WallTime(day, jobs.Clock(minute), s.zone, "+01:00")
	if err == nil && t.After(s.p.now) {
		s.p.now = t
	}
}

// pass moves the clock on.
func (s *story) pass(minutes float64) {
	s.p.now = s.p.now.Add(time.Duration(minutes * float64(time.Minute))).Truncate(time.Second)
}

func (s *story) works(day jobs.Day) bool {
	switch day.Weekday() {
	case time.Tuesday, time.Thursday:
	default:
		return false
	}
	md := string(day)[5:]
	if md >= "12-20" || md <= "01-04" || (md >= "08-01" && md <= "08-16") {
		return false
	}
	return s.rng.Float64() < 0.86
}

// furnish sets up supplies, bits and what is at the beginning.
func (s *story) furnish() {
	p := s.p
	p.must("shop", "set", "yearly-overhead", "2600")
	for _, w := range [][2]string{
		{"country", "IE"}, {"address", "Nightjar Lane 7, 00417 Lower Marsh"}, {"contact", "bench@nightjar-lane.example, 000 555 0162"}, {"tax-number", "00 417 000 62"},
		{"bank", "IBAN XX00 0000 0417 0000 0062"}, {"care-1", "Keep it between 40 and 60 % humidity, away from heaters and windows."},
		{"care-2", "Wipe it with a soft dry cloth. A drop of oil once a year, and rub it dry."},
	} {
		p.must("shop", "set", w[0], w[1])
	}
	p.must("shop", "set", "holidays", "2025-12-24, 2025-12-25, 2025-12-31, 2026-12-24, 2026-12-31")
	for _, w := range [][]string{
		{"wood-glue", "--unit", "ml", "--reorder", "150", "--open-life-days", "365", "--delivery-days", "5", "--supplier", "Corner shop"},
		{"ca-glue", "--unit", "g", "--reorder", "10", "--open-life-days", "180", "--delivery-days", "4", "--supplier", "Corner shop"},
		{"epoxy", "--unit", "g", "--reorder", "40", "--open-life-days", "540", "--delivery-days", "7", "--supplier", "Glue and oil by post"},
		{"abrasive-sleeve", "--unit", "pc", "--reorder", "2", "--delivery-days", "5", "--supplier", "Corner shop"},
		{"finish-oil", "--unit", "ml", "--reorder", "100", "--open-life-days", "365", "--delivery-days", "7", "--supplier", "Glue and oil by post"},
	} {
		p.must(append([]string{"supply", "add"}, w...)...)
	}
	s.stock("2025-05-12", 1)
	p.must("bit", "add", "S10-0", "--diameter", "10", "--point", "brad", "--keep", "show", "--price", "14.00", "--life", "2.0m", "--new-edge", "14.00", "--supplier", "Bits by post", "--delivery-days", "9")
	p.must("bit", "use", "S10-0", "--holes", "96", "--depth", "17", "--wood", "hard-maple", "--estimated")
	p.must("bit", "move", "S10-0", "--to", "general", "--why", "dull")
	p.must("bit", "add", "S10-1", "--diameter", "10", "--point", "brad", "--keep", "show", "--price", "14.00", "--life", "2.0m", "--new-edge", "14.00", "--supplier", "Bits by post", "--delivery-days", "9")
	p.must("bit", "use", "S10-1", "--holes", "42", "--depth", "17", "--wood", "hard-maple", "--estimated")
	p.must("bit", "add", "G3-1", "--diameter", "3", "--point", "twist", "--keep", "general", "--price", "3.20", "--life", "4.0m", "--new-edge", "3.20")
	p.must("bit", "use", "G3-1", "--holes", "14", "--depth", "8", "--wood", "mahogany", "--estimated")
	p.must("bit", "drop", p.use())
	s.bits = 1
	s.life["S10-1"] = 0.76
}

// stock receives a round of supplies.
func (s *story) stock(day jobs.Day, round int) {
	year := fmt.Sprint(2025 + (round+1)/2)
	for _, w := range [][]string{
		{"wood-glue", "500", "--price", "11.80", "--expires", year + "-12-31"},
		{"ca-glue", "50", "--price", "9.50", "--expires", year + "-11-30"},
		{"epoxy", "150", "--price", "21.00"},
		{"abrasive-sleeve", "6", "--price", "13.20"},
		{"finish-oil", "400", "--price", "18.60"},
	} {
		s.p.must(append([]string{"supply", "receive", w[0], w[1], "--on", string(day)}, w[2:]...)...)
	}
}

// arrivals brings in what comes on a day: necks, parts, deliveries, quotes.
func (s *story) arrivals(day jobs.Day) {
	p := s.p
	if id := s.coming[day]; id != "" {
		p.must("part", "set", id, "--here")
	}
	for i, n := range storyNecks {
		if n.quote != "" && n.day.Add(-21) == day {
			s.offer(n)
		}
		if n.day != day {
			continue
		}
		if n.quote != "" {
			p.must("quote", "accept", n.quote, "--deposit-on", string(day), "--neck", n.code, "--nickname", n.nick)
			s.parts++
			id := fmt.Sprint(s.parts)
			p.must("part", "set", id, "--ordered", string(day), "--arrives", string(day.Add(9)))
			s.coming[day.Add(11)] = id
			s.plan(jobs.Neck{Code: n.code, Nickname: n.nick})
			continue
		}
		w := []string{"neck", "add", n.code, "--nickname", n.nick, "--title", n.title, "--route", n.route, "--wood", n.wood}
		for _, flag := range [][2]string{{"--veneer", n.veneer}, {"--for", n.customer}, {"--due", string(n.due)}} {
			if flag[1] != "" {
				w = append(w, flag[0], flag[1])
			}
		}
		for _, d := range n.quantities {
			w = append(w, "--quantity", d)
		}
		p.must(w...)
		price := []string{"84.00", "62.50", "118.00"}[i%3]
		s.plan(jobs.Neck{Code: n.code, Nickname: n.nick})
		p.must("part", "add", n.nick, "tuners, set of six", "--price", price, "--freight", "4.90", "--ordered", string(day.Add(-12)), "--arrived", string(day))
		s.parts++
	}
	switch day {
	case "2025-10-21", "2026-03-17", "2026-08-18":
		s.stock(day, map[jobs.Day]int{"2025-10-21": 2, "2026-03-17": 3, "2026-08-18": 4}[day])
	case "2026-08-11":
		p.must("shopping", "order", "ca-glue", "--quantity", "50")
	case "2026-06-16":
		p.must("supply", "count", "wood-glue", "610", "--why", "stock count before the summer")
	case "2026-09-03":
		p.must("quote", "change", "Q2", "--ask", "one more dot, at the heel", "--by", "B. Ellingford-Pratt", "--quantity", "inlay=7")
		p.must("quote", "change", "Q2", "--decline", "1")
	case "2026-09-08":
		p.must("quote", "draft", "Q3", "--route", "headstock", "--for", "L. Ambersley", "--quantity", "holes=6", "--margin", "20", "--wood", "walnut", "--part", "tuners=84.00")
		p.must("quote", "send", "Q3")
	case "2026-09-15":
		p.must("quote", "revise", "Q3", "--title", "three and three, walnut, no inlay", "--stage", "holes drilled=40")
	case "2026-09-29":
		p.must("quote", "decline", "Q3", "--why", "found a used one")
		p.must("supply", "add", "gloves", "--unit", "pc", "--reorder", "20", "--delivery-days", "4", "--supplier", "Corner shop")
		p.must("bit", "set", "S10-4", "--note", "for faces, not for the heel")
		p.must("entry", "amend", "1", "--note", "first evening with a log", "--why", "forgot to say it")
	}
}

// offer drafts and sends the quote that a neck of the story comes from.
func (s *story) offer(n storyNeck) {
	w := []string{"quote", "draft", n.quote, "--title", n.title, "--route", n.route, "--for", n.customer, "--wood", n.wood, "--veneer", n.veneer, "--margin", "22", "--part", "tuners=62.50", "--own", "14"}
	for _, d := range n.quantities {
		w = append(w, "--quantity", d)
	}
	s.p.must(w...)
	s.p.must("quote", "send", n.quote)
}
