package main

import (
	"fmt"
	"math"
	"strings"
	"time"

	"bookmatch/jobs"

	"github.com/urfave/cli/v2"
)

// clockCommands are the bench words: three words standing up, nothing asked
// that can be inferred.
func clockCommands(e *env) []*cli.Command {
	started := []cli.Flag{
		&cli.StringFlag{Name: "rework", Usage: "a step done before, again: `CAUSE` " + strings.Join(jobs.ReworkCauses, ", ")},
		&cli.StringFlag{Name: "payer", Usage: "who pays for the rework: shop or customer"},
		&cli.StringFlag{Name: "anyway", Usage: "`WHY` to go on where the tool would stop"},
		&cli.StringFlag{Name: "by", Usage: "`PERSON` other than you: costed, never taught to the standards"},
		&cli.StringFlag{Name: "note", Usage: "a remark"},
	}
	bit := &cli.StringFlag{Name: "bit", Usage: "`BIT` in the chuck"}
	ended := []cli.Flag{
		bit,
		&cli.StringFlag{Name: "grade", Usage: "tear-out at the rim: 0 clean, 1 fuzz, 2 chip that hardware hides, 3 chip it does not"},
		&cli.StringFlag{Name: "backing", Usage: "tight, loose or none"},
		&cli.StringFlag{Name: "depth", Usage: "hole depth in `MM`, where no plan says"},
		&cli.StringFlag{Name: "temp", Usage: "shop temperature in deg C: a cold cure takes longer"},
		&cli.StringFlag{Name: "note", Usage: "a remark"},
	}
	return []*cli.Command{
		{Name: "on", Category: "bench", Usage: "start: on KIND NECK[+NECK]; ends what ran before", ArgsUsage: "KIND NECK[+NECK]", Flags: append([]cli.Flag{bit}, started...), Action: e.on},
		{Name: "off", Category: "bench", Usage: "stop; the step stays open", Action: e.off},
		{Name: "done", Category: "bench", Usage: "the step is done: done, done 6, done ada 6, bo 8", ArgsUsage: "[COUNT | NECK COUNT, NECK COUNT [left]]", Flags: ended, Action: e.done},
		{Name: "away", Category: "bench", Usage: "a break begins", Action: e.away},
		{Name: "back", Category: "bench", Usage: "the break is over", Action: e.back},
		{Name: "go", Category: "bench", Usage: "set-up is over, the run begins (optional)", Action: e.goMark},
		{Name: "oops", Category: "bench", Usage: "take the newest change back", Flags: []cli.Flag{&cli.BoolFlag{Name: "back", Usage: "bring back what the last oops took"}}, Action: e.oops},
		{Name: "spent", Category: "bench", Usage: "work without a clock: spent 25 choose ada", ArgsUsage: "MINUTES KIND NECK[+NECK] [COUNT]",
			Flags: append([]cli.Flag{&cli.BoolFlag{Name: "done", Usage: "the step is done"}, &cli.StringFlag{Name: "on", Usage: "`DATE` of the work, if not today"}}, started...), Action: e.spent},
	}
}

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

func (e *env) on(c *cli.Context) error {
	w, err := words(c, 2, -1)
	if err != nil {
		return err
	}
	return e.benchWord(c, func(b *bench) error {
		states, err := b.tx.States(splitNecks(w[1:]), b.kinds, b.shop)
		if err != nil {
			return err
		}
		kind, err := jobs.FindKind(w[0], b.kinds, states)
		if err != nil {
			return err
		}
		anyway := c.String("anyway")
		entry, cautions, err := jobs.Start{Kind: kind, Necks: states, Rework: c.String("rework"), Payer: c.String("payer"), Anyway: anyway,
			Person: c.String("by"), Note: c.String("note")}.Begin(b.kinds, b.shop, b.tx.Now)
		if err != nil {
			return err
		}
		gate, err := b.drillGate(kind, states, c.String("bit"), anyway)
		if err != nil {
			return err
		}
		entry.Bit = gate.bit
		cautions = append(cautions, gate.cautions...)
		again, err := b.saidTonight(kind.Name)
		if err != nil {
			return err
		}
		if on, same, err := b.sameOn(entry); err != nil {
			return err
		} else if same {
			return &jobs.ConflictError{What: fmt.Sprintf("%s %s is on already, since %s", on.Kind, b.necksText(on), b.clock(on.From)), How: "say done or off when it ends"}
		}
		started, ended, err := b.tx.ClockIn(entry, b.kinds, b.shop)
		if err != nil {
			return err
		}
		q := plannedOf(started, states)
		est, err := b.est.Step(kind.Name, q)
		if err != nil {
			return err
		}
		res := onResult{Entry: started, Ended: ended, LikelyMin: est.LikelyMin, SafeMin: est.SafeMin, Basis: est.Basis, Planned: q, Bit: gate.bit, Verdict: gate.verdict, Cautions: cautions}
		line := fmt.Sprintf("%s %s %s: %s, %s", b.clock(started.From), kind.Name, b.necksText(started), unitText(q, kind), estimateText(est))
		if gate.text != "" {
			line += "; " + gate.text
		}
		if ended != nil {
			line += fmt.Sprintf("; ended %s %s after %s", ended.Kind, b.necksText(*ended), minutesText(ended.Elapsed(b.tx.Now)))
		}
		b.say("%s", line)
		if kind.Caution != "" && !again {
			b.say("      %s", kind.Caution)
			res.Caution = kind.Caution
		}
		if started.ClockBack {
			b.warn("the clock stands before the last record: started where that one ended, %s", b.clock(started.From))
		}
		for _, x := range cautions {
			b.warn("%s", x.Text)
		}
		b.data = res
		return nil
	})
}

