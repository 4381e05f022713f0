package main

import (
	"fmt"
	"strings"
	"time"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
	"bookmatch/jobs/workshop"

	"github.com/urfave/cli/v2"
)

func entryCommand(e *env) *cli.Command {
	why := &cli.StringFlag{Name: "why", Usage: "`REASON`, kept with what was there"}
	return &cli.Command{
		Name: "entry", Usage: "what was logged, and mending it",
		Subcommands: []*cli.Command{
			{Name: "list", Usage: "entries in order of time", Action: e.entryList, Flags: []cli.Flag{
				&cli.StringFlag{Name: "evening", Usage: "one evening, `DATE`"},
				&cli.StringFlag{Name: "neck", Usage: "one `NECK`"},
				&cli.StringFlag{Name: "operation", Usage: "one `OPERATION`"},
				&cli.StringFlag{Name: "from", Usage: "evenings from `DATE` on"},
				&cli.StringFlag{Name: "to", Usage: "evenings up to `DATE`"},
				&cli.BoolFlag{Name: "assumed", Usage: "only those whose end was assumed"},
				&cli.BoolFlag{Name: "history", Usage: "what was there before, and entries that were dropped"},
				&cli.StringFlag{Name: "as-of", Usage: "as the file knew it at the end of the evening `DATE`, or at an RFC 3339 instant"},
			}},
			{Name: "amend", Usage: "correct an entry; what was there stays in its history", ArgsUsage: "ID", Action: e.entryAmend,
				Description: "Times are on the shop's clock, on the evening of the entry (past midnight is understood), or RFC 3339.\n" +
					"Holes on bits and supplies of the recipe follow: a count changes them, another operation takes them back; a step that is not done takes the supplies back, and its holes stay drilled. A correction needs --why; --confirm alone says that an assumed end was right.",
				Flags: []cli.Flag{
					&cli.StringFlag{Name: "from", Usage: "begun at `HH:MM`"},
					&cli.StringFlag{Name: "to", Usage: "ended at `HH:MM`"},
					&cli.StringFlag{Name: "offset", Usage: "which of a repeated hour, such as `+02:00`"},
					&cli.StringFlag{Name: "spent", Usage: "`MINUTES` of work told without a clock"},
					&cli.StringFlag{Name: "count", Usage: `what was done: 6, or "ada 6, bo 8"`},
					&cli.StringFlag{Name: "operation", Usage: "it was another `OPERATION`"},
					&cli.StringFlag{Name: "note", Usage: "a remark"},
					&cli.StringFlag{Name: "bit", Usage: "it was another `BIT`: the holes go with it"},
					&cli.StringFlag{Name: "grade", Usage: "tear-out 0 to 3"},
					&cli.StringFlag{Name: "by", Usage: "`PERSON` who did it; - for yourself"},
					&cli.StringFlag{Name: "rework", Usage: "it was rework: `CAUSE`; - for a first pass"},
					&cli.StringFlag{Name: "payer", Usage: "who pays for the rework: shop or customer"},
					&cli.StringSliceFlag{Name: "away", Usage: "a break, `HH:MM-HH:MM`, repeatable; - for none"},
					&cli.BoolFlag{Name: "done", Usage: "the step is done"},
					&cli.BoolFlag{Name: "open", Usage: "the step is not done after all"},
					&cli.BoolFlag{Name: "confirm", Usage: "the assumed end is right"},
					why,
				}},
			{Name: "move", Usage: "it was another neck", ArgsUsage: "ID --to-neck NECK --why REASON", Action: e.entryMove, Flags: []cli.Flag{
				&cli.StringFlag{Name: "to-neck", Usage: "the right `NECK`"},
				&cli.StringFlag{Name: "neck", Usage: "which `NECK` of a sitting over several was wrong"},
				why,
			}},
			{Name: "drop", Usage: "it never was: holes and supplies of it go too", ArgsUsage: "ID --why REASON", Flags: []cli.Flag{why}, Action: e.entryDrop},
		},
	}
}

// neckShare and entryRow are `entry list --json`.
type neckShare struct {
	Neck     string  `json:"neck"`
	Name     string  `json:"name"`
	Step     int     `json:"step"`
	Count    float64 `json:"count"`
	ShareMin float64 `json:"share_min"`
	Done     bool    `json:"done"`
	Left     bool    `json:"left,omitempty"`
}

