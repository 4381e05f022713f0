package bench

import (
	"bookmatch/jobs/store"
)

func (e *Env) oops(l Line) error {
	var ch store.Change
	again := ""
	err := e.Update(l.String("file"), func(tx *store.Tx) (err error) {
		if l.Bool("back") {
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
	if l.Bool("json") {
		return e.PrintJSON(map[string]any{"change": ch.Seq, "words": ch.Words(), "at": ch.At, "back": l.Bool("back")})
	}
	if l.Bool("back") {
		e.Say("brought back change %d: %s", ch.Undoes, again)
		return nil
	}
	e.Say("took back change %d: %s", ch.Seq, ch.Words())
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
		e.Say("  %s: %s", r.Name(), what)
	}
	return nil
}

// commandOf gives what was typed for a change.
func commandOf(tx *store.Tx, seq uint64) (string, error) {
	for ch, err := range store.Changes(tx, true) {
		if err != nil || ch.Seq == seq {
			return ch.Words(), err
		}
	}
	return "", nil
}
