// Package bench holds the bench words, typed standing up with glue on the
// fingers: on, off, done, away, back, go, oops, spent. It knows neither the
// library of the command line nor what draws tables and pages, so that a
// program with these words alone starts in a third of the time (cmd/bm); the
// whole program (cmd/bookmatch) runs the very same words.
package bench

import (
	"fmt"
	"strings"

	"bookmatch/jobs"
)

// Line is a command line as it was understood: the words, and the flags by name
// ("" or false where one was not given). "file" and "json" may stand on each.
type Line interface {
	Words() []string
	String(flag string) string
	Bool(flag string) bool
}

// Flag is a flag of a word. A switch takes no value.
type Flag struct {
	Name, Usage string
	Switch      bool
}

// Word is one bench word.
type Word struct {
	Name, Usage, ArgsUsage string
	Flags                  []Flag
	// Low and High bound the words behind it; High below zero is no bound.
	Low, High int
	run       func(*Env, Line) error
}

// Words lists the bench words in the order of the help. What can be inferred is
// not asked.
func Words() []Word {
	started := []Flag{
		{Name: "rework", Usage: "a step done before, again: `CAUSE` " + strings.Join(jobs.ReworkCauses, ", ")},
		{Name: "payer", Usage: "who pays for the rework: shop or customer"},
		{Name: "anyway", Usage: "`WHY` to go on where the tool would stop"},
		{Name: "by", Usage: "`PERSON` other than you: costed, never taught to the standards"},
		{Name: "note", Usage: "a remark"},
	}
	bit := Flag{Name: "bit", Usage: "`BIT` in the chuck"}
	ended := []Flag{
		bit,
		{Name: "grade", Usage: "tear-out at the rim: 0 clean, 1 fuzz, 2 chip that hardware hides, 3 chip it does not"},
		{Name: "backing", Usage: "tight, loose or none"},
		{Name: "depth", Usage: "hole depth in `MM`, where no plan says"},
		{Name: "temp", Usage: "shop temperature in deg C: a cold cure takes longer"},
		{Name: "note", Usage: "a remark"},
	}
	return []Word{
		{Name: "on", Usage: "start: on OPERATION NECK[+NECK]; ends what ran before", ArgsUsage: "OPERATION NECK[+NECK]", Flags: append([]Flag{bit}, started...), Low: 2, High: -1, run: (*Env).on},
		{Name: "off", Usage: "stop; the step stays open", run: (*Env).off},
		{Name: "done", Usage: "the step is done: done, done 6, done ada 6, bo 8", ArgsUsage: "[COUNT | NECK COUNT, NECK COUNT [left]]", Flags: ended, High: -1, run: (*Env).done},
		{Name: "away", Usage: "a break begins", run: (*Env).away},
		{Name: "back", Usage: "the break is over", run: (*Env).back},
		{Name: "go", Usage: "set-up is over, the run begins (optional)", run: (*Env).goMark},
		{Name: "oops", Usage: "take the newest change back", Flags: []Flag{{Name: "back", Usage: "bring back what the last oops took", Switch: true}}, run: (*Env).oops},
		{Name: "spent", Usage: "work without a clock: spent 25 choose ada", ArgsUsage: "MINUTES OPERATION NECK[+NECK] [COUNT]",
			Flags: append([]Flag{{Name: "done", Usage: "the step is done", Switch: true}, {Name: "on", Usage: "`DATE` of the work, if not today"}}, started...), Low: 3, High: -1, run: (*Env).spent},
	}
}

// Run runs a word on a line. Too few or too many words are a *UsageError that
// shows how.
func (w Word) Run(e *Env, l Line) error {
	if got := l.Words(); len(got) < w.Low || w.High >= 0 && len(got) > w.High {
		what := "too few words"
		if len(got) > w.Low {
			what = fmt.Sprintf("too many words from %q on", got[max(w.High, 0)])
		}
		return Usagef(strings.TrimSpace("bookmatch "+w.Name+" "+w.ArgsUsage), "%s: %s", w.Name, what)
	}
	return w.run(e, l)
}
