package main

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"bookmatch/jobs"
	"bookmatch/jobs/store"

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
		if ended.ClockBack {
			b.warn("the clock stands before the start of this entry: no time was counted; mend it with entry amend %d --to HH:MM", ended.ID)
		}
		return nil
	})
}

func (e *env) done(c *cli.Context) error {
	w, err := words(c, 0, -1)
	if err != nil {
		return err
	}
	return e.benchWord(c, func(b *bench) error {
		entry, on, err := b.tx.RunningEntry()
		if err != nil {
			return err
		}
		if !on {
			last, ok, err := b.tx.LastTonight(b.shop)
			if err != nil {
				return err
			}
			if !ok {
				return nothingOn()
			}
			if entryDone(last) {
				return &jobs.ConflictError{What: fmt.Sprintf("%s %s is already done, and nothing is on", last.Kind, b.necksText(last)), How: "start with: on KIND NECK"}
			}
			entry = last
		}
		o, counts, err := b.doneWords(c, w, entry)
		if err != nil {
			return err
		}
		if on && b.tx.Now.Before(entry.From) {
			entry.ClockBack = true
		}
		if on {
			states, err := b.tx.ShareStates(entry, b.kinds, b.shop)
			if err != nil {
				return err
			}
			entry = jobs.Stop(entry, b.kinds[entry.Kind], states, b.tx.Now)
			entry.SetupPart = 0
		}
		res, err := b.finish(entry, counts, o)
		if err != nil {
			return err
		}
		b.sayDone(res)
		return nil
	})
}

// entryDone says that no step of the entry is open any more.
func entryDone(e jobs.Entry) bool {
	for _, s := range e.Shares {
		if s.Done {
			return true
		}
	}
	return false
}

// doneWords reads "6", "ada 6, bo 8", "ada 6, bo 3 left" and "6 grade 2"
// beside the flags.
func (b *bench) doneWords(c *cli.Context, w []string, e jobs.Entry) (finishOptions, []jobs.Count, error) {
	o := finishOptions{bit: c.String("bit"), backing: c.String("backing"), note: c.String("note")}
	grade := c.String("grade")
	if v := c.String("depth"); v != "" {
		d, err := jobs.ParseDepth(v)
		if err != nil {
			return o, nil, err
		}
		o.depthMM = d
	}
	if v := c.String("temp"); v != "" {
		t, err := jobs.ParseNumber("temp", v, -40, 60)
		if err != nil {
			return o, nil, err
		}
		o.tempC = &t
	}
	counts, g, err := b.parseCounts(strings.Join(w, " "))
	if err != nil {
		return o, nil, err
	}
	for _, x := range counts {
		if x.N == 0 && !x.Left {
			return o, nil, &jobs.FieldError{Field: "count", Value: "0", Want: "what was done, above 0: off stops without saying that the step is done"}
		}
	}
	if g != "" {
		grade = g
	}
	if grade != "" {
		n, err := strconv.Atoi(grade)
		if err != nil || n < 0 || n > 3 {
			return o, nil, &jobs.FieldError{Field: "grade", Value: grade, Want: "0 clean, 1 fuzz, 2 chip that hardware hides, 3 chip it does not"}
		}
		o.grade = &n
	}
	return o, counts, nil
}

// parseCounts reads the words of done into counts by neck code, and a grade.
func (b *bench) parseCounts(text string) ([]jobs.Count, string, error) {
	var out []jobs.Count
	grade := ""
	for _, item := range strings.Split(text, ",") {
		f := strings.Fields(item)
		if len(f) == 0 {
			continue
		}
		count := jobs.Count{N: -1}
		for i := 0; i < len(f); i++ {
			switch {
			case f[i] == "left":
				count.Left = true
			case f[i] == "grade" && i+1 < len(f):
				i++
				grade = f[i]
			case (f[i][0] >= '0' && f[i][0] <= '9') || f[i][0] == '-' || f[i][0] == '.':
				n, err := jobs.ParseNumber("count", f[i], 0, 1e6)
				if err != nil {
					return nil, "", err
				}
				count.N = n
			default:
				n, err := b.tx.FindNeck(f[i])
				if err != nil {
					return nil, "", err
				}
				count.Neck = n.Code
			}
		}
		if count.Neck == "" && count.N < 0 && !count.Left {
			continue // a grade alone
		}
		out = append(out, count)
	}
	return out, grade, nil
}

func (e *env) away(c *cli.Context) error {
	return e.change(c, func(b *bench, entry *jobs.Entry) error {
		if n := len(entry.Away); n > 0 && entry.Away[n-1].To == nil {
			return &jobs.ConflictError{What: "you are away since " + b.clock(entry.Away[n-1].From), How: "say back"}
		}
		entry.Away = append(entry.Away, jobs.Span{From: b.notBefore(*entry)})
		b.say("%s away from %s %s", b.clock(b.tx.Now), entry.Kind, b.necksText(*entry))
		return nil
	})
}

