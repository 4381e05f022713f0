package words

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"slices"
	"strings"

	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"

	"github.com/urfave/cli/v2"
)

// Program is a set of commands and how their reports are drawn.
type Program struct {
	Groups   []Group
	Commands []Command
	// Print draws a report with tables. Save writes one to a file.
	Print func(e *Env, w io.Writer, r reports.Report) error
	Save  func(e *Env, path, table string, force bool, r reports.Report) error
	// Sheet reads the rows of a workbook that was brought.
	Sheet func(raw []byte, sheet string, row func(no int, cells []string) error) (from1904 bool, err error)
}

// Run parses the words, runs one command and gives the exit code.
//
// Four habits of the command-line library are handled here once: flags after
// a positional word are moved before it. Usage errors print a refusal and not
// the help. An unknown sub-command is a refusal with the nearest word. Nothing
// but main ends the process.
func (p Program) Run(ctx context.Context, args []string, e *Env) int {
	e.Args = args
	app := p.app(e)
	if n := len(args); n > 0 && args[n-1] == completing {
		app.RunContext(ctx, append([]string{"bookmatch"}, args...))
		return ExitDone
	}
	ordered, asJSON, err := reorder(app, args)
	if err == nil {
		err = missing(app, ordered, app.RunContext(ctx, append([]string{"bookmatch"}, ordered...)))
	}
	return e.Fail(err, asJSON)
}

// completing is the word with which a shell asks the command-line library what
// may come next.
const completing = "--generate-bash-completion"

// act runs one command from its words to its answer.
func (p Program) act(e *Env, cmd Command, c *cli.Context) error {
	if cmd.Act != nil {
		return cmd.Act(e, c)
	}
	if cmd.Bare != nil && !c.Args().Present() {
		cmd = *cmd.Bare
	}
	ask := cmd.Verb.NewAsk()
	given := Given{Words: c.Args().Slice(), Flags: map[string][]string{}, Read: e.ReadFile}
	for _, f := range workshop.Fields(ask) {
		switch {
		case f.Flag == "" || !c.IsSet(f.Flag):
		case f.List():
			given.Flags[f.Flag] = c.StringSlice(f.Flag)
		case f.Switch():
			given.Flags[f.Flag] = []string{fmt.Sprint(c.Bool(f.Flag))}
		default:
			given.Flags[f.Flag] = []string{c.String(f.Flag)}
		}
	}
	given.Today = func() jobs.Day { return e.today(c.String("file")) }
	err := Bind(cmd, ask, given)
	if r, ok := jobs.RefusalOf("", err); ok && r.Code == jobs.BothWays {
		if given.Dates = e.dateOrder(c.String("file")); given.Dates != "" {
			ask = cmd.Verb.NewAsk()
			err = Bind(cmd, ask, given)
		}
	}
	if err == nil {
		err = e.rightCurrency(c.String("file"), given)
	}
	if err == nil {
		err = e.whichUnit(c.String("file"), workshop.Fields(ask), given)
	}
	if err != nil {
		if r, ok := jobs.RefusalOf(cmp.Or(cmd.Verb.Not, "NOT SHOWN"), err); ok {
			return r
		}
		return err
	}
	if l, ok := ask.(interface{ Load(workshop.Loader) error }); ok {
		if err := l.Load(workshop.Loader{File: e.ReadFile, Sheet: p.Sheet}); err != nil {
			r, ok := jobs.RefusalOf(cmd.Verb.Not, err)
			if ok {
				return r
			}
			return err
		}
	}
	shop, err := e.Open(c.String("file"))
	if err != nil {
		return err
	}
	if cmd.Before != nil && !c.Bool("json") {
		if err := cmd.Before(e, shop, ask); err != nil {
			return err
		}
	}
	res, err := shop.Do(cmd.Verb, ask)
	if err != nil {
		return err
	}
	if f, ok := res.(interface{ Found() bool }); ok && f.Found() {
		e.Code = ExitFound
	}
	if cmd.Draw != nil {
		err := e.notTheShop(c.String("file"), c.String("out"))
		if err == nil {
			err = cmd.Draw(e, ask, res)
		}
		if err != nil {
			if r, ok := jobs.RefusalOf(cmd.Verb.Not, err); ok {
				return r
			}
			return err
		}
	}
	if err := p.show(e, cmd, c, res); err != nil {
		return err
	}
	if err := shop.Copy(); err != nil {
		e.Warn(jobs.Warningf("copy", "No copy of this evening could be made: %v.", err))
	}
	return nil
}

