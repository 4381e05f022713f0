package main

import (
	"fmt"
	"strings"
	"time"

	"bookmatch/costing/bitlife"
	"bookmatch/costing/money"
	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"

	"github.com/urfave/cli/v2"
)

func bitCommand(e *env) *cli.Command {
	on := &cli.StringFlag{Name: "on", Usage: "`DATE` it happened, or DATE HH:MM; now if not said"}
	note := &cli.StringFlag{Name: "note", Usage: "a remark"}
	hole := []cli.Flag{
		&cli.StringFlag{Name: "depth", Usage: "hole depth in `MM`"},
		&cli.StringFlag{Name: "wood", Usage: "`WOOD` drilled through"},
		&cli.StringSliceFlag{Name: "layer", Usage: "`WOOD:MM`, once for each wood in order, instead of --wood and --depth"},
		&cli.StringFlag{Name: "backing", Usage: "tight, loose or none"},
		&cli.StringFlag{Name: "backing-wood", Usage: "`WOOD` of the backing"},
		&cli.StringFlag{Name: "backing-depth", Usage: "`MM` that each hole runs into it"},
		&cli.IntFlag{Name: "glue-lines", Usage: "cured glue lines drilled through"},
	}
	seen := []cli.Flag{
		&cli.StringFlag{Name: "grade", Usage: "rim of entry: 0 clean, 1 fuzz, 2 chip that hardware hides, 3 chip it does not; left out is not seen"},
		&cli.StringFlag{Name: "grade-out", Usage: "rim of exit, which speaks of the bit over a tight backing only"},
		&cli.StringFlag{Name: "signs", Usage: "seen or heard, comma between: " + strings.Join(jobs.UseSigns(), ", ")},
	}
	neck := &cli.StringFlag{Name: "neck", Usage: "`NECK` drilled"}
	return &cli.Command{
		Name: "bit", Usage: "drill bits: edges, wear, and when to retire one from the show set",
		Subcommands: []*cli.Command{
			{Name: "add", Usage: "put a bit on file", ArgsUsage: "CODE --diameter D --point P", Action: e.bitAdd, Flags: []cli.Flag{
				&cli.StringFlag{Name: "diameter", Usage: "`SIZE`: 10, 9.5mm, 25/64in", Required: true},
				&cli.StringFlag{Name: "point", Usage: strings.Join(jobs.BitPoints(), ", "), Required: true},
				&cli.StringFlag{Name: "material", Usage: strings.Join(jobs.BitMaterials(), ", "), Value: "hss"},
				&cli.StringFlag{Name: "keep", Usage: "show (rims that must not tear), general or scrap", Value: jobs.KeepGeneral},
				&cli.StringFlag{Name: "price", Usage: "`PRICE` of the bit"},
				&cli.StringFlag{Name: "new-edge", Usage: "`COST` of a fresh edge: a new bit, or sharpening; the price if not said"},
				&cli.StringFlag{Name: "life", Usage: "life you or the maker expect, in cut `METRES` (150 holes of 15 mm in hard maple = 2.25)"}, on, note}},
			{Name: "use", Usage: "holes drilled", ArgsUsage: "BIT --holes N", Action: e.bitUse, Flags: append(append(append([]cli.Flag{
				&cli.IntFlag{Name: "holes", Usage: "how many", Required: true}}, hole...), seen...), neck,
				&cli.StringFlag{Name: "unknown", Usage: "no BIT but the `SIZE` of one nobody remembers"},
				&cli.BoolFlag{Name: "hidden", Usage: "hardware covers these holes"},
				&cli.BoolFlag{Name: "estimated", Usage: "guessed afterwards"}, on, note)},
			{Name: "test", Usage: "a test hole in offcut: wear, and the cheapest news of an edge", ArgsUsage: "BIT --wood WOOD --grade G", Action: e.bitTest,
				Flags: append(append(append([]cli.Flag{&cli.IntFlag{Name: "holes", Value: 1}}, hole...), seen...), on, note)},
			{Name: "drop", Usage: "take a use back by its number", ArgsUsage: "N", Action: e.bitDrop},
			{Name: "sharpen", Usage: "a fresh edge", ArgsUsage: "BIT", Action: e.bitSharpen, Flags: []cli.Flag{
				&cli.StringFlag{Name: "diameter", Usage: "measured `SIZE`: a sharpened bit may cut undersize"},
				&cli.StringFlag{Name: "life", Usage: "life of this edge in cut `METRES`; 0.8 of a new one is a usual first guess (judgement)"},
				&cli.StringFlag{Name: "why", Usage: "how the edge before ended: dull, suspected, swapped"}, on, note}},
			{Name: "move", Usage: "to another set; the cause decides what its life tells", ArgsUsage: "BIT --to SET --why CAUSE", Action: e.bitMove, Flags: []cli.Flag{
				&cli.StringFlag{Name: "to", Usage: strings.Join(jobs.BitKeeps(), ", "), Required: true},
				&cli.StringFlag{Name: "why", Usage: strings.Join(jobs.MoveCauses(), ", "), Required: true},
				&cli.StringFlag{Name: "anyway", Usage: "`WHY` to go against the rules of the sets"}, on, note}},
			{Name: "list", Usage: "the register: life, holes left, verdict on a plain face", Action: e.bitList, Flags: []cli.Flag{&cli.BoolFlag{Name: "all", Usage: "scrapped, lost and broken ones too"}}},
			{Name: "show", Usage: "one bit: its edges, what each did, grade against age, with its life bar", ArgsUsage: "BIT", Flags: outFlags(), Action: e.bitShow},
			{Name: "verdict", Usage: "will it do the next holes on this face?", ArgsUsage: "[BIT]", Action: e.bitVerdict, Flags: append(append([]cli.Flag{
				&cli.IntFlag{Name: "holes", Usage: "of the job at hand"}}, hole...),
				&cli.StringFlag{Name: "torn-hole", Usage: "what a torn hole costs on this face: `AMOUNT`"},
				&cli.StringFlag{Name: "neck", Usage: "take holes, wood and damage from `NECK`[+NECK]"},
				&cli.BoolFlag{Name: "tonight", Usage: "which bit for which neck whose drilling is next"},
				&cli.BoolFlag{Name: "hidden", Usage: "hardware covers these holes"},
				&cli.BoolFlag{Name: "fit", Usage: "fit shape and life by maximum likelihood beside it, however few the edges"})},
		},
	}
}

