package bench

import (
	"fmt"
	"math"
	"time"

	"bookmatch/costing/estimate"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

type onResult struct {
	Entry     jobs.Entry     `json:"entry"`
	Ended     *jobs.Entry    `json:"ended,omitempty"`
	LikelyMin float64        `json:"likely_min"`
	SafeMin   float64        `json:"safe_min"`
	Basis     string         `json:"basis"`
	Planned   float64        `json:"planned"`
	Bit       string         `json:"bit,omitempty"`
	Verdict   string         `json:"verdict,omitempty"`
	Cautions  []jobs.Caution `json:"cautions,omitempty"`
	Caution   string         `json:"caution,omitempty"`
}

func (e *Env) on(l Line) error {
	w := l.Words()
	return e.Do(l, func(b *Bench) error {
		estimate, stop := b.estimate()
		defer stop()
		necks, err := SplitNecks(w[1:])
		if err != nil {
			return err
		}
		start, entry, cautions, err := b.begin(l, w[0], necks)
		if err != nil {
			return err
		}
		states, operation, anyway := start.Necks, start.Operation, start.Anyway
		q := PlannedOf(entry, states)
		estimate.operation <- operation.Name
		estimate.q <- q
		gate, err := b.DrillGate(operation, states, l.String("bit"), anyway)
		if err != nil {
			return err
		}
		entry.Bit = gate.Bit
		cautions = append(cautions, gate.Cautions...)
		again, err := b.saidTonight(operation.Name)
		if err != nil {
			return err
		}
		if on, same, err := b.sameOn(entry); err != nil {
			return err
		} else if same {
			return &jobs.ConflictError{What: fmt.Sprintf("%s %s is on already, since %s", on.Operation, b.NecksText(on), b.Clock(on.From)), How: "say done or off when it ends"}
		}
		started, ended, err := b.Tx.ClockIn(entry, b.Operations, b.Shop)
		if err != nil {
			return err
		}
		res := onResult{Entry: started, Ended: ended, Planned: q, Bit: gate.Bit, Verdict: gate.Verdict, Cautions: cautions}
		line := fmt.Sprintf("%s %s %s: %s, ", b.Clock(started.From), operation.Name, b.NecksText(started), UnitText(q, operation))
		rest := ""
		if gate.Text != "" {
			rest += "; " + gate.Text
		}
		if ended != nil {
			rest += fmt.Sprintf("; ended %s %s after %s", ended.Operation, b.NecksText(*ended), MinutesText(ended.Elapsed(b.Tx.Now)))
		}
		if operation.Caution != "" && !again {
			res.Caution = operation.Caution
		}
		if started.ClockBack {
			b.Warn("the clock stands before the last record: started where that one ended, %s", b.Clock(started.From))
		}
		for _, x := range cautions {
			b.Warn("%s", x.Text)
		}
		b.later(func() {
			est := b.got(estimate)
			res.LikelyMin, res.SafeMin, res.Basis = est.LikelyMin, est.SafeMin, est.Basis
			b.Say("%s%s%s", line, estimateText(est), rest)
			if res.Caution != "" {
				b.Say("      %s", res.Caution)
			}
			b.Data = res
		})
		return nil
	})
}

// begin finds the operation and the necks that were typed and begins an entry with what
// the flags say: what on and spent have in common.
func (b *Bench) begin(l Line, word string, necks []string) (start jobs.Start, entry jobs.Entry, cautions []jobs.Caution, err error) {
	start = jobs.Start{Rework: l.String("rework"), Payer: l.String("payer"), Anyway: l.String("anyway"), Person: l.String("by"), Note: l.String("note")}
	if start.Necks, err = b.Tx.States(necks, b.Operations, b.Shop); err != nil {
		return start, entry, nil, err
	}
	if start.Operation, err = jobs.FindOperation(word, b.Operations, start.Necks); err != nil {
		return start, entry, nil, err
	}
	entry, cautions, err = start.Begin(b.Operations, b.Shop, b.Tx.Now)
	return start, entry, cautions, err
}

// saidTonight says whether the operation was worked this evening already, so that
// its caution was shown.
func (b *Bench) saidTonight(operation string) (bool, error) {
	last, err := store.Latest(b.Tx, store.Entries, store.EntriesByOperation, operation, 1)
	return err == nil && len(last) == 1 && b.Shop.Evening(last[0].From) == b.Shop.Evening(b.Tx.Now), err
}

// PlannedOf is what is left to do on the steps of an entry.
func PlannedOf(e jobs.Entry, states []jobs.NeckState) float64 {
	q := 0.0
	for _, s := range e.Shares {
		for _, st := range states {
			if v, ok := st.View(s.Step); ok && st.Neck.Code == s.Neck {
				if left := v.Quantity - v.Counted; left > 0 && e.Class != jobs.Rework {
					q += left
				} else {
					q += v.Quantity
				}
			}
		}
	}
	if q == 0 {
		return 1
	}
	return q
}

// nothingOn says so, and what became of an entry that was left on: who comes back
// the next evening and says done means that one.
func (b *Bench) nothingOn() error {
	if e := b.left; e != nil {
		return &jobs.ConflictError{What: "nothing is on: " + b.Warns[0],
			How: fmt.Sprintf(`if it was finished then: entry amend %d --done --to HH:MM --why "..."; else start with: on OPERATION NECK`, e.ID)}
	}
	return &jobs.ConflictError{What: "nothing is on", How: "start with: on OPERATION NECK"}
}

func (e *Env) off(l Line) error {
	return e.Do(l, func(b *Bench) error {
		ended, err := b.Tx.ClockOff(b.Operations, b.Shop)
		if err != nil {
			return err
		}
		if ended == nil {
			if len(b.Warns) > 0 { // the forgotten entry was just settled: that is what off meant
				b.Data = map[string]any{"entry": nil}
				return nil
			}
			return b.nothingOn()
		}
		b.Data = map[string]any{"entry": ended, "elapsed_min": ended.Elapsed(b.Tx.Now).Minutes()}
		b.Say("%s off %s %s after %s; say done if it is", b.Clock(*ended.To), ended.Operation, b.NecksText(*ended), MinutesText(ended.Elapsed(b.Tx.Now)))
		b.doubtShort(*ended)
		if ended.ClockBack {
			b.Warn("the clock stands before the start of this entry: no time was counted; mend it with entry amend %d --to HH:MM", ended.ID)
		}
		return nil
	})
}

// doubtShort asks about an entry of a minute or less: it is kept and teaches
// nothing, and is mostly a slip.
func (b *Bench) doubtShort(e jobs.Entry) {
	if e.SpentSec == 0 && !e.ClockBack && e.Elapsed(b.Tx.Now) < 2*time.Minute {
		b.Warn("%s %s took %s: kept, but no sample; if it was a slip, say oops", e.Operation, b.NecksText(e), MinutesText(e.Elapsed(b.Tx.Now)))
	}
}

// sameOn says whether the very same work is on already.
func (b *Bench) sameOn(e jobs.Entry) (jobs.Entry, bool, error) {
	on, running, err := b.Tx.RunningEntry()
	if err != nil || !running || on.Operation != e.Operation || on.Class != e.Class || len(on.Shares) != len(e.Shares) {
		return on, false, err
	}
	for _, s := range e.Shares {
		if i := on.ShareOf(s.Neck); i < 0 || on.Shares[i].Step != s.Step {
			return on, false, nil
		}
	}
	return on, true, nil
}

// doubtLong asks about a sitting that took far longer than was safe to expect
// before it: mostly a break or an end that nobody clocked.
func (b *Bench) doubtLong(e jobs.Entry) {
	if e.SpentSec > 0 || e.Assumed || e.TotalCount() <= 0 {
		return
	}
	estimate := b.ahead
	if b.ahead = nil; estimate == nil {
		var stop func()
		estimate, stop = b.estimate()
		defer stop()
		estimate.operation <- e.Operation
	}
	estimate.q <- e.TotalCount()
	b.later(func() {
		if est := b.got(estimate); est.SafeMin > 0 {
			b.longer(e, est)
		}
	})
}

func (b *Bench) longer(e jobs.Entry, est estimate.Estimate) {
	if took := e.Elapsed(b.Tx.Now).Minutes(); took > 3*est.SafeMin && took > est.SafeMin+45 {
		b.Warn("%s where %.0f min are safe: was it left on, or away?", MinutesText(e.Elapsed(b.Tx.Now)), math.Ceil(est.SafeMin))
		b.Warn(`hint: if so: entry amend %d --to HH:MM --why "left on"`, e.ID)
	}
}