func (e *env) back(c *cli.Context) error {
	return e.change(c, func(b *bench, entry *jobs.Entry) error {
		n := len(entry.Away)
		if n == 0 || entry.Away[n-1].To != nil {
			return &jobs.ConflictError{What: "you are not away", How: "say away first"}
		}
		to := b.tx.Now
		if to.Before(entry.Away[n-1].From) {
			to = entry.Away[n-1].From
		}
		entry.Away[n-1].To = &to
		b.say("%s back at %s %s after %s", b.clock(to), entry.Kind, b.necksText(*entry), minutesText(to.Sub(entry.Away[n-1].From)))
		return nil
	})
}

func (e *env) goMark(c *cli.Context) error {
	return e.change(c, func(b *bench, entry *jobs.Entry) error {
		if entry.Go != nil {
			return &jobs.ConflictError{What: fmt.Sprintf("the run of %s %s began at %s", entry.Kind, b.necksText(*entry), b.clock(*entry.Go)), How: "was that too early? oops, then go again"}
		}
		at := b.notBefore(*entry)
		entry.Go = &at
		b.say("%s %s %s: set-up took %s, the run begins", b.clock(at), entry.Kind, b.necksText(*entry), minutesText(entry.SetupSpan(b.tx.Now)))
		return nil
	})
}

// notBefore is now, or the start of the entry when the clock went back.
func (b *bench) notBefore(e jobs.Entry) time.Time {
	if b.tx.Now.Before(e.From) {
		return e.From
	}
	return b.tx.Now
}

// change amends the running entry.
func (e *env) change(c *cli.Context, fn func(*bench, *jobs.Entry) error) error {
	if _, err := words(c, 0, 0); err != nil {
		return err
	}
	return e.benchWord(c, func(b *bench) error {
		entry, on, err := b.tx.RunningEntry()
		if err != nil {
			return err
		}
		if !on {
			return nothingOn()
		}
		if err := fn(b, &entry); err != nil {
			return err
		}
		b.data = map[string]any{"entry": entry}
		return store.Put(b.tx, store.Entries, entry)
	})
}

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

func (e *env) spent(c *cli.Context) error {
	w, err := words(c, 3, -1)
	if err != nil {
		return err
	}
	minutes, err := jobs.ParseNumber("minutes", w[0], 1, 24*60)
	if err != nil {
		return err
	}
	return e.benchWord(c, func(b *bench) error {
		at := b.tx.Now
		if d := c.String("on"); d != "" {
			day, err := jobs.ParseDay("on", d)
			if err != nil {
				return err
			}
			if at, err = jobs.WallTime(day, 12*60, b.shop.Location(), ""); err != nil {
				return err
			}
			if at.After(b.tx.Now) {
				return &jobs.FieldError{Field: "on", Value: d, Want: "a day that has been"}
			}
		}
		names, counts, _, err := b.spentWords(w[2:])
		if err != nil {
			return err
		}
		states, err := b.tx.States(names, b.kinds, b.shop)
		if err != nil {
			return err
		}
		kind, err := jobs.FindKind(w[1], b.kinds, states)
		if err != nil {
			return err
		}
		entry, cautions, err := jobs.Start{Kind: kind, Necks: states, Rework: c.String("rework"), Payer: c.String("payer"), Anyway: c.String("anyway"),
			Person: c.String("by"), Note: c.String("note")}.Begin(b.kinds, b.shop, b.tx.Now)
		if err != nil {
			return err
		}
		if entry.ID, err = store.NextID(b.tx, store.Entries); err != nil {
			return err
		}
		entry.From, entry.To, entry.Written = at, &at, b.tx.Now
		entry.SpentSec = int64(minutes * 60)
		for _, x := range cautions {
			b.warn("%s", x.Text)
		}
		if c.Bool("done") || kind.Decide {
			res, err := b.finish(entry, counts, finishOptions{})
			if err != nil {
				return err
			}
			b.sayDone(res)
			return nil
		}
		for i := range entry.Shares {
			if i < len(counts) && counts[i].N > 0 {
				entry.Shares[i].Count = counts[i].N
			}
		}
		b.data = map[string]any{"entry": entry}
		b.say("%s min %s %s logged; the step stays open (--done ends it)", numberText(minutes), kind.Name, b.necksText(entry))
		return store.Put(b.tx, store.Entries, entry)
	})
}

// spentWords reads "ada", "ada+bo" and "ada 6, bo 8".
func (b *bench) spentWords(w []string) (names []string, counts []jobs.Count, grade string, err error) {
	text := strings.ReplaceAll(strings.Join(w, " "), "+", ",")
	counts, grade, err = b.parseCounts(text)
	if err != nil {
		return nil, nil, "", err
	}
	for _, x := range counts {
		if x.Neck == "" {
			return nil, nil, "", usagef("spent 25 choose ada", "name the neck before its count")
		}
		names = append(names, x.Neck)
	}
	return names, counts, grade, nil
}
