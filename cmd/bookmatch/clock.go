package main

import (
	"bookmatch/cmd/bench"
	"bookmatch/jobs/store"

	"github.com/urfave/cli/v2"
)

// clockCommands are the bench words.
func clockCommands(e *env) []*cli.Command {
	var out []*cli.Command
	for _, w := range bench.Words() {
		c := &cli.Command{Name: w.Name, Category: "bench", Usage: w.Usage, ArgsUsage: w.ArgsUsage,
			Action: func(c *cli.Context) error { return w.Run(e.Env, line{c}) }}
		for _, f := range w.Flags {
			if f.Switch {
				c.Flags = append(c.Flags, &cli.BoolFlag{Name: f.Name, Usage: f.Usage})
			} else {
				c.Flags = append(c.Flags, &cli.StringFlag{Name: f.Name, Usage: f.Usage})
			}
		}
		out = append(out, c)
	}
	return out
}

// line is a command line as the bench words read it.
type line struct{ *cli.Context }

// Words gives the words behind the command.
func (l line) Words() []string { return l.Args().Slice() }

// desk is a bench with what the desk words do at it.
type desk struct{ *bench.Bench }

// newBench reads the shop and settles an entry that was left on.
func (e *env) newBench(tx *store.Tx) (*desk, error) {
	b, err := e.Start(tx)
	return &desk{b}, err
}

// deskBench reads the shop without settling anything.
func deskBench(tx *store.Tx) (*desk, error) {
	b, err := bench.Read(tx)
	return &desk{b}, err
}

// benchWord runs fn as one transaction of the bench and prints what came of it
// only after it stands.
func (e *env) benchWord(c *cli.Context, fn func(b *desk) error) error {
	return e.Do(line{c}, func(b *bench.Bench) error { return fn(&desk{b}) })
}

// told prints what a transaction had to say, once it stands.
func (e *env) told(c *cli.Context, b *desk) error { return e.Told(line{c}, b.Bench) }
