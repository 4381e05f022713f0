// Package words turns what is typed into Asks and answers into text. It holds
// the bench words, the commands' shape, the binder that makes flags and help
// from the tags of an Ask, and the parsers of typed values. The programs
// bookmatch and bm use it, and the bench page makes its forms with it.
package words

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"bookmatch/jobs/workshop"
	"bookmatch/reports"

	"github.com/urfave/cli/v2"
)

// Command joins words, a verb and a view. Flags, help and completion are made
// from the tags of the verb's Ask.
type Command struct {
	Path    string // "neck add", or one bench word
	Help    string // one line, at most 62 characters
	Example string // a line that can be typed: "neck add N7 --nickname wren"
	More    string // further lines of help, for a command whose words need them
	Verb    workshop.Verb
	// View draws the result. Nil prints only warnings and JSON.
	View func(workshop.Result) reports.Report
	// Depth is what is shown without a depth flag. Zero means First.
	Depth reports.Depth
	// Parts are the depth flags it takes next to --why: Steps, Cost, Lines.
	Parts reports.Depth
	// Out says that --out can save it as a workbook, a table or a drawing.
	Out bool
	// Picture says that its report has a drawing of its own.
	Picture bool
	// Paper says that it makes a PDF, under a name of its own if none is given.
	Paper bool
	// Without names flags of its Ask that it does not take, because it says them itself.
	Without []string
	// Draw writes the result to the file that the Ask names, as a drawing of its own.
	Draw func(e *Env, ask workshop.Ask, r workshop.Result) error
	// Then says what the page's form of this command leads to: the path of another and
	// what is filled in there. Nil leads to the view.
	Then func(workshop.Result) (path string, filled map[string][]string)
	// Form says how the page's form of this command differs from what is typed.
	Form Form
	// Bench says that it is typed standing up and shown first in the help.
	Bench bool
	// Before asks a person at a terminal for what the Ask still lacks. Nil asks
	// nothing.
	Before func(*Env, *workshop.Workshop, workshop.Ask) error
	// Bare is what the command is when no word is typed behind it. Its Ask takes no
	// words. Nil asks for the word.
	Bare *Command
	// Act runs a command that is no verb of the shop, such as an export or the demo.
	// Flags are then its own, and Args names its words.
	Act   func(e *Env, c *cli.Context) error
	Flags []cli.Flag
	Args  string
}

// Form is how the page's form of a command differs from the words of the terminal.
type Form struct {
	None    bool     // it has no form
	Post    bool     // it is sent, although the verb itself is no change of the shop
	Without []string // flags that belong to the terminal
	Needs   []string // flags that the terminal can do without
	// File makes of the result a file of the media type Kind, named after the
	// command. Nil makes none.
	Kind, Ending string
	File         func(io.Writer, workshop.Result) error
}

// Sent says that the form of a command changes something: it is never a mere address.
func (c Command) Sent() bool { return c.Verb.Writes() || c.Form.Post }

// depthFlags are the flags that ask for more of a screen.
var depthFlags = []struct {
	name, help string
	depth      reports.Depth
}{
	{"why", "show the sums, the sources and what the screen leaves out", reports.Why},
	{"steps", "show every step", reports.Steps},
	{"cost", "show every cost line", reports.Cost},
	{"lines", "show every line", reports.Lines},
}

func (c Command) takes(d reports.Depth) bool {
	return c.View != nil && !c.Verb.Writes() && !c.Paper && (d == reports.Why && !c.Bench || c.Parts&d != 0)
}

