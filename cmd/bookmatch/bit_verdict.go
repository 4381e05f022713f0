package main

import (
	"fmt"
	"slices"

	"bookmatch/cmd/words"
	"bookmatch/costing/bitlife"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
	"bookmatch/jobs/workshop"

	"github.com/urfave/cli/v2"
)

// verdictRow is a verdict with how to set the press.
type verdictRow struct {
	bitlife.Verdict
	Drilling *bitlife.DrillAdvice `json:"drilling,omitempty"`
}

func (e *env) bitVerdict(c *cli.Context) error {
	w, err := typedWords(c, 0, 1)
	if err != nil {
		return err
	}
	var rows []verdictRow
	var shop jobs.Shop
	var plans []bitlife.Plan
	err = e.view(c, func(tx *workshop.Book) error {
		b, err := deskBench(tx)
		if err != nil {
			return err
		}
		shop = b.Shop
		var named []string
		if len(w) == 1 && !c.Bool("tonight") {
			bit, err := b.FindBit(w[0])
			if err != nil {
				return err
			}
			named = []string{bit.Code}
		}
		a, err := b.Advisor(c.Bool("fit"), named...)
		if err != nil {
			return err
		}
		if c.Bool("tonight") {
			plans, err = b.TonightBits(a, nil, 0)
			return err
		}
		job, wood, err := b.jobFlags(c)
		if err != nil {
			return err
		}
		codes, err := b.judged(w, a)
		if err != nil {
			return err
		}
		for _, code := range codes {
			v, err := a.Verdict(code, job)
			if err != nil {
				return err
			}
			bit, err := a.Book.Bit(code)
			if err != nil {
				return err
			}
			advice := bitlife.AdviseDrilling(bit, wood, b.Shop.SpindleRPM)
			v.Damage, v.Change = b.Shop.Currency.Line(v.Damage), b.Shop.Currency.Line(v.Change)
			rows = append(rows, verdictRow{v, &advice})
		}
		for _, x := range b.warns {
			e.Warn("%s", x)
		}
		return nil
	})
	if err != nil {
		return err
	}
	if c.Bool("tonight") {
		return e.sayPlans(c, plans, shop)
	}
	if wantJSON(c) {
		if rows == nil {
			rows = []verdictRow{}
		}
		return e.PrintJSON(map[string]any{"bits": rows, "currency": shop.Currency})
	}
	if len(rows) == 0 {
		e.Say("no bit of the show set is on file: bit add CODE --diameter 10 --point brad --keep show")
	}
	var cautions []string // of several bits: once, at the end
	for _, r := range rows {
		if r.Drilling != nil && len(rows) > 1 {
			for _, x := range r.Drilling.Cautions {
				if !slices.Contains(cautions, x) {
					cautions = append(cautions, x)
				}
			}
			r.Drilling.Cautions = nil
		}
		e.sayVerdict(r, shop)
	}
	for _, x := range cautions {
		e.Text("! %s", x)
	}
	return nil
}

// judged gives the codes to judge: the one typed, else the show set.
func (b *desk) judged(w []string, a bitlife.Advisor) ([]string, error) {
	if len(w) == 1 {
		bit, err := b.FindBit(w[0])
		return []string{bit.Code}, err
	}
	var codes []string
	for _, bit := range a.Book.Bits {
		if l, ok := a.Life(bit.Code); ok && l.Keep == jobs.KeepShow {
			codes = append(codes, bit.Code)
		}
	}
	return codes, nil
}