func (e *env) bitAdd(c *cli.Context) error {
	w, err := typedWords(c, 1, 1)
	if err != nil {
		return err
	}
	return e.deskWord(c, func(b *desk) error {
		bit := jobs.Bit{Code: w[0], Point: strings.ToLower(c.String("point")), Material: c.String("material"), Keep: c.String("keep"), Note: c.String("note")}
		if err := jobs.ValidCode("bit", bit.Code); err != nil {
			return err
		}
		if bit.DiameterMM, bit.DiameterText, err = jobs.ParseDiameter(c.String("diameter")); err != nil {
			return err
		}
		for _, f := range []struct {
			flag string
			to   *money.Amount
		}{{"price", &bit.Price}, {"new-edge", &bit.NewEdgeCost}} {
			if c.IsSet(f.flag) {
				if *f.to, err = jobs.ParseAmount(f.flag, c.String(f.flag)); err != nil {
					return err
				}
			}
		}
		if c.IsSet("life") {
			if bit.RatedM, err = jobs.ParseLife("life", c.String("life")); err != nil {
				return err
			}
		}
		if bit.Added, err = b.stamp(c, false); err != nil {
			return err
		}
		line := fmt.Sprintf("%s: %s set, %s", bit.Label(), bit.Keep, bit.Class().Diameter)
		if bit.RatedM > 0 {
			line += fmt.Sprintf(", rated %s", bitlife.HolesText(bit.RatedM))
		} else {
			b.Warn("no rated life: there is no verdict on it until an edge of its class wears out")
		}
		if bitlife.ChangeCost(bit).Sign() == 0 {
			b.Warn("no price: there is no best age to retire it at without --price or --new-edge")
		}
		b.Say("%s", line)
		b.Data = bit
		return b.AddBit(bit)
	})
}

