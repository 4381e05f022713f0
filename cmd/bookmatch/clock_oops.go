package main

import (
	"bookmatch/jobs/store"

	"github.com/urfave/cli/v2"
)

func (e *env) oops(c *cli.Context) error {
	if _, err := words(c, 0, 0); err != nil {
		return err
	}
	var ch store.Change
	again := ""
	err := e.update(c, func(tx *store.Tx) (err error) {
		if c.Bool("back") {
			if ch, err = tx.Redo(); err == nil {
				again, err = commandOf(tx, ch.Undoes)
			}
		} else {
			ch, err = tx.Undo()
		}
		return err
	})
	if err != nil {
		return err
	}
	if wantJSON(c) {
		return e.printJSON(map[string]any{"change": ch.Seq, "command": ch.Command, "at": ch.At, "back": c.Bool("back")})
	}
	if c.Bool("back") {
		e.say("brought back change %d: %s", ch.Undoes, again)
		return nil
	}
	e.say("took back change %d: %s", ch.Seq, ch.Command)
	for _, r := range ch.Records {
		what := "changed"
		switch {
		case len(r.Before) == 0 || string(r.Before) == "null":
			what = "gone again"
		case len(r.After) == 0 || string(r.After) == "null":
			what = "there again"
		default:
			what = "as before"
		}
		e.say("  %s: %s", r.Name(), what)
	}
	return nil
}

// commandOf gives what was typed for a change.
func commandOf(tx *store.Tx, seq uint64) (string, error) {
	for ch, err := range store.Changes(tx, true) {
		if err != nil || ch.Seq == seq {
			return ch.Command, err
		}
	}
	return "", nil
}