// flags gives the flags of the command: those of its Ask, its depths, its files.
func (c Command) flags() []cli.Flag {
	if c.Act != nil {
		return c.Flags
	}
	var out []cli.Flag
	for _, f := range workshop.Fields(c.Verb.NewAsk()) {
		if f.Flag != "" && !slices.Contains(c.Without, f.Flag) {
			out = append(out, flagOf(f))
		}
	}
	for _, d := range depthFlags {
		if c.takes(d.depth) {
			out = append(out, &cli.BoolFlag{Name: d.name, Usage: d.help, DisableDefaultText: true})
		}
	}
	if c.Paper {
		return append(out,
			&cli.StringFlag{Name: "paper", Usage: "`SIZE`: a4 or letter; the shop's if not given"},
			&cli.StringFlag{Name: "out", Usage: "save as `FILE`.pdf, else under the name of the paper", TakesFile: true},
			&cli.BoolFlag{Name: "force", Usage: "replace a file that exists", DisableDefaultText: true})
	}
	if c.Out {
		formats := "save as `FILE` (.pdf, .xlsx or .csv)"
		if c.Picture {
			formats = "save as `FILE` (.pdf, .xlsx, .csv; the drawing .svg, .png)"
		}
		out = append(out,
			&cli.StringFlag{Name: "out", Usage: formats, TakesFile: true},
			&cli.StringFlag{Name: "table", Usage: "only this `TABLE`"},
			&cli.BoolFlag{Name: "force", Usage: "replace a file that exists", DisableDefaultText: true})
	}
	return out
}

// DepthOf gives the depth that was asked for by flags. A file holds the full
// report. A part of it (--steps, --cost, --lines) takes the place of the screen,
// --why is added to it.
func (c Command) DepthOf(c2 *cli.Context) reports.Depth {
	d := max(c.Depth, reports.First)
	if c.Out && (c2.String("out") != "" || c2.String("table") != "") {
		d = reports.Full
	}
	var parts reports.Depth
	for _, f := range depthFlags {
		if c.takes(f.depth) && c2.Bool(f.name) {
			parts |= f.depth
		}
	}
	if parts&^reports.Why != 0 {
		d &^= reports.First
	}
	return d | parts
}

// Usage gives the words behind the path: "NECK [COUNT]".
func (c Command) Usage() string {
	if c.Act != nil {
		return c.Args
	}
	var out []string
	for _, f := range workshop.Fields(c.Verb.NewAsk()) {
		if f.Word != "" {
			out = append(out, f.Word)
		}
	}
	if c.Bare != nil {
		return "[" + strings.Join(out, " ") + "]"
	}
	return strings.Join(out, " ")
}

// Group is a noun with its line of help.
type Group struct{ Name, Help string }

// Tree makes the commands of the command-line library. act runs one of them.
func Tree(groups []Group, cmds []Command, act func(Command, *cli.Context) error) []*cli.Command {
	var out []*cli.Command
	nouns := map[string]*cli.Command{}
	for _, g := range groups {
		nouns[g.Name] = &cli.Command{Name: g.Name, Usage: g.Help, Category: "desk"}
	}
	for _, c := range cmds {
		noun, verb, two := strings.Cut(c.Path, " ")
		leaf := &cli.Command{Name: c.Path, Usage: c.Help, ArgsUsage: c.Usage(), Flags: c.flags(), Category: "desk",
			Action: func(ctx *cli.Context) error { return act(c, ctx) }}
		if c.Example != "" {
			leaf.Description = "Example: bookmatch " + c.Example
		}
		if c.More != "" {
			leaf.Description += "\n\n" + c.More
		}
		if c.Bench {
			leaf.Category = "bench"
		}
		if !two {
			if known := nouns[noun]; known != nil { // a noun that is a command too
				known.Action, known.Flags, known.ArgsUsage = leaf.Action, leaf.Flags, leaf.ArgsUsage
				if !slices.Contains(out, known) {
					out = append(out, known)
				}
				continue
			}
			out = append(out, leaf)
			continue
		}
		group := nouns[noun]
		if group == nil {
			panic(fmt.Sprintf("command %q has no group", c.Path))
		}
		leaf.Name = verb
		group.Subcommands = append(group.Subcommands, leaf)
		if !slices.Contains(out, group) {
			out = append(out, group)
		}
	}
	return out
}
