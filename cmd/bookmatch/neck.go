package main

import (
	"strings"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
	"bookmatch/jobs/workshop"

	"github.com/urfave/cli/v2"
)

func neckCommand(e *env) *cli.Command {
	why := &cli.StringFlag{Name: "why", Usage: "the reason"}
	return &cli.Command{
		Name: "neck", Usage: "the necks on the bench",
		Subcommands: []*cli.Command{
			{Name: "add", Usage: "a new neck with the steps of its route", ArgsUsage: "CODE", Action: e.neckAdd, Flags: []cli.Flag{
				&cli.StringFlag{Name: "nickname", Usage: "the short word for the bench"},
				&cli.StringFlag{Name: "title", Usage: "what it is"},
				&cli.StringFlag{Name: "route", Usage: "the route it takes", Value: "headstock"},
				&cli.StringFlag{Name: "wood", Usage: "wood of the neck"},
				&cli.StringFlag{Name: "veneer", Usage: "wood of the show face, if another"},
				&cli.StringFlag{Name: "for", Usage: "the customer; empty for stock"},
				&cli.StringFlag{Name: "due", Usage: "`DATE` promised"},
				&cli.StringFlag{Name: "starts", Usage: "not before this `DATE`"},
				&cli.StringFlag{Name: "head", Usage: "finished thickness of the headstock in `MM`"},
				&cli.StringSliceFlag{Name: "quantity", Usage: "quantity, `WHAT=N` such as inlay=14, repeatable"},
				&cli.StringFlag{Name: "papers", Usage: "document of a listed wood: number, source, date"},
			}},
			{Name: "list", Usage: "all necks, open ones first", Action: e.neckList, Flags: []cli.Flag{&cli.BoolFlag{Name: "all", Usage: "finished and scrapped ones too"}}},
			{Name: "show", Usage: "steps, hours and cost of one neck, with its progress", ArgsUsage: "NECK", Flags: outFlags(), Action: e.neckShow},
			{Name: "step", Usage: "change a step: quantity, difficulty, skip; or add one", ArgsUsage: "NECK STEP|OPERATION", Action: e.neckStep, Flags: []cli.Flag{
				&cli.StringFlag{Name: "quantity", Usage: "units"},
				&cli.StringFlag{Name: "difficulty", Usage: "factor on the time, such as 1.3"},
				&cli.StringFlag{Name: "skip", Usage: "`WHY` the step falls away"},
				&cli.BoolFlag{Name: "unskip", Usage: "the step stands again"},
				&cli.BoolFlag{Name: "add", Usage: "add a step of that operation at the end"},
				&cli.StringFlag{Name: "note", Usage: "a remark"},
			}},
			{Name: "hold", Usage: "set a neck aside", ArgsUsage: "NECK", Flags: []cli.Flag{why}, Action: e.neckStatus(jobs.Held)},
			{Name: "resume", Usage: "go on with a held, finished or scrapped neck", ArgsUsage: "NECK", Action: e.neckStatus(jobs.Open)},
			{Name: "finish", Usage: "hand it over", ArgsUsage: "NECK", Flags: []cli.Flag{&cli.StringFlag{Name: "anyway", Usage: "`WHY` with steps still open"}}, Action: e.neckStatus(jobs.Finished)},
			{Name: "scrap", Usage: "give it up: sunk minutes and money stay on its sheet", ArgsUsage: "NECK", Flags: []cli.Flag{why}, Action: e.neckStatus(jobs.Scrapped)},
		},
	}
}