// bitRow is a bit in `bit list --json`.
type bitRow struct {
	bitlife.Verdict
	DiameterMM float64   `json:"diameter_mm"`
	Point      string    `json:"point"`
	Material   string    `json:"material"`
	Holes      int       `json:"holes"`
	LastGrade  *int      `json:"last_grade"`
	LastUse    time.Time `json:"last_use,omitzero"`
	Cause      string    `json:"cause,omitempty"`
}

// readBits gathers the register: every bit judged on a plain face of the usual
// depth. The uses are read for who shows them.
func readBits(tx *workshop.Book, uses bool) (reports.BitBook, error) {
	var out reports.BitBook
	b, err := deskBench(tx)
	if err != nil {
		return out, err
	}
	read := tx.BitBookLives
	if uses {
		read = func() (jobs.BitBook, error) { return tx.BitBook() }
	}
	book, err := read()
	if err != nil {
		return out, err
	}
	a := b.AdvisorOn(book, false)
	job, err := b.PlainJob()
	if err != nil {
		return out, err
	}
	out = reports.BitBook{Shop: b.Shop, Now: tx.Now, Book: a.Book, Lives: a.Lives, Job: job, Advisor: a}
	for _, bit := range a.Book.Bits {
		v, err := a.Verdict(bit.Code, job)
		if err != nil {
			return out, err
		}
		out.Verdicts = append(out.Verdicts, v)
	}
	return out, nil
}

func (e *env) bitList(c *cli.Context) error {
	if _, err := typedWords(c, 0, 0); err != nil {
		return err
	}
	var book reports.BitBook
	if err := e.view(c, func(tx *workshop.Book) (err error) {
		book, err = readBits(tx, false)
		return err
	}); err != nil {
		return err
	}
	if wantJSON(c) {
		rows := []bitRow{}
		for i, bit := range book.Book.Bits {
			life, _ := book.Advisor.Life(bit.Code)
			if life.Keep == jobs.KeepScrap && !c.Bool("all") {
				continue
			}
			rows = append(rows, bitRow{book.Verdicts[i], bit.DiameterMM, bit.Point, bit.Material, life.Holes, life.LastGrade, life.LastUse, life.Cause})
		}
		return e.PrintJSON(map[string]any{"bits": rows, "currency": book.Shop.Currency})
	}
	return e.print(reports.BitList(book, c.Bool("all")))
}

func (e *env) bitShow(c *cli.Context) error {
	w, err := typedWords(c, 1, 1)
	if err != nil {
		return err
	}
	var book reports.BitBook
	var bit jobs.Bit
	if err := e.view(c, func(tx *workshop.Book) (err error) {
		if bit, err = tx.FindBit(w[0]); err != nil {
			return err
		}
		book, err = readBits(tx, true)
		return err
	}); err != nil {
		return err
	}
	if wantJSON(c) && c.String("out") == "" {
		return e.PrintJSON(bitData(book, bit))
	}
	p := paper{report: reports.BitCard(book, bit)}
	for _, v := range book.Verdicts {
		if v.Bit == bit.Code {
			bar := reports.BitLifeBar(v)
			p.picture, p.above = bar, true
		}
	}
	return e.hand(c, p)
}

// bitData is what `bit show --json` prints.
func bitData(book reports.BitBook, bit jobs.Bit) map[string]any {
	edges, uses, moves := []jobs.EdgeLife{}, []jobs.BitUse{}, []jobs.BitMove{}
	for _, l := range book.Lives {
		if l.Bit == bit.Code {
			edges = append(edges, l)
		}
	}
	for _, u := range book.Book.Uses {
		if u.Bit == bit.Code {
			uses = append(uses, u)
		}
	}
	for _, m := range book.Book.Moves {
		if m.Bit == bit.Code {
			moves = append(moves, m)
		}
	}
	out := map[string]any{"bit": bit.Code, "record": bit, "edges": edges, "uses": uses, "moves": moves, "class": bit.Class().String(), "currency": book.Shop.Currency}
	for _, v := range book.Verdicts {
		if v.Bit == bit.Code {
			out["verdict"] = v
		}
	}
	return out
}