// jobFlags reads the job at hand: from a neck, from the flags, or both.
func (b *desk) jobFlags(c *cli.Context) (bitlife.FaceJob, jobs.Wood, error) {
	var job bitlife.FaceJob
	var neck *jobs.Neck
	woods, err := store.All(b.Tx, store.Woods)
	if err != nil {
		return job, jobs.Wood{}, err
	}
	table := jobs.NewWoodTable(woods)
	hidden := c.Bool("hidden")
	if name := c.String("neck"); name != "" {
		necks, err := words.SplitNecks([]string{name})
		if err != nil {
			return job, jobs.Wood{}, err
		}
		states, err := b.States(necks)
		if err != nil {
			return job, jobs.Wood{}, err
		}
		drills := "posts"
		if hidden {
			drills = "hidden"
		}
		work, err := b.NeckJobs(b.drillOperation(drills), states)
		if err != nil {
			return job, jobs.Wood{}, err
		}
		job, neck = workshop.SumJobs(work), &states[0].Neck
	}
	if c.IsSet("holes") {
		if c.Int("holes") < 1 || c.Int("holes") > 1000 {
			return job, jobs.Wood{}, &jobs.FieldError{Field: "holes", Value: fmt.Sprint(c.Int("holes")), Want: "a number from 1 to 1000"}
		}
		if job.Holes > 0 {
			job.CutM *= float64(c.Int("holes")) / float64(job.Holes)
		}
		job.Holes = c.Int("holes")
	}
	if job.Holes == 0 {
		job.Holes = workshop.HeadstockHoles
	}
	wood := table["hard-maple"]
	if neck != nil && neck.Wood != "" {
		wood = table[neck.Wood]
	}
	if neck == nil || c.IsSet("depth") || c.IsSet("wood") || c.IsSet("layer") || c.IsSet("backing-depth") || c.IsSet("backing-wood") || c.IsSet("glue-lines") {
		u := jobs.BitUse{Holes: job.Holes}
		if err := b.holeFlags(c, &u, neck); err != nil {
			return job, wood, err
		}
		if err := (jobs.BitUse{Bit: "any", Holes: u.Holes, Layers: u.Layers, Backing: u.Backing, GlueLines: u.GlueLines}).Validate(); err != nil {
			return job, wood, err
		}
		job.CutM, wood = u.Cut(table), table[u.Layers[0].Wood]
	}
	job.Hidden = hidden
	switch {
	case c.IsSet("torn-hole"):
		job.DamageBasis = "as said"
		job.Damage, err = jobs.ParseAmount("torn-hole", c.String("torn-hole"))
	case neck == nil && !hidden:
		job.Damage, job.DamageBasis, err = b.DamageOf(nil)
	}
	return job, wood, err
}

// drillOperation gives the first operation that drills posts or hidden holes.
func (b *desk) drillOperation(drills string) jobs.Operation {
	for _, name := range jobs.SortedKeys(b.Operations) {
		if k := b.Operations[name]; k.Drills == drills {
			return k
		}
	}
	return jobs.Operation{Name: "drill", Drills: drills}
}

func (e *env) sayVerdict(r verdictRow, shop jobs.Shop) {
	e.Text("%s", r.Line())
	left := ""
	if n := r.HeadstocksLeft; n != nil && *n > 0 {
		left = fmt.Sprintf("; whole jobs like it left: %d", *n)
	}
	e.Text("  edge %d, %s set, %s of wear on it; the job: %s of wear%s", r.Edge, r.Keep, bitlife.HolesText(r.AgeM), jobText(r.Next), left)
	for _, x := range r.Reasons {
		e.Text("  - %s", x)
	}
	if r.Damage.Sign() > 0 {
		fresh := "nobody knows what (bit add with --price or --new-edge)"
		if r.Change.Sign() > 0 {
			fresh = shop.Currency.Print(r.Change)
		}
		e.Text("  a torn hole costs %s %s here (%s), a fresh edge %s", shop.Currency, shop.Currency.Print(r.Damage), r.DamageBasis, fresh)
	}
	if m := r.Life.MLE; m != nil {
		if m.ScaleM > 0 {
			e.Text("  beside it, maximum likelihood: shape %.2f (%s), life %s (%s), %s", m.Shape, intervalText(m.ShapeInterval, func(v float64) string { return fmt.Sprintf("%.1f", v) }),
				bitlife.HolesText(m.ScaleM), intervalText(m.ScaleInterval, bitlife.HolesText), m.Interval)
		}
		if m.Warning != "" {
			e.Text("  beside it: %s", m.Warning)
		}
	}
	if d := r.Drilling; d != nil {
		if d.Step > 0 {
			e.Text("  spindle %d per minute (%.0f at %.0f m/min at the rim; the maker's label comes first)", d.Step, d.RPM, d.CuttingMPerMin)
		}
		for _, x := range d.Cautions {
			e.Text("  ! %s", x)
		}
	}
	for _, x := range r.Warnings {
		e.Warn("%s", x)
	}
}

// jobText gives "6 holes = 8 holes", or "6 holes" where they are reference holes.
func jobText(n bitlife.NextCut) string {
	drilled := fmt.Sprintf("%d holes", n.Holes)
	if n.Holes == 1 {
		drilled = "1 hole"
	}
	if wear := bitlife.HolesText(n.CutM); wear != drilled {
		return drilled + " = " + wear
	}
	return drilled
}

func intervalText(i bitlife.Interval, show func(float64) string) string {
	side := func(v *float64) string {
		if v == nil {
			return "not bounded"
		}
		return show(*v)
	}
	return side(i.Low) + " to " + side(i.High)
}