type entryRow struct {
	ID         uint64       `json:"id"`
	Operation  string       `json:"operation"`
	Class      jobs.Class   `json:"class"`
	Necks      []neckShare  `json:"necks"`
	From       time.Time    `json:"from"`
	To         *time.Time   `json:"to"`
	ElapsedMin float64      `json:"elapsed_min"`
	Evening    jobs.Day     `json:"evening"`
	Assumed    bool         `json:"assumed"`
	Running    bool         `json:"running,omitempty"`
	Unclocked  bool         `json:"unclocked,omitempty"` // told without a clock
	Late       bool         `json:"late,omitempty"`
	ClockBack  bool         `json:"clock_back,omitempty"`
	AwayMin    float64      `json:"away_min,omitempty"`
	Cause      string       `json:"cause,omitempty"`
	Payer      string       `json:"payer,omitempty"`
	Person     string       `json:"person,omitempty"`
	Grade      *int         `json:"grade,omitempty"`
	Anyway     string       `json:"anyway,omitempty"`
	Note       string       `json:"note"`
	Written    time.Time    `json:"written"`
	Dropped    bool         `json:"dropped,omitempty"`
	History    []historyRow `json:"history,omitempty"`

	elapsed time.Duration
	parts   []time.Duration
}

type historyRow struct {
	At      time.Time `json:"at"`
	Change  uint64    `json:"change"`
	Command string    `json:"command"`
	Why     string    `json:"why,omitempty"`
	What    []string  `json:"what"`
}

type entryList struct {
	Entries  []entryRow `json:"entries"`
	TotalMin float64    `json:"total_min"`
	// NeckMin is the asked neck's own part of the entries.
	NeckMin *float64   `json:"neck_min,omitempty"`
	Dropped []entryRow `json:"dropped,omitempty"`
	AsOf    string     `json:"as_of,omitempty"`
}

// row gives an entry as it is shown, on the shop's clock.
func (b *desk) row(e jobs.Entry, names map[string]string) entryRow {
	zone := b.Shop.Location()
	local := func(t time.Time) time.Time { return t.In(zone) }
	r := entryRow{ID: e.ID, Operation: e.Operation, Class: e.Class, From: local(e.From), Evening: b.Shop.Evening(e.From), Assumed: e.Assumed, Running: e.Running(),
		Unclocked: e.SpentSec > 0, Late: e.Late, ClockBack: e.ClockBack, Cause: e.Cause, Payer: e.Payer, Person: e.Person, Grade: e.Grade, Anyway: e.Anyway,
		Note: e.Note, Written: local(e.Written), elapsed: e.Elapsed(b.Now)}
	if e.To != nil {
		to := local(*e.To)
		r.To = &to
	}
	r.ElapsedMin = r.elapsed.Minutes()
	if e.SpentSec == 0 {
		r.AwayMin = (e.End(b.Now).Sub(e.From) - r.elapsed).Minutes()
	}
	r.parts = e.ShareOut(b.Now)
	for i, s := range e.Shares {
		name, known := names[s.Neck]
		if !known {
			name = b.NecksText(jobs.Entry{Shares: []jobs.Share{s}})
			names[s.Neck] = name
		}
		r.Necks = append(r.Necks, neckShare{Neck: s.Neck, Name: name, Step: s.Step, Count: s.Count, ShareMin: r.parts[i].Minutes(), Done: s.Done, Left: s.Left})
	}
	return r
}

func (r entryRow) neckNames() string {
	var names []string
	for _, n := range r.Necks {
		names = append(names, n.Name)
	}
	return strings.Join(names, "+")
}

// marks says what is special about an entry, shortest words first.
func (r entryRow) marks() string {
	var m []string
	add := func(on bool, word string) {
		if on {
			m = append(m, word)
		}
	}
	add(r.Dropped, "dropped")
	add(r.Running, "on")
	add(r.Assumed, "assumed end")
	add(r.Unclocked, "no clock")
	add(r.Class == jobs.Rework, "rework: "+r.Cause)
	add(r.Late, "after closing")
	add(r.ClockBack, "clock back")
	add(r.Person != "", "by "+r.Person)
	add(r.Anyway != "", "anyway: "+r.Anyway)
	add(r.Note != "", r.Note)
	return strings.Join(m, "; ")
}

