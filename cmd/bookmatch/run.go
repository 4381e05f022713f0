package main

import (
	"context"
	"fmt"
	"strings"

	"bookmatch/cmd/bench"
	"bookmatch/jobs"

	"github.com/urfave/cli/v2"
)

// run parses the words, runs one command and gives the exit code.
//
// Four habits of the command-line library are handled here once: flags after
// a positional word are moved before it; usage errors print one line instead
// of the help; an unknown sub-command is an error with the nearest word; and
// nothing but main ends the process.
func run(ctx context.Context, args []string, e *env) int {
	e.Args = args
	app := newApp(e)
	ordered, err := reorder(app, args)
	if err != nil {
		return e.Fail(err)
	}
	code := e.Fail(missing(app, ordered, app.RunContext(ctx, append([]string{"bookmatch"}, ordered...))))
	if e.AtEnd != nil {
		e.AtEnd()
	}
	return code
}

// missing makes a wrong usage of a flag that had to be given and was not. The
// library keeps that error to itself, but for its text.
func missing(app *cli.App, ordered []string, err error) error {
	if err == nil {
		return nil
	}
	names, ok := strings.CutPrefix(err.Error(), "Required flag")
	if !ok {
		return err
	}
	first := strings.IndexByte(names, '"')
	last := strings.LastIndexByte(names, '"')
	if first < 0 || last <= first {
		return err
	}
	list := strings.Split(names[first+1:last], ", ")
	for i := range list {
		list[i] = "--" + list[i]
	}
	path, cmds := "bookmatch", app.Commands
	for _, a := range ordered {
		if sub := find(cmds, a); sub != nil {
			path, cmds = path+" "+a, sub.Subcommands
		}
	}
	return bench.Usagef("see "+path+" --help", "%s is needed", strings.Join(list, " and "))
}

func newApp(e *env) *cli.App {
	app := &cli.App{
		Name:                      "bookmatch",
		Usage:                     "clock operations per evening, know when to retire a bit, quote custom builds",
		UsageText:                 "bookmatch [--file F] [--json] COMMAND ...",
		Description:               "Flags may stand before or after the words. BOOKMATCH_FILE names the file, BOOKMATCH_NOW sets the clock.\n" + bench.ExitTable,
		Writer:                    e.Out,
		ErrWriter:                 e.ErrOut,
		Reader:                    e.In,
		HideVersion:               true,
		DisableSliceFlagSeparator: true, // a comma belongs to the words of a flag
		HideHelpCommand:           true,
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "file", Usage: "the workshop's `FILE`", TakesFile: true},
			&cli.BoolFlag{Name: "json", Usage: "print JSON"},
		},
		Commands:       commands(e),
		ExitErrHandler: func(*cli.Context, error) {},
		Action:         noCommand,
	}
	tame(app.Commands)
	app.OnUsageError = onUsage
	return app
}

// tame sets on every command what the library does not inherit.
func tame(cmds []*cli.Command) {
	for _, c := range cmds {
		c.OnUsageError = onUsage
		c.HideHelpCommand = true
		if len(c.Subcommands) > 0 && c.Action == nil {
			c.Action = noCommand
		}
		tame(c.Subcommands)
	}
}

func onUsage(c *cli.Context, err error, _ bool) error {
	return bench.Usagef("see "+strings.TrimSpace("bookmatch "+strings.TrimSpace(strings.TrimPrefix(c.Command.HelpName, "bookmatch")))+" --help", "%s", flagWords.Replace(err.Error()))
}

// flagWords says in the program's words what the library says of a flag.
var flagWords = strings.NewReplacer("flag provided but not defined: -", "unknown flag --", " for flag -", " for --", ": parse error", ": not a number that fits", ": value out of range", ": too large")

// A default of nothing is no news in a help text.
func init() {
	with := cli.FlagStringer
	cli.FlagStringer = func(f cli.Flag) string {
		s := with(f)
		for _, empty := range []string{" (default: 0)", " (default: false)"} {
			s = strings.ReplaceAll(s, empty, "")
		}
		return s
	}
}

