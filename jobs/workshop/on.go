package workshop

import (
	"fmt"
	"slices"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// Started are the flags that begin work has in common, with and without a clock.
type Started struct {
	Rework string `json:"rework,omitempty" flag:"rework" arg:"CAUSE" help:"redo a step: bit, glue, marking, wood, customer, other"`
	Payer  string `json:"payer,omitempty" flag:"payer" help:"who pays for the rework: shop or customer" of:"shop customer"`
	Anyway string `json:"anyway,omitempty" flag:"anyway" arg:"WHY" help:"go on where you would be stopped, and why"`
	Person string `json:"person,omitempty" flag:"by" arg:"PERSON" help:"someone else did it: costed, not used for your estimates"`
	Note   string `json:"note,omitempty" flag:"note" help:"a remark"`
}

// why is the reason for the journal.
func (x Started) why() string { return x.Anyway }

// OnAsk begins work on the clock.
type OnAsk struct {
	Asked
	Operation string   `json:"operation" word:"OPERATION"`
	Necks     []string `json:"necks" word:"NECK[+NECK]..." read:"necks"`
	Bit       string   `json:"bit,omitempty" flag:"bit" help:"the BIT in the chuck" arg:"BIT"`
	Started
	// Running is the entry that was seen running, 0 for none. Nil does not mind.
	Running *uint64 `json:"running,omitempty"`
}

// OnResult is work that began.
type OnResult struct {
	Meta
	Entry       EntryRow  `json:"entry"`
	Ended       *EntryRow `json:"ended,omitempty"`
	Planned     float64   `json:"planned"`
	PlannedText string    `json:"planned_text"` // "6 holes"
	LikelyMin   float64   `json:"likely_min"`
	SafeMin     float64   `json:"safe_min"`
	Basis       string    `json:"basis"`
	Plans       []string  `json:"plans,omitempty"` // codes that the paper on the wood must show
	Bit         string    `json:"bit,omitempty"`
	Verdict     string    `json:"verdict,omitempty"`
	VerdictText string    `json:"verdict_text,omitempty"`
	Cautions    []string  `json:"cautions,omitempty"`
}

// On begins work. What ran before it ends.
var On = Define("on", "NOT STARTED", Writes|Settles, (*Book).on)

func (b *Book) on(ask *OnAsk, res *OnResult) error {
	if err := b.stillRuns(ask.Running); err != nil {
		return err
	}
	start, entry, cautions, err := b.begin(ask.Operation, ask.Necks, ask.Started)
	if err != nil {
		return err
	}
	operation := start.Operation
	q := PlannedOf(entry, start.Necks)
	if err := b.partsHere(operation, entry.Class, start.Necks, ask.Anyway); err != nil {
		return err
	}
	if err := b.recordsOpen(operation, entry.Class, start.Necks, ask.Anyway); err != nil {
		return err
	}
	if err := b.hourGate(operation, start.Necks, ask.Anyway); err != nil {
		return err
	}
	gate, err := b.DrillGate(operation, start.Necks, ask.Bit, ask.Anyway)
	if err != nil {
		return err
	}
	entry.Bit = gate.Bit
	texts, err := b.cautionsNow(operation)
	if err != nil {
		return err
	}
	if on, same, err := b.sameOn(entry); err != nil {
		return err
	} else if same {
		return jobs.Refuse("running", fmt.Sprintf("%s %s is running already, since %s", on.Operation, b.NecksText(on), b.Clock(on.From)), "done", "off")
	}
	est, err := b.Est().Step(operation.Name, q)
	if err != nil {
		b.Warnf("no-estimate", "No time can be estimated: %v.", err)
	}
	if b.warnOfScuffing(entry, start.Necks) {
		est = scuffed(est, operation, q)
	}
	started, ended, err := b.ClockIn(entry)
	if err != nil {
		return err
	}
	res.Entry, res.Planned, res.PlannedText = b.Row(started), q, jobs.UnitText(q, operation)
	if ended != nil {
		row := b.Row(*ended)
		res.Ended = &row
	}
	if est.StandardMin > 0 {
		res.LikelyMin, res.SafeMin = jobs.Round2(est.LikelyMin), jobs.Round2(est.SafeMin)
	}
	res.Basis = est.Basis
	res.Bit, res.Verdict, res.VerdictText, res.Plans = gate.Bit, gate.Verdict, gate.Text, gate.Plans
	res.Cautions = texts
	if started.ClockBack {
		b.Warnf("clock-back", "The clock is behind the last record. Started where that one ended, %s.", b.Clock(started.From))
	}
	for _, x := range append(cautions, gate.Cautions...) {
		b.Warn(jobs.Warning{Code: x.Code, Text: x.Text})
	}
	return nil
}

// begin finds the operation and the necks that were named and begins an entry:
// what on and spent have in common.
func (b *Book) begin(word string, necks []string, x Started) (start jobs.Start, entry jobs.Entry, cautions []jobs.Caution, err error) {
	start = jobs.Start{Rework: x.Rework, Payer: x.Payer, Anyway: x.Anyway, Person: x.Person, Note: x.Note}
	if start.Necks, err = b.States(necks); err != nil {
		return start, entry, nil, err
	}
	if start.Operation, err = jobs.FindOperation(word, b.Operations, start.Necks); err != nil {
		return start, entry, nil, err
	}
	entry, cautions, err = start.Begin(b.Operations, b.Shop, b.Now)
	return start, entry, cautions, err
}

// stillRuns refuses a change that means another entry than the one that runs.
// Nil means whatever runs.
func (b *Book) stillRuns(seen *uint64) error {
	if seen == nil {
		return nil
	}
	on, running, err := b.RunningEntry()
	switch {
	case err != nil:
		return err
	case !running && *seen == 0, running && on.ID == *seen:
		return nil
	case *seen == 0:
		return jobs.Refuse("seen", fmt.Sprintf("%s %s was started at %s%s", on.Operation, b.NecksText(on), b.Clock(on.From), b.byWhom(on.ID)))
	}
	was, err := b.Entry(*seen)
	if err != nil {
		return jobs.Refuse("seen", fmt.Sprintf("entry %d was removed meanwhile", *seen))
	}
	end := ""
	if was.To != nil {
		end = " at " + b.Clock(*was.To)
	}
	return jobs.Refuse("seen", fmt.Sprintf("%s %s was ended%s%s", was.Operation, b.NecksText(was), end, b.byWhom(was.ID)), fmt.Sprintf("entry amend %d --to %s", was.ID, b.Clock(b.Now)))
}

// byWhom says who made the newest change of an entry: " in the terminal" where
// nobody else is named.
func (b *Book) byWhom(id uint64) string {
	for c, err := range store.Changes(b.Tx, true) {
		if err != nil || b.Now.Sub(c.At).Hours() > 48 {
			return ""
		}
		for _, r := range c.Records {
			if r.Is(store.Entries, id) {
				if c.By == "" {
					return " in the terminal"
				}
				return " by " + c.By
			}
		}
	}
	return ""
}

// warnOfScuffing says where the window after the copy before a step is over.
func (b *Book) warnOfScuffing(e jobs.Entry, necks []jobs.NeckState) (scuff bool) {
	for _, s := range e.Shares {
		for _, st := range necks {
			if v, ok := st.View(s.Step); ok && st.Neck.Code == s.Neck && v.Scuff {
				scuff = true
				b.Warnf("scuff", "More than %s h since the %s before on %s: scuff it first. Its setup counts again.", jobs.NumberText(v.Window.ToH), e.Operation, st.Neck.Name())
			}
		}
	}
	return scuff
}

// labelsFirst is said below the first caution of an evening.
const labelsFirst = "Labels, manuals and local rules come first."

// cautionsNow gives the cautions of an operation that starts: none when it was worked
// this evening already, and with the first of the evening what comes before them.
func (b *Book) cautionsNow(o jobs.Operation) ([]string, error) {
	texts := o.Graph().CautionTexts()
	last, err := b.LatestEntries(50)
	if err != nil || len(texts) == 0 {
		return nil, err
	}
	first := true
	for _, e := range last {
		if b.Shop.Evening(e.From) != b.Tonight() {
			continue
		}
		if e.Operation == o.Name {
			return nil, nil
		}
		first = first && len(b.Operations[e.Operation].Graph().CautionTexts()) == 0
	}
	if first {
		return withLabels(texts), nil
	}
	return texts, nil
}

func withLabels(texts []string) []string {
	if len(texts) == 0 {
		return nil
	}
	return append(slices.Clone(texts), labelsFirst)
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

// sameOn says whether the very same work is running already.
func (b *Book) sameOn(e jobs.Entry) (jobs.Entry, bool, error) {
	on, running, err := b.RunningEntry()
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