// counts says what was done: "6+8 done", "4", "6 done, bo left".
func (r entryRow) counts() string {
	var counts []string
	done, left := 0, 0
	for _, n := range r.Necks {
		c := "-"
		if n.Count > 0 {
			c = jobs.NumberText(n.Count)
		}
		counts = append(counts, c)
		if n.Done {
			done++
		}
		if n.Left {
			left++
		}
	}
	s := strings.Join(counts, "+")
	if strings.Trim(s, "-+") == "" {
		s = ""
	}
	switch {
	case done == len(r.Necks):
		s += " done"
	case done > 0:
		s += fmt.Sprintf(" %d done", done)
	case left > 0:
		s += " left"
	}
	return strings.TrimSpace(s)
}

func (e *env) entryList(c *cli.Context) error {
	if _, err := typedWords(c, 0, 0); err != nil {
		return err
	}
	res := entryList{Entries: []entryRow{}}
	var b *desk
	var whole, own time.Duration
	neck := ""
	err := e.view(c, func(tx *workshop.Book) (err error) {
		if b, err = deskBench(tx); err != nil {
			return err
		}
		f, err := b.entryFilter(c)
		if err != nil {
			return err
		}
		neck = f.Neck
		var es []jobs.Entry
		if v := c.String("as-of"); v != "" {
			at, err := b.asOf(v)
			if err != nil {
				return err
			}
			res.AsOf = at.In(b.Shop.Location()).Format(time.RFC3339)
			es, err = tx.EntriesAsKnown(at, f, b.Shop)
			if err != nil {
				return err
			}
		} else {
			if es, err = tx.FindEntries(store.EntryFilter{Neck: f.Neck, Operation: f.Operation, From: f.From, To: f.To}, b.Shop); err != nil {
				return err
			}
			es = tx.Settled(es)
		}
		names := map[string]string{}
		for _, x := range es {
			if f.Assumed && !x.Assumed {
				continue
			}
			r := b.row(x, names)
			whole += r.elapsed
			for i, s := range x.Shares {
				if s.Neck == neck {
					own += r.parts[i]
				}
			}
			res.Entries = append(res.Entries, r)
		}
		if c.Bool("history") {
			return b.history(&res, f, names)
		}
		return nil
	})
	if err != nil {
		return err
	}
	res.TotalMin = whole.Minutes()
	if neck != "" {
		m := own.Minutes()
		res.NeckMin = &m
	}
	if wantJSON(c) {
		return e.PrintJSON(res)
	}
	return e.print(entryReport(res, b, neck, own))
}

func (b *desk) entryFilter(c *cli.Context) (store.EntryFilter, error) {
	var f store.EntryFilter
	for flag, to := range map[string]*jobs.Day{"from": &f.From, "to": &f.To} {
		if err := dayFlag(c, flag, to); err != nil {
			return f, err
		}
	}
	if c.String("evening") != "" {
		if err := dayFlag(c, "evening", &f.From); err != nil {
			return f, err
		}
		f.To = f.From
	}
	f.Assumed = c.Bool("assumed")
	if w := c.String("neck"); w != "" {
		n, err := b.FindNeck(w)
		if err != nil {
			return f, err
		}
		f.Neck = n.Code
	}
	if w := c.String("operation"); w != "" {
		if _, ok := b.Operations[w]; !ok { // the exact name also finds what was renamed
			k, err := jobs.FindOperation(w, b.Operations, nil)
			if err != nil {
				return f, err
			}
			w = k.Name
		}
		f.Operation = w
	}
	return f, nil
}

// asOf reads a date (the end of that evening) or an instant.
func (b *desk) asOf(v string) (time.Time, error) {
	if t, err := time.Parse(time.RFC3339, v); err == nil {
		return t, nil
	}
	d, err := jobs.ParseDay("as-of", v)
	if err != nil {
		return time.Time{}, &jobs.FieldError{Field: "as-of", Value: v, Want: "a date such as 2027-02-01, or an RFC 3339 instant such as 2027-02-01T20:00:00Z"}
	}
	at, err := jobs.WallTime(d.Add(1), b.Shop.DayEnds, b.Shop.Location(), "")
	if err != nil { // an hour that clocks skip or repeat: any of it does
		return d.Add(1).Noon().Add(-7 * time.Hour), nil
	}
	return at.Add(-time.Second), nil
}
