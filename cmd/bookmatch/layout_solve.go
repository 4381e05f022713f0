package main

import (
	"fmt"
	"strings"

	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
	"bookmatch/layout"
	"bookmatch/reports"

	"github.com/urfave/cli/v2"
)

// specFor gives the spec named by --spec, else the one the neck's plan was
// solved from.
func (e *env) specFor(c *cli.Context, tx *workshop.Book, n *jobs.Neck) (specFile, string, error) {
	if path := c.String("spec"); path != "" {
		f, err := loadSpec(path)
		return f, "", err
	}
	if n == nil {
		return specFile{}, "", usagef("bookmatch "+strings.TrimSpace(strings.TrimPrefix(c.Command.HelpName, "bookmatch")+" "+c.Command.ArgsUsage), "a neck with a plan, or --spec FILE is needed")
	}
	p, ok, err := tx.CurrentPlan(n.Code)
	if err != nil {
		return specFile{}, "", err
	}
	if !ok {
		return specFile{}, "", usagef("bookmatch layout solve "+n.Name()+" --spec head.toml --mode balanced", "neck %s has no plan yet: give --spec FILE", n.Name())
	}
	if p.File != "" {
		if f, err := loadSpec(p.File); err == nil {
			return f, p.Mode, nil
		}
	}
	solved, err := solvedOf(p)
	return specFile{spec: solved.Spec, text: p.Spec, path: p.File}, p.Mode, err
}

func (e *env) layoutSolve(c *cli.Context) error {
	w, err := typedWords(c, 1, 1)
	if err != nil {
		return err
	}
	var ps planState
	before := 0
	err = e.update(c, func(tx *workshop.Book) error {
		b, err := deskBench(tx)
		if err != nil {
			return err
		}
		n, err := tx.FindNeck(w[0])
		if err != nil {
			return err
		}
		f, mode, err := e.specFor(c, tx, &n)
		if err != nil {
			return err
		}
		if c.IsSet("mode") || mode == "" {
			mode = c.String("mode")
		}
		spec, err := withPieces(tx, f.spec)
		if err != nil {
			return err
		}
		if mode == "" {
			return usagef("bookmatch "+strings.TrimSpace(strings.TrimPrefix(c.Command.HelpName, "bookmatch")+" "+c.Command.ArgsUsage), "give --mode: straight-row, even-pitch, even-edge or balanced; layout compare shows them side by side")
		}
		p, err := layout.Solve(spec, mode)
		if err != nil {
			return specProblem("spec", err)
		}
		knownThickness(&p, n.HeadMM)
		st, err := tx.NeckState(n)
		if err != nil {
			return err
		}
		rec, err := planOf(f, spec, p)
		if err != nil {
			return err
		}
		if last, ok, err := tx.CurrentPlan(n.Code); err != nil {
			return err
		} else if ok {
			before = last.Version
		}
		if rec, err = tx.KeepPlan(st, rec); err != nil {
			return err
		}
		ps = planState{neck: n, plan: rec, solved: p, shop: b.Shop}
		ps.solved.Neck, ps.solved.Version = n.Code, rec.Version
		return nil
	})
	if err != nil {
		return err
	}
	fails := 0
	for _, f := range ps.solved.Findings {
		if f.Result == layout.Fail {
			fails++
		}
	}
	if fails > 0 {
		e.Warn("%d of the checks fail: layout check %s", fails, ps.neck.Name())
	}
	if wantJSON(c) {
		return e.PrintJSON(ps.json())
	}
	same := ""
	if before == ps.plan.Version {
		same = ", unchanged"
	}
	e.Say("plan %s of %s, version %d%s: %s, %s", ps.plan.Code, ps.neck.Name(), ps.plan.Version, same, ps.plan.Mode, ps.state())
	return e.print(reports.LayoutSolved(ps.sheet()))
}