func (e *env) neckAdd(c *cli.Context) error {
	w, err := typedWords(c, 1, 1)
	if err != nil {
		return err
	}
	quantities, err := jobs.ParseQuantities(c.StringSlice("quantity"))
	if err != nil {
		return err
	}
	n := jobs.Neck{Code: w[0], Nickname: c.String("nickname"), Title: c.String("title"), Customer: c.String("for"), Status: jobs.Open, Papers: c.String("papers")}
	n.Paid = n.Customer != ""
	if err := dayFlag(c, "due", &n.Due); err != nil {
		return err
	}
	if err := dayFlag(c, "starts", &n.Starts); err != nil {
		return err
	}
	if v := c.String("head"); v != "" {
		if n.HeadMM, err = jobs.ParseNumber("head", v, 1, 60); err != nil {
			return err
		}
	}
	err = e.update(c, func(tx *workshop.Book) error {
		if err := n.Validate(); err != nil {
			return err
		}
		if err := tx.FreeNeckName(n); err != nil {
			return err
		}
		route, err := tx.FindRoute(c.String("route"))
		if err != nil {
			return err
		}
		n.Route, n.Added = route.Name, tx.Now
		for flag, to := range map[string]*string{"wood": &n.Wood, "veneer": &n.Veneer} {
			if v := c.String(flag); v != "" {
				wood, err := tx.FindWood(v)
				if err != nil {
					return err
				}
				*to = wood.Name
			}
		}
		operations, err := tx.OperationMap()
		if err != nil {
			return err
		}
		if n.Steps, n.Quantities, err = jobs.PlanSteps(route, operations, quantities); err != nil {
			return err
		}
		return store.Put(tx.Tx, store.Necks, n)
	})
	if err != nil {
		return err
	}
	if wantJSON(c) {
		return e.PrintJSON(n)
	}
	e.Say("neck %s %s: %d steps of route %s", n.Code, quoted(n.Nickname), len(n.Steps), n.Route)
	return nil
}

func quoted(s string) string {
	if s == "" {
		return "(no nickname)"
	}
	return s
}

// dayFlag reads a date flag into a Day.
func dayFlag(c *cli.Context, name string, to *jobs.Day) error {
	v := c.String(name)
	if v == "" {
		return nil
	}
	d, err := jobs.ParseDay(name, v)
	if err == nil {
		*to = d
	}
	return err
}

func (e *env) neckStatus(to jobs.Status) cli.ActionFunc {
	return func(c *cli.Context) error {
		w, err := typedWords(c, 1, 1)
		if err != nil {
			return err
		}
		var n jobs.Neck
		var warns []string
		err = e.update(c, func(tx *workshop.Book) error {
			if n, err = tx.FindNeck(w[0]); err != nil {
				return err
			}
			st, err := tx.NeckState(n)
			if err != nil {
				return err
			}
			n, warns, err = jobs.ChangeStatus(st, to, c.String("why"), c.String("anyway"), tx.Now)
			if err != nil {
				return err
			}
			return store.Put(tx.Tx, store.Necks, n)
		})
		if err != nil {
			return err
		}
		for _, t := range warns {
			e.Warn("%s", t)
		}
		if wantJSON(c) {
			return e.PrintJSON(n)
		}
		why := ""
		if n.Why != "" {
			why = ": " + n.Why
		}
		e.Say("neck %s is %s%s", n.Name(), n.Status, why)
		return nil
	}
}

func (e *env) neckStep(c *cli.Context) error {
	w, err := typedWords(c, 2, 2)
	if err != nil {
		return err
	}
	var n jobs.Neck
	var step jobs.Step
	err = e.update(c, func(tx *workshop.Book) error {
		b, err := deskBench(tx)
		if err != nil {
			return err
		}
		if n, err = tx.FindNeck(w[0]); err != nil {
			return err
		}
		st, err := tx.NeckState(n)
		if err != nil {
			return err
		}
		ch := jobs.StepChange{Word: w[1], Add: c.Bool("add"), Skip: c.String("skip"), Unskip: c.Bool("unskip"), Note: c.String("note")}
		for flag, p := range map[string]**float64{"quantity": &ch.Quantity, "difficulty": &ch.Difficulty} {
			if v := c.String(flag); v != "" {
				f, err := jobs.ParseNumber(flag, v, 0, 1e6)
				if err != nil {
					return err
				}
				*p = &f
			}
		}
		if n, step, err = ch.Apply(st, b.Operations); err != nil {
			return err
		}
		return store.Put(tx.Tx, store.Necks, n)
	})
	if err != nil {
		return err
	}
	if wantJSON(c) {
		return e.PrintJSON(step)
	}
	var parts []string
	if step.Skip != "" {
		parts = append(parts, "falls away: "+step.Skip)
	}
	if step.Difficulty > 0 {
		parts = append(parts, "difficulty "+jobs.NumberText(step.Difficulty))
	}
	parts = append([]string{"quantity " + jobs.NumberText(step.Quantity)}, parts...)
	e.Say("neck %s step %d %s: %s", n.Name(), step.No, step.Operation, strings.Join(parts, ", "))
	return nil
}
