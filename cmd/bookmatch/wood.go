package main

import (
	"strconv"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"

	"github.com/urfave/cli/v2"
)

func woodCommand(e *env) *cli.Command {
	return &cli.Command{
		Name: "wood", Usage: "woods and boards: how fast they wear a bit, how they tear, their dust and trade controls",
		Subcommands: []*cli.Command{
			{Name: "list", Usage: "all woods with their factors", Action: e.woodList},
			{Name: "show", Usage: "one wood with its cautions and sources", ArgsUsage: "WOOD", Action: e.woodShow},
			{Name: "set", Usage: "change what is known of a wood; --new adds one", ArgsUsage: "WOOD", Action: e.woodSet, Flags: []cli.Flag{
				&cli.BoolFlag{Name: "new", Usage: "put a wood on file that is not there yet"},
				&cli.StringFlag{Name: "abrasion", Usage: "wear on an edge, hard maple = 1: `FACTOR`"},
				&cli.StringFlag{Name: "tear-out", Usage: "`GRADE` 0 to 3 that a sharp bit with a tight backing leaves"},
				&cli.StringFlag{Name: "hardness", Usage: "side hardness in `N`"},
				&cli.StringFlag{Name: "title", Usage: "full name"},
				&cli.StringFlag{Name: "dust", Usage: "caution about its dust"},
				&cli.StringFlag{Name: "trade", Usage: "trade control to look up before sale or export"},
				&cli.StringFlag{Name: "reaction", Usage: "your own note on how its dust treats you"},
				&cli.StringFlag{Name: "source", Usage: "where the factor comes from"}}},
		},
	}
}

func (e *env) woodList(c *cli.Context) error {
	if _, err := typedWords(c, 0, 0); err != nil {
		return err
	}
	var woods []jobs.Wood
	err := e.view(c, func(tx *workshop.Book) (err error) {
		woods, err = store.All(tx.Tx, store.Woods)
		return err
	})
	if err != nil {
		return err
	}
	if wantJSON(c) {
		if woods == nil {
			woods = []jobs.Wood{}
		}
		return e.PrintJSON(map[string]any{"woods": woods})
	}
	t := reports.Table{Name: "woods", Title: "Woods", Empty: "no wood is on file", Columns: []reports.Column{
		{Key: "wood", Header: "wood", Max: 20}, {Key: "abrasion", Header: "abrasion", Kind: reports.KindNumber, Digits: 2},
		{Key: "tear_out", Header: "tears", Kind: reports.KindCount}, {Key: "hardness", Header: "hardness", Unit: "N", Kind: reports.KindCount},
		{Key: "title", Header: "title"}, {Key: "listed", Header: "trade", Max: 12}},
		Notes: []string{"abrasion: wear on an edge, hard maple = 1 (judgement; hardness is a rough scale at best)",
			"tears: the grade a sharp bit with a tight backing leaves; hardness: USDA Wood Handbook, where it lists the wood",
			"dust, trade controls and sources: wood show WOOD"}}
	for _, w := range woods {
		n, listed := reports.Empty(), ""
		if w.TradeControl != "" {
			listed = "look it up"
		}
		if w.HardnessN > 0 {
			n = reports.Count(int(w.HardnessN))
		}
		t.Add(reports.Text(w.Name), reports.Number(w.Abrasion), reports.Count(w.TearOut), n, reports.Text(w.Title), reports.Text(listed))
	}
	return e.print(reports.Report{Name: "woods", Title: "Woods", Sections: reports.Sections(t)})
}

func (e *env) woodShow(c *cli.Context) error {
	w, err := typedWords(c, 1, 1)
	if err != nil {
		return err
	}
	var wood jobs.Wood
	if err := e.view(c, func(tx *workshop.Book) (err error) {
		wood, err = tx.FindWood(w[0])
		return err
	}); err != nil {
		return err
	}
	if wantJSON(c) {
		return e.PrintJSON(wood)
	}
	e.sayWood(wood)
	return nil
}

func (e *env) sayWood(w jobs.Wood) {
	e.Text("%s: %s", w.Name, w.Title)
	e.Text("  abrasion %s (hard maple = 1); %s", strconv.FormatFloat(w.Abrasion, 'f', -1, 64), w.Source)
	e.Text("  a sharp bit with a tight backing leaves grade %d", w.TearOut)
	for _, line := range []struct{ name, text string }{{"dust", w.Dust}, {"your note", w.Reaction}, {"trade", w.TradeControl}} {
		if line.text != "" {
			e.Text("  %s: %s", line.name, line.text)
		}
	}
}

func (e *env) woodSet(c *cli.Context) error {
	w, err := typedWords(c, 1, 1)
	if err != nil {
		return err
	}
	var wood jobs.Wood
	err = e.update(c, func(tx *workshop.Book) (err error) {
		switch as := store.Taken(tx.Tx, store.Woods, w[0]); {
		case !c.Bool("new"):
			if wood, err = tx.FindWood(w[0]); err != nil {
				return err
			}
		case as != "": // exactly: pine is no reason to refuse pine-red
			return &jobs.ConflictError{What: "wood " + as + " is on file already", How: "leave --new away to change it"}
		default:
			wood = jobs.Wood{Name: w[0], Title: w[0], Abrasion: 1, Source: "set by the builder"}
		}
		for _, f := range []struct {
			flag      string
			low, high float64
			set       func(float64)
		}{{"abrasion", jobs.MinAbrasion, jobs.MaxAbrasion, func(v float64) {
			wood.Abrasion, wood.Source = v, "set by the builder"
		}}, {"hardness", 0, 50000, func(v float64) { wood.HardnessN = v }}} {
			if c.IsSet(f.flag) {
				v, err := jobs.ParseNumber(f.flag, c.String(f.flag), f.low, f.high)
				if err != nil {
					return err
				}
				f.set(v)
			}
		}
		if c.IsSet("tear-out") {
			g, err := parseGrade("tear-out", c.String("tear-out"))
			if err != nil {
				return err
			}
			wood.TearOut = *g
		}
		for _, f := range []struct {
			flag string
			to   *string
		}{{"title", &wood.Title}, {"dust", &wood.Dust}, {"trade", &wood.TradeControl}, {"reaction", &wood.Reaction}, {"source", &wood.Source}} {
			if c.IsSet(f.flag) {
				*f.to = c.String(f.flag)
			}
		}
		return store.Put(tx.Tx, store.Woods, wood)
	})
	if err != nil {
		return err
	}
	if wantJSON(c) {
		return e.PrintJSON(wood)
	}
	e.sayWood(wood)
	return nil
}

// parseGrade reads a tear-out grade.
func parseGrade(field, s string) (*int, error) {
	n, err := strconv.Atoi(s)
	if err != nil || n < 0 || n > jobs.MaxGrade {
		return nil, &jobs.FieldError{Field: field, Value: s, Want: "0 clean, 1 fuzz, 2 chip that hardware hides, 3 chip it does not"}
	}
	return &n, nil
}
