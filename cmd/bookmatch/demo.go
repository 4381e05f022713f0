package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"bookmatch/cmd/words"
	"bookmatch/jobs"
	"bookmatch/jobs/workshop"

	"github.com/urfave/cli/v2"
)

// demoNow is the evening on which the demo's story ends: always the same, so
// that its figures are.
var demoNow = time.Date(2026, 11, 24, 18, 20, 0, 0, time.UTC)

// demo plays an invented workshop into a file of its own and shows what comes of
// it.
func demo(e *words.Env, c *cli.Context) error {
	if c.Args().Present() {
		return &jobs.Refusal{Code: "usage", Class: jobs.Invalid, What: "NOT PLAYED", Why: fmt.Sprintf("%q is one word too many", c.Args().First()), Type: []string{"demo --dir demo"}}
	}
	dir := c.String("dir")
	if dir == "" {
		d, err := os.MkdirTemp("", "bookmatch-demo-")
		if err != nil {
			return err
		}
		dir = d
	}
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return err
	}
	file := filepath.Join(dir, "demo.db")
	if _, err := os.Stat(file); err == nil {
		if !c.Bool("force") {
			return &jobs.Refusal{Code: "exists", Class: jobs.Conflict, What: "NOT PLAYED", Why: file + " exists", Type: []string{"demo --dir " + dir + " --force"}}
		}
		if err := os.Remove(file); err != nil {
			return err
		}
	}
	if e.ErrTerminal {
		fmt.Fprintln(e.ErrOut, "bookmatch: playing a year and a half of evenings ...")
	}
	p := newPlayer(c.Context, e, dir, file)
	if err := p.play(); err != nil {
		return err
	}
	return p.present(e)
}

// player types the demo's words into the program, one command after the other,
// on a clock of its own.
type player struct {
	ctx   context.Context
	env   *words.Env
	dir   string
	file  string
	now   time.Time
	err   error
	out   bytes.Buffer
	noise bytes.Buffer
	typed int
}

func newPlayer(ctx context.Context, e *words.Env, dir, file string) *player {
	p := &player{ctx: ctx, dir: dir, file: file}
	p.env = &words.Env{In: strings.NewReader(""), Out: &p.out, ErrOut: &p.noise, Now: func() time.Time { return p.now }, Getenv: func(k string) string {
		switch k {
		case "BOOKMATCH_FILE":
			return file
		case "BOOKMATCH_NOW": // the user's own clock setting has no say in the demo's story
			return ""
		}
		return e.Getenv(k)
	}}
	return p
}

// say types one command and gives its exit code.
func (p *player) say(words ...string) int {
	p.out.Reset()
	p.noise.Reset()
	p.typed++
	p.env.Code = 0
	return run(p.ctx, words, p.env)
}

// must types one command that has to succeed; the first failure is kept.
func (p *player) must(words ...string) {
	if p.err != nil {
		return
	}
	if code := p.say(words...); code != 0 && code != 4 {
		p.err = fmt.Errorf("demo at %s: %s: %s", p.now.Format(time.RFC3339), strings.Join(words, " "), strings.TrimSpace(p.noise.String()))
	}
}

// play writes the whole story into the demo's file.
func (p *player) play() error {
	p.now = storyBegin
	p.must("shop", "setup", "--name", "Nightjar Lane workshop", "--currency", "EUR", "--zone", "Europe/Berlin", "--labour", "34.00", "--overhead", "7.50", "--tax", "21", "--paper", "a4",
		"--evening", "tue 19:30-22:00", "--evening", "thu 19:30-22:00", "--backup-keep", "0")
	if p.err != nil {
		return p.err
	}
	shop := workshop.At(p.file, func() time.Time { return p.now })
	done, err := shop.Keep()
	if err != nil {
		return err
	}
	p.env.Shop = shop
	err = newStory(p).tell()
	p.env.Shop = nil
	return errors.Join(err, done())
}

// shown is one thing the demo shows at its end.
type shown struct {
	title string
	words []string
}