// saidTonight says whether the kind was worked this evening already, so that
// its caution was shown.
func (b *bench) saidTonight(kind string) (bool, error) {
	tonight, err := b.tx.Evening(b.shop, b.shop.Evening(b.tx.Now))
	if err != nil {
		return false, err
	}
	for _, t := range tonight {
		if t.Kind == kind {
			return true, nil
		}
	}
	return false, nil
}

// plannedOf is what is left to do on the steps of an entry.
func plannedOf(e jobs.Entry, states []jobs.NeckState) float64 {
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

func nothingOn() error {
	return &jobs.ConflictError{What: "nothing is on", How: "start with: on KIND NECK"}
}

func (e *env) off(c *cli.Context) error {
	if _, err := words(c, 0, 0); err != nil {
		return err
	}
	return e.benchWord(c, func(b *bench) error {
		ended, err := b.tx.ClockOff(b.kinds, b.shop)
		if err != nil {
			return err
		}
		if ended == nil {
			if len(b.warns) > 0 { // the forgotten entry was just settled: that is what off meant
				b.data = map[string]any{"entry": nil}
				return nil
			}
			return nothingOn()
		}
		b.data = map[string]any{"entry": ended, "elapsed_min": ended.Elapsed(b.tx.Now).Minutes()}
		b.say("%s off %s %s after %s; say done if it is", b.clock(*ended.To), ended.Kind, b.necksText(*ended), minutesText(ended.Elapsed(b.tx.Now)))
		b.doubtShort(*ended)
		if ended.ClockBack {
			b.warn("the clock stands before the start of this entry: no time was counted; mend it with entry amend %d --to HH:MM", ended.ID)
		}
		return nil
	})
}

// doubtShort asks about an entry of a minute or less: it is kept and teaches
// nothing, and is mostly a slip.
func (b *bench) doubtShort(e jobs.Entry) {
	if e.SpentSec == 0 && !e.ClockBack && e.Elapsed(b.tx.Now) < 2*time.Minute {
		b.warn("%s %s took %s: kept, but no sample; if it was a slip, say oops", e.Kind, b.necksText(e), minutesText(e.Elapsed(b.tx.Now)))
	}
}

// sameOn says whether the very same work is on already.
func (b *bench) sameOn(e jobs.Entry) (jobs.Entry, bool, error) {
	on, running, err := b.tx.RunningEntry()
	if err != nil || !running || on.Kind != e.Kind || on.Class != e.Class || len(on.Shares) != len(e.Shares) {
		return on, false, err
	}
	for _, s := range e.Shares {
		if i := on.ShareOf(s.Neck); i < 0 || on.Shares[i].Step != s.Step {
			return on, false, nil
		}
	}
	return on, true, nil
}

// doubtLong asks about a sitting that took far longer than is safe to expect:
// mostly a break or an end that nobody clocked.
func (b *bench) doubtLong(e jobs.Entry) error {
	if e.SpentSec > 0 || e.Assumed || e.TotalCount() <= 0 {
		return nil
	}
	est, err := b.est.Step(e.Kind, e.TotalCount())
	if err != nil || est.SafeMin <= 0 {
		return err
	}
	if took := e.Elapsed(b.tx.Now).Minutes(); took > 3*est.SafeMin && took > est.SafeMin+45 {
		b.warn("%s where %.0f min are safe: was it left on, or away?", minutesText(e.Elapsed(b.tx.Now)), math.Ceil(est.SafeMin))
		b.warn(`hint: if so: entry amend %d --to HH:MM --why "left on"`, e.ID)
	}
	return nil
}