// noCommand answers a command that needs a further word: help when there is
// none, an error with the nearest when it is unknown.
func noCommand(c *cli.Context) error {
	if !c.Args().Present() {
		return cli.ShowSubcommandHelp(c)
	}
	var names []string
	for _, sub := range c.Command.Subcommands {
		names = append(names, sub.Name)
	}
	if len(names) == 0 {
		for _, sub := range c.App.Commands {
			names = append(names, sub.Name)
		}
	}
	word := c.Args().First()
	hint := "see bookmatch --help"
	if near := jobs.Nearest(word, names); len(near) > 0 {
		hint = "did you mean " + strings.Join(near, ", ") + "?"
	}
	return bench.Usagef(hint, "there is no command %q", word)
}

// words gives the positional words of a command: between low and high of them
// (high below zero: any number), else a usage error that shows how.
func words(c *cli.Context, low, high int) ([]string, error) {
	got := c.Args().Slice()
	if len(got) < low || (high >= 0 && len(got) > high) {
		what := "too few words"
		if len(got) > low {
			what = fmt.Sprintf("too many words from %q on", got[max(high, 0)])
		}
		return nil, bench.Usagef("bookmatch "+usageLine(c), "%s: %s", c.Command.FullName(), what)
	}
	return got, nil
}

func usageLine(c *cli.Context) string {
	full := strings.TrimSpace(strings.TrimPrefix(c.Command.HelpName, "bookmatch"))
	return strings.TrimSpace(full + " " + c.Command.ArgsUsage)
}

// reorder puts flags before positional words, global flags first, so that they
// may stand anywhere. A word that begins with a hyphen but reads as a number
// stays a word. After "--" nothing is moved.
func reorder(app *cli.App, args []string) ([]string, error) {
	global, local, path, rest := []string{}, []string{}, []string{}, []string{}
	cmds := app.Commands
	var flags []cli.Flag
	literal, help := false, false
	for i := 0; i < len(args); i++ {
		a := args[i]
		switch {
		case literal, !isFlag(a):
			if sub := find(cmds, a); sub != nil && len(rest) == 0 && !literal {
				path = append(path, sub.Name) // OFF is off
				cmds, flags = sub.Subcommands, sub.Flags
				continue
			}
			if len(rest) == 0 {
				cmds = nil
			}
			rest = append(rest, a)
		case a == "--":
			literal = true
		default:
			name, _, hasValue := strings.Cut(strings.TrimLeft(a, "-"), "=")
			help = help || lookup([]cli.Flag{cli.HelpFlag}, name) != nil
			to, f := &local, lookup(flags, name)
			if f == nil {
				if f = lookup(app.Flags, name); f != nil {
					to = &global
				}
			}
			*to = append(*to, a)
			if f != nil && !hasValue && takesValue(f) {
				if i+1 >= len(args) {
					return nil, bench.Usagef("write --"+name+" VALUE", "flag --%s needs a value", name)
				}
				i++
				*to = append(*to, args[i])
			}
		}
	}
	out := append(global, path...)
	out = append(out, local...)
	if len(rest) > 0 && !help { // the library would look for help on the words
		out = append(append(out, "--"), rest...)
	}
	return out, nil
}

func isFlag(a string) bool {
	return len(a) > 1 && a[0] == '-' && !(a[1] >= '0' && a[1] <= '9') && a[1] != '.'
}

func find(cmds []*cli.Command, name string) *cli.Command {
	for _, c := range cmds {
		if c.HasName(name) || c.HasName(strings.ToLower(name)) {
			return c
		}
	}
	return nil
}

func lookup(flags []cli.Flag, name string) cli.Flag {
	for _, f := range flags {
		for _, n := range f.Names() {
			if n == name {
				return f
			}
		}
	}
	return nil
}

func takesValue(f cli.Flag) bool {
	d, ok := f.(cli.DocGenerationFlag)
	return ok && d.TakesValue()
}