func (p Program) app(e *Env) *cli.App {
	app := &cli.App{
		Name:                      "bookmatch",
		Usage:                     "clock operations per evening, know when to retire a bit, quote custom builds",
		UsageText:                 "bookmatch [--file F] [--json] COMMAND ...",
		Description:               "Flags may come before or after the words. BOOKMATCH_FILE names the file, BOOKMATCH_NOW sets the clock.\n" + ExitTable,
		Writer:                    e.Out,
		ErrWriter:                 e.ErrOut,
		Reader:                    e.In,
		HideVersion:               true,
		DisableSliceFlagSeparator: true, // a comma belongs to the words of a flag
		HideHelpCommand:           true,
		EnableBashCompletion:      true,
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "file", Usage: "the workshop's `FILE`", TakesFile: true},
			&cli.BoolFlag{Name: "json", Usage: "print JSON"},
		},
		Commands:       Tree(p.Groups, p.Commands, func(cmd Command, c *cli.Context) error { return p.act(e, cmd, c) }),
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

func usage(why string, typed ...string) error {
	return &jobs.Refusal{Code: "usage", Class: jobs.Invalid, What: "NOT DONE", Why: why, Type: typed}
}

func onUsage(c *cli.Context, err error, _ bool) error {
	path := strings.TrimSpace(strings.TrimPrefix(c.Command.HelpName, "bookmatch"))
	help := strings.TrimSpace(path + " --help")
	typed, unknown := strings.CutPrefix(err.Error(), "flag provided but not defined: -")
	if !unknown {
		return usage(flagWords.Replace(err.Error()), help)
	}
	typed = strings.TrimLeft(typed, "-")
	var names []string
	for _, f := range c.Command.Flags {
		names = append(names, f.Names()...)
	}
	why := "unknown flag --" + typed
	var near []string
	for _, n := range jobs.Nearest(typed, names) {
		near = append(near, "--"+n)
	}
	if len(near) == 0 {
		return usage(why, help)
	}
	return &jobs.Refusal{Code: "usage", Class: jobs.Invalid, What: "NOT DONE", Why: why, Word: "--" + typed, Swap: near}
}

// flagWords says in the program's words what the library says of a flag.
var flagWords = strings.NewReplacer(" for flag -", " for --", ": parse error", ": not a number that fits", ": value out of range", ": too large")

// missing makes a wrong usage of a flag that had to be given and was not. The
// library keeps that error to itself, but for its text.
func missing(app *cli.App, ordered []string, err error) error {
	if err == nil {
		return nil
	}
	names, ok := strings.CutPrefix(err.Error(), "Required flag")
	first, last := strings.IndexByte(names, '"'), strings.LastIndexByte(names, '"')
	if !ok || first < 0 || last <= first {
		return err
	}
	list := strings.Split(names[first+1:last], ", ")
	for i := range list {
		list[i] = "--" + list[i]
	}
	path, cmds := "", app.Commands
	for _, a := range ordered {
		if sub := find(cmds, a); sub != nil {
			path, cmds = path+a+" ", sub.Subcommands
		}
	}
	return usage(strings.Join(list, " and ")+" is needed", path+"--help")
}

// noCommand answers a command that needs a further word: help when there is
// none, a refusal with the nearest when it is unknown.
func noCommand(c *cli.Context) error {
	if !c.Args().Present() {
		return cli.ShowSubcommandHelp(c)
	}
	var names []string
	subs := c.Command.Subcommands
	if len(subs) == 0 {
		subs = c.App.Commands
	}
	for _, sub := range subs {
		names = append(names, sub.Name)
	}
	word := c.Args().First()
	r := &jobs.Refusal{Code: "usage", Class: jobs.Invalid, What: "NOT DONE", Why: fmt.Sprintf("there is no command %q", word), Word: word, Swap: jobs.Nearest(word, names)}
	operation := slices.ContainsFunc(jobs.SeedOperations(), func(o jobs.Operation) bool { return o.Name == word })
	if c.Command.Name == c.App.Name && (len(r.Swap) == 0 || operation) { // an operation, maybe
		r.Type = []string{"on " + typed(c.Args().Slice()), "--help"}
	}
	return r
}
