package main

import (
	"io"
	"strings"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"
	papers "bookmatch/reports/paper"

	"github.com/urfave/cli/v2"
)

// sheet gives what the reports need of a plan.
// frame puts the shop on a report of the plan: paper, zone, name, when the plan
// was made.
func (ps planState) frame(r *reports.Report) {
	r.Currency, r.Paper, r.Zone, r.Shop, r.Made = ps.shop.Currency, reports.Paper(ps.shop.Paper), ps.shop.Location(), ps.shop.Name, ps.plan.Made
}

func (ps planState) sheet() reports.LayoutSheet {
	return reports.LayoutSheet{Shop: ps.shop, Neck: ps.neck, Plan: ps.solved, Made: ps.plan.Made, State: ps.state(), Stale: ps.stale}
}

func (e *env) layoutShow(c *cli.Context) error {
	w, err := typedWords(c, 1, 1)
	if err != nil {
		return err
	}
	var ps planState
	var sheet reports.LayoutSheet
	err = e.view(c, func(tx *workshop.Book) error {
		if ps, err = readPlan(tx, w[0], c.Int("version")); err != nil {
			return err
		}
		sheet = ps.sheet()
		b, err := deskBench(tx)
		if err != nil {
			return err
		}
		st, err := tx.NeckState(ps.neck)
		if err != nil {
			return err
		}
		for _, drills := range []string{jobs.DrillsPosts, jobs.DrillsHidden} {
			operation := b.DrillOperation(drills)
			sheet.Cautions = append(sheet.Cautions, operation.Caution)
			bit, why, err := b.ChooseBit(operation, []jobs.NeckState{st}, "")
			if err != nil {
				return err
			}
			name := bit.Code
			if name == "" {
				name = why
			}
			sheet.Bits = append(sheet.Bits, reports.SheetBit{Drills: drills, Bit: name})
		}
		sheet.Versions, err = store.AllOf(tx.Tx, store.Plans, ps.neck.Code)
		return err
	})
	if err != nil {
		return err
	}
	if wantJSON(c) && c.String("out") == "" {
		return e.PrintJSON(ps.json())
	}
	if ps.stale != "" {
		e.Warn("plan %s is stale: %s", ps.plan.Code, ps.stale)
	}
	return e.hand(c, paper{report: reports.DrillingSheet(sheet)})
}

func (e *env) layoutDraw(c *cli.Context) error {
	w, err := typedWords(c, 1, 1)
	if err != nil {
		return err
	}
	path := c.String("out")
	if path == "" {
		return usagef("bookmatch "+strings.TrimSpace(strings.TrimPrefix(c.Command.HelpName, "bookmatch")+" "+c.Command.ArgsUsage), "layout draw needs --out FILE.pdf or FILE.svg")
	}
	var ps planState
	err = e.view(c, func(tx *workshop.Book) error {
		ps, err = readPlan(tx, w[0], c.Int("version"))
		return err
	})
	if err != nil {
		return err
	}
	d := papers.Template{Plan: ps.solved, Shop: ps.shop.Name, Neck: ps.neck.Name(), Title: ps.neck.Title, Paper: reports.Paper(ps.shop.Paper), Made: ps.plan.Made, State: ps.state(), Side: c.String("side")}
	if v := c.String("paper"); v != "" {
		d.Paper = reports.Paper(v)
	}
	for flag, to := range map[string]*float64{"bar-across": &d.BarAcrossMM, "bar-along": &d.BarAlongMM} {
		if v := c.String(flag); v != "" {
			if *to, err = jobs.ParseNumber(flag, v, 1, 1000); err != nil {
				return err
			}
		}
	}
	if ps.neck.Code != ps.neck.Name() {
		d.Neck = ps.neck.Code + " (" + ps.neck.Name() + ")"
	}
	if ps.stale != "" {
		e.Warn("plan %s is stale: %s", ps.plan.Code, ps.stale)
	}
	if err := e.notTheFile(c, path); err != nil {
		return err
	}
	if err := reports.WriteFile(path, c.Bool("force"), func(out io.Writer) error {
		warnings, err := papers.WriteTemplate(out, path, d)
		e.warnAll(warnings)
		return err
	}); err != nil {
		return err
	}
	if wantJSON(c) {
		return e.PrintJSON(map[string]any{"out": path, "code": ps.plan.Code, "version": ps.plan.Version})
	}
	e.Say("plan %s of %s drawn to %s: print at 100 %%, both bars must read 100.0 mm", ps.plan.Code, ps.neck.Name(), path)
	return nil
}
