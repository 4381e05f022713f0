package workshop

import (
	"encoding/json"
	"fmt"
	"time"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// OopsAsk takes the newest change back, or brings the last one taken back in
// again.
type OopsAsk struct {
	Asked
	Redo bool `json:"redo,omitempty" flag:"redo" help:"bring back what the last oops undid"`
	// Change is the change that was seen. Zero means the newest.
	Change uint64 `json:"change,omitempty"`
}

// OopsResult is what was taken back or brought in again.
type OopsResult struct {
	Meta
	Redo    bool            `json:"redo"`
	Undone  uint64          `json:"undone"` // the number of the change
	Verb    string          `json:"verb"`
	Ask     json.RawMessage `json:"ask,omitempty"`
	At      time.Time       `json:"at"` // when it was made
	By      string          `json:"by,omitempty"`
	Records []OopsRecord    `json:"records"`
	Running *EntryRow       `json:"running,omitempty"` // what runs now
}

// OopsRecord says what became of one record: gone, back, or as it was before.
type OopsRecord struct {
	What  string `json:"what"`
	State string `json:"state"`
}

// Oops undoes the newest change.
var Oops = Define("oops", "NOT CHANGED", Writes, (*Book).oops)

func (b *Book) oops(ask *OopsAsk, res *OopsResult) error {
	if ask.Change != 0 {
		newest, err := b.newestChange()
		if err != nil {
			return err
		}
		if newest.Seq != ask.Change {
			return jobs.Refuse("newer", fmt.Sprintf("change %d is not the newest: change %d came after it", ask.Change, newest.Seq), "data history")
		}
	}
	var c store.Change
	var err error
	if res.Redo = ask.Redo; ask.Redo {
		c, err = b.Redo()
	} else {
		c, err = b.Undo()
	}
	if err != nil {
		return err
	}
	if res.Undone, res.Verb, res.Ask, res.At, res.By = c.Seq, c.Verb, c.Ask, b.Wall(c.At), c.By; ask.Redo {
		res.Undone = c.Undoes
		if was, ok, err := b.change(c.Undoes); err != nil {
			return err
		} else if ok {
			res.Verb, res.Ask, res.At, res.By = was.Verb, was.Ask, b.Wall(was.At), was.By
		}
	}
	res.Records = []OopsRecord{}
	for _, r := range c.Records {
		state := "as it was"
		switch {
		case len(r.Before) == 0 || string(r.Before) == "null":
			state = "gone"
		case len(r.After) == 0 || string(r.After) == "null":
			state = "back"
		}
		res.Records = append(res.Records, OopsRecord{r.Name(), state})
	}
	if on, running, err := b.RunningEntry(); err != nil {
		return err
	} else if running {
		row := b.Row(on)
		res.Running = &row
	}
	return nil
}

// newestChange gives the newest change that has not been taken back.
func (b *Book) newestChange() (store.Change, error) {
	gone := map[uint64]bool{}
	for c, err := range store.Changes(b.Tx, true) {
		if err != nil {
			return c, err
		}
		if c.Undoes != 0 {
			gone[c.Undoes] = !gone[c.Seq]
			continue
		}
		if !gone[c.Seq] {
			return c, nil
		}
	}
	return store.Change{}, nil
}

// change gives a change by its number.
func (b *Book) change(seq uint64) (store.Change, bool, error) {
	for c, err := range store.Changes(b.Tx, true) {
		if err != nil || c.Seq == seq {
			return c, err == nil, err
		}
	}
	return store.Change{}, false, nil
}