// present prints what the tool makes of the story, and writes the papers.
func (p *player) present(e *words.Env) error {
	p.now = demoNow
	evening, err := p.lastEvening()
	if err != nil {
		return err
	}
	for _, s := range demoScreens {
		s.words = withEvening(s.words, evening)
		fmt.Fprintf(e.Out, "\n$ bookmatch %s\n\n", strings.Join(s.words, " "))
		p.must(s.words...)
		if p.err != nil {
			return p.err
		}
		if _, err := io.Copy(e.Out, &p.out); err != nil {
			return err
		}
	}
	fmt.Fprintf(e.Out, "\nPapers in %s\n\n", p.dir)
	for _, s := range demoPapers {
		name := s.words[len(s.words)-1]
		words := withEvening(s.words, evening)
		words[len(words)-1] = filepath.Join(p.dir, name)
		p.must(append(words, "--force")...)
		if p.err != nil {
			return p.err
		}
		fmt.Fprintf(e.Out, "  %-22s %s\n", name, s.title)
	}
	fmt.Fprintf(e.Out, "\n%d commands were typed into %s\n", p.typed, p.file)
	fmt.Fprintf(e.Out, "look around: BOOKMATCH_NOW=%s bookmatch --file %s neck list\n", demoNow.In(berlin()).Format(time.RFC3339), p.file)
	fmt.Fprintln(e.Out, "everything in it is invented")
	return nil
}

// theEvening is in the demo's words for its last evening with work.
const theEvening = "EVENING"

func withEvening(words []string, day jobs.Day) []string {
	out := slices.Clone(words)
	for i, w := range out {
		if w == theEvening {
			out[i] = string(day)
		}
	}
	return out
}

// lastEvening is the busiest evening of the story's last weeks.
func (p *player) lastEvening() (day jobs.Day, err error) {
	r, err := workshop.At(p.file, func() time.Time { return p.now }).Do(workshop.EntryList, &workshop.EntryListAsk{})
	if err != nil {
		return "", err
	}
	entries := map[jobs.Day]int{}
	for _, e := range r.(*workshop.EntryListResult).Entries {
		if entries[e.Evening]++; entries[e.Evening] >= entries[day] {
			day = e.Evening
		}
	}
	return day, nil
}

func berlin() *time.Location {
	loc, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		return time.UTC
	}
	return loc
}

var demoScreens = []shown{
	{"", []string{"evening", "show", theEvening}},
	{"", []string{"tonight", "--until", "22:00"}},
	{"", []string{"bit", "verdict", "S10-3", "--neck", "finch"}},
	{"", []string{"layout", "show", "finch"}},
	{"", []string{"neck", "show", "finch"}},
	{"", []string{"find", "fifth fret"}},
	{"", []string{"quote", "show", "Q5"}},
}

var demoPapers = []shown{
	{"the time log of an evening and of its weeks", []string{"report", "evening", theEvening, "--out", "evening.xlsx"}},
	{"a card to write an evening on", []string{"report", "evening", "--blank", "--out", "card.xlsx"}},
	{"steps, hours and cost of a neck", []string{"report", "neck", "swift", "--out", "neck-swift.xlsx"}},
	{"bits, lives, rims against holes", []string{"report", "bits", "--out", "bits.xlsx"}},
	{"stock by lot, what to order", []string{"report", "supplies", "--out", "supplies.xlsx"}},
	{"the quote, for you", []string{"report", "quote", "Q5", "--out", "quote-inside.xlsx"}},
	{"the quote, for the customer", []string{"report", "quote", "Q5", "--customer", "--out", "quote.xlsx"}},
	{"the year", []string{"report", "year", "2026", "--out", "year.xlsx"}},
	{"the same card to print", []string{"report", "evening", "--blank", "--out", "card.pdf"}},
	{"the route card of a neck, to print", []string{"report", "neck", "swift", "--out", "neck-swift.pdf"}},
	{"the quote to send", []string{"report", "quote", "Q5", "--customer", "--out", "quote.pdf"}},
	{"the drilling sheet", []string{"layout", "show", "finch", "--out", "sheet.pdf"}},
	{"the drilling template at true scale", []string{"layout", "draw", "finch", "--out", "template.pdf"}},
}