func (e *env) layoutCompare(c *cli.Context) error {
	w, err := typedWords(c, 0, 1)
	if err != nil {
		return err
	}
	var f specFile
	if len(w) == 0 {
		if f, _, err = e.specFor(c, nil, nil); err != nil {
			return err
		}
	} else {
		err = e.view(c, func(tx *workshop.Book) error {
			n, err := tx.FindNeck(w[0])
			if err != nil {
				return err
			}
			if f, _, err = e.specFor(c, tx, &n); err != nil {
				return err
			}
			f.spec, err = withPieces(tx, f.spec)
			return err
		})
		if err != nil {
			return err
		}
	}
	cmp, err := layout.Compare(f.spec)
	if err != nil {
		return specProblem("spec", err)
	}
	if wantJSON(c) {
		return e.PrintJSON(cmp)
	}
	return e.print(reports.LayoutCompare(cmp))
}

func (e *env) layoutCheck(c *cli.Context) error {
	w, err := typedWords(c, 1, 1)
	if err != nil {
		return err
	}
	var ps planState
	err = e.view(c, func(tx *workshop.Book) error {
		ps, err = readPlan(tx, w[0], c.Int("version"))
		return err
	})
	if err != nil {
		return err
	}
	findings, notes, err := layout.Check(ps.solved)
	if err != nil {
		return err
	}
	worst := layout.Plan{Findings: findings}.Worst()
	if worst == layout.Fail || ps.stale != "" {
		e.Found()
	}
	if wantJSON(c) {
		return e.PrintJSON(map[string]any{"neck": ps.neck.Code, "version": ps.plan.Version, "code": ps.plan.Code, "result": worst, "stale": ps.stale,
			"frozen": ps.plan.Frozen, "findings": findings, "notes": notes})
	}
	if ps.stale != "" {
		e.Warn("plan %s is stale: %s", ps.plan.Code, ps.stale)
		e.Hint("layout solve %s, print again, then layout freeze %s", ps.neck.Name(), ps.neck.Name())
	}
	e.Say("plan %s of %s, version %d, %s: %s", ps.plan.Code, ps.neck.Name(), ps.plan.Version, ps.plan.Mode, worst)
	return e.print(reports.LayoutChecks(findings, notes))
}

func (e *env) layoutFreeze(c *cli.Context) error {
	w, err := typedWords(c, 1, 1)
	if err != nil {
		return err
	}
	var ps planState
	err = e.update(c, func(tx *workshop.Book) error {
		if ps, err = readPlan(tx, w[0], 0); err != nil {
			return err
		}
		if code := c.String("code"); code != "" && code != ps.plan.Code {
			return &jobs.ConflictError{What: fmt.Sprintf("the newest plan of %s is %s, not %s: the paper is of another plan", ps.neck.Name(), ps.plan.Code, code), How: "print again: layout draw " + ps.neck.Name() + " --out template.pdf"}
		}
		if ps.stale != "" {
			if c.String("anyway") == "" {
				return &jobs.ConflictError{What: fmt.Sprintf("plan %s of %s is stale: %s", ps.plan.Code, ps.neck.Name(), ps.stale), How: `solve again, or freeze it with --anyway "why"`}
			}
			ps.plan.Why = c.String("anyway")
		}
		ps.plan, err = tx.FreezePlan(ps.plan)
		return err
	})
	if err != nil {
		return err
	}
	if ps.solved.Worst() == layout.Fail {
		e.Warn("checks of this plan fail: layout check %s", ps.neck.Name())
	}
	if wantJSON(c) {
		return e.PrintJSON(map[string]any{"neck": ps.neck.Code, "version": ps.plan.Version, "code": ps.plan.Code, "frozen": ps.plan.Frozen})
	}
	e.Say("plan %s of %s, version %d, is frozen: %d holes", ps.plan.Code, ps.neck.Name(), ps.plan.Version, len(ps.plan.Holes))
	return nil
}
