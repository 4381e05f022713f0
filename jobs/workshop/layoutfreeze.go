package workshop

import (
	"fmt"

	"bookmatch/jobs"
	"bookmatch/layout"
)

func (b *Book) layoutDraw(ask *LayoutDrawAsk, res *DrawResult) error {
	n, _, err := b.readPlan(ask.Neck, ask.Version, &res.PlanResult)
	if err != nil {
		return err
	}
	if ask.Out == "" {
		return &jobs.Refusal{Code: "usage", Class: jobs.Invalid, Why: "no file was named", Type: []string{"layout draw " + n.Name() + " --out " + n.Name() + ".pdf"}}
	}
	if res.Out = ask.Out; ask.Paper != "" {
		res.Paper = ask.Paper
	}
	measured := func(asked, shop float64) float64 {
		if asked == 0 && shop != 100 {
			return shop
		}
		return asked
	}
	res.BarAcrossMM, res.BarAlongMM = measured(ask.BarAcross, b.Shop.PrinterX), measured(ask.BarAlong, b.Shop.PrinterY)
	if res.OutOfDate != "" {
		b.Warn(jobs.Warning{Code: "out-of-date", Text: fmt.Sprintf("Plan %s is out of date: %s.", res.Code, res.OutOfDate), Hint: "layout solve " + n.Name()})
	}
	return nil
}

func (b *Book) layoutFreeze(ask *LayoutFreezeAsk, res *PlanResult) error {
	n, rec, err := b.readPlan(ask.Neck, 0, res)
	if err != nil {
		return err
	}
	if ask.Code != "" && ask.Code != rec.Code {
		return jobs.Refuse("other-plan", fmt.Sprintf("the paper says %s, the plan is %s. Do not drill from that paper", ask.Code, rec.Code), "layout draw "+n.Name()+" --out "+n.Name()+".pdf")
	}
	if res.OutOfDate != "" {
		if ask.Anyway == "" {
			r := jobs.Refuse("out-of-date", fmt.Sprintf("plan %s of %s is out of date: %s", rec.Code, n.Name(), res.OutOfDate), "layout solve "+n.Name(), "layout freeze "+n.Name()+` --anyway "a test head"`)
			r.Anyway = true
			return r
		}
		rec.Why = ask.Anyway
	}
	if rec, err = b.FreezePlan(rec); err != nil {
		return err
	}
	if res.Worst() == layout.Fail {
		b.Warn(jobs.Warning{Code: "checks", Text: "Checks of this plan fail.", Hint: "layout check " + n.Name()})
	}
	at := b.Wall(*rec.Frozen)
	res.Frozen = &at
	return nil
}
