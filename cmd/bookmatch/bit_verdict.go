package main

import (
	"fmt"

	"bookmatch/costing"
	"bookmatch/costing/money"
	"bookmatch/jobs"
	"bookmatch/jobs/store"

	"github.com/urfave/cli/v2"
)

// advisor reads what speaks for some bits, or all bits when none is named, and
// the settings of the model.
func (b *bench) advisor(fit bool, codes ...string) (a costing.BitAdvisor, err error) {
	var book jobs.BitBook
	if len(codes) > 0 {
		book, err = b.tx.BitBookAlike(codes...)
	} else {
		book, err = b.tx.BitBookLives()
	}
	if err != nil {
		return a, err
	}
	return b.advisorOn(book, fit), nil
}

func (b *bench) advisorOn(book jobs.BitBook, fit bool) costing.BitAdvisor {
	a := costing.NewBitAdvisor(book, b.shop.BitShape, b.shop.ProofCost)
	a.Fit = fit
	return a
}

// damageOf is what a torn hole costs on a neck, or on a face with nothing sunk
// in it.
func (b *bench) damageOf(n *jobs.Neck) (money.Amount, string, error) {
	if b.torn == nil {
		f, err := b.tx.TornFaces(b.kinds, b.shop)
		if err != nil {
			return money.Zero, "", err
		}
		b.torn = &f
	}
	f := *b.torn
	if n != nil {
		var err error
		if f.Sunk, err = b.tx.Sunk(*n, b.kinds, b.shop); err != nil {
			return money.Zero, "", err
		}
	}
	d, basis := f.Damage()
	return b.shop.Currency.Line(d), basis, nil
}

// headstockHoles is how many holes a job has that nobody described.
const headstockHoles = 6

// plainJob is six holes of the usual depth in hard maple on a face with nothing
// sunk in it.
func (b *bench) plainJob() (costing.FaceJob, error) {
	d, basis, err := b.damageOf(nil)
	return costing.FaceJob{Holes: headstockHoles, CutM: headstockHoles * b.shop.HoleDepthMM / 1000, Damage: d, DamageBasis: basis}, err
}

// neckJobs gives the drilling of a kind on each neck as a job, with the wood and
// the depth of its plan and the damage a torn hole would do there.
func (b *bench) neckJobs(kind jobs.Kind, states []jobs.NeckState) ([]costing.FaceJob, error) {
	woods, err := store.All(b.tx, store.Woods)
	if err != nil {
		return nil, err
	}
	table := jobs.NewWoodTable(woods)
	var out []costing.FaceJob
	for _, st := range states {
		n := headstockHoles
		if v, _, ok := st.StepFor(kind.Name); ok && v.Quantity >= 1 {
			n = roundCount(max(v.Quantity-v.Counted, 0))
			if n < 1 {
				n = roundCount(v.Quantity)
			}
		}
		cut, err := b.cutOf(st.Neck, kind, finishOptions{})
		if err != nil {
			return nil, err
		}
		job := costing.FaceJob{Neck: st.Neck.Name(), Holes: n, Hidden: kind.Drills != "posts",
			CutM: jobs.BitUse{Holes: n, DepthMM: cut.DepthMM, Layers: cut.Layers, Backing: cut.Backing, GlueLines: cut.GlueLines}.Cut(table)}
		if !job.Hidden {
			if job.Damage, job.DamageBasis, err = b.damageOf(&st.Neck); err != nil {
				return nil, err
			}
		}
		out = append(out, job)
	}
	return out, nil
}

// sumJobs makes one job of a sitting over several necks: all holes, and the
// damage of the dearest face.
func sumJobs(work []costing.FaceJob) costing.FaceJob {
	all := work[0]
	for _, j := range work[1:] {
		all.Holes += j.Holes
		all.CutM += j.CutM
		all.Neck += "+" + j.Neck
		if j.Damage.Cmp(all.Damage) > 0 {
			all.Damage, all.DamageBasis = j.Damage, j.DamageBasis
		}
	}
	return all
}

// verdictRow is a verdict with how to set the press.
type verdictRow struct {
	costing.BitVerdict
	Drilling *costing.DrillAdvice `json:"drilling,omitempty"`
}

func (e *env) bitVerdict(c *cli.Context) error {
	w, err := words(c, 0, 1)
	if err != nil {
		return err
	}
	var rows []verdictRow
	var shop jobs.Shop
	var plans []costing.BitPlan
	err = e.view(c, func(tx *store.Tx) error {
		b, err := deskBench(tx)
		if err != nil {
			return err
		}
		shop = b.shop
		var named []string
		if len(w) == 1 && !c.Bool("tonight") {
			bit, err := b.tx.FindBit(w[0])
			if err != nil {
				return err
			}
			named = []string{bit.Code}
		}
		a, err := b.advisor(c.Bool("fit"), named...)
		if err != nil {
			return err
		}
		if c.Bool("tonight") {
			plans, err = b.tonightBits(a, nil, 0)
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
			advice := costing.AdviseDrilling(bit, wood, b.shop.SpindleRPM)
			v.Damage, v.Change = b.shop.Currency.Line(v.Damage), b.shop.Currency.Line(v.Change)
			rows = append(rows, verdictRow{v, &advice})
		}
		for _, x := range b.warns {
			e.warn("%s", x)
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
		return e.printJSON(map[string]any{"bits": rows, "currency": shop.Currency})
	}
	if len(rows) == 0 {
		e.say("no bit of the show set is on file: bit add CODE --diameter 10 --point brad --set show")
	}
	for _, r := range rows {
		e.sayVerdict(r, shop)
	}
	return nil
}

// judged gives the codes to judge: the one typed, else the show set.
func (b *bench) judged(w []string, a costing.BitAdvisor) ([]string, error) {
	if len(w) == 1 {
		bit, err := b.tx.FindBit(w[0])
		return []string{bit.Code}, err
	}
	var codes []string
	for _, bit := range a.Book.Bits {
		if l, ok := a.Life(bit.Code); ok && l.Set == jobs.SetShow {
			codes = append(codes, bit.Code)
		}
	}
	return codes, nil
}

// jobFlags reads the job at hand: from a neck, from the flags, or both.
func (b *bench) jobFlags(c *cli.Context) (costing.FaceJob, jobs.Wood, error) {
	var job costing.FaceJob
	var neck *jobs.Neck
	woods, err := store.All(b.tx, store.Woods)
	if err != nil {
		return job, jobs.Wood{}, err
	}
	table := jobs.NewWoodTable(woods)
	hidden := c.String("face") == jobs.FaceHidden
	if f := c.String("face"); f != jobs.FaceShow && !hidden {
		return job, jobs.Wood{}, &jobs.FieldError{Field: "face", Value: f, Want: "show or hidden"}
	}
	if name := c.String("neck"); name != "" {
		states, err := b.tx.States(splitNecks([]string{name}), b.kinds, b.shop)
		if err != nil {
			return job, jobs.Wood{}, err
		}
		drills := "posts"
		if hidden {
			drills = "hidden"
		}
		work, err := b.neckJobs(b.drillKind(drills), states)
		if err != nil {
			return job, jobs.Wood{}, err
		}
		job, neck = sumJobs(work), &states[0].Neck
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
		job.Holes = headstockHoles
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
	case c.IsSet("damage"):
		job.DamageBasis = "as said"
		job.Damage, err = jobs.ParseAmount("damage", c.String("damage"))
	case neck == nil && !hidden:
		job.Damage, job.DamageBasis, err = b.damageOf(nil)
	}
	return job, wood, err
}

// drillKind gives the first kind that drills posts or hidden holes.
func (b *bench) drillKind(drills string) jobs.Kind {
	for _, name := range jobs.SortedKeys(b.kinds) {
		if k := b.kinds[name]; k.Drills == drills {
			return k
		}
	}
	return jobs.Kind{Name: "drill", Drills: drills}
}

func (e *env) sayVerdict(r verdictRow, shop jobs.Shop) {
	e.text("%s", r.Line())
	left := ""
	if n := r.HeadstocksLeft; n != nil && *n > 0 {
		left = fmt.Sprintf("; whole jobs like it left: %d", *n)
	}
	e.text("  edge %d, %s set, %s of wear on it; the job: %s of wear%s", r.Edge, r.Set, costing.HolesText(r.AgeM), jobText(r.Next), left)
	for _, x := range r.Reasons {
		e.text("  - %s", x)
	}
	if r.Damage.Sign() > 0 {
		fresh := "nobody knows what (bit add with --price or --cost-of-change)"
		if r.Change.Sign() > 0 {
			fresh = shop.Currency.Print(r.Change)
		}
		e.text("  a torn hole costs %s %s here (%s), a fresh edge %s", shop.Currency, shop.Currency.Print(r.Damage), r.DamageBasis, fresh)
	}
	if m := r.Life.MLE; m != nil {
		if m.ScaleM > 0 {
			e.text("  beside it, maximum likelihood: shape %.2f (%s), life %s (%s), %s", m.Shape, intervalText(m.ShapeInterval, func(v float64) string { return fmt.Sprintf("%.1f", v) }),
				costing.HolesText(m.ScaleM), intervalText(m.ScaleInterval, costing.HolesText), m.Interval)
		}
		if m.Warning != "" {
			e.text("  beside it: %s", m.Warning)
		}
	}
	if d := r.Drilling; d != nil {
		if d.Step > 0 {
			e.text("  spindle %d per minute (%.0f at %.0f m/min at the rim; the maker's label comes first)", d.Step, d.RPM, d.CuttingMPerMin)
		}
		for _, x := range d.Cautions {
			e.text("  ! %s", x)
		}
	}
	for _, x := range r.Warnings {
		e.warn("%s", x)
	}
}

// jobText gives "6 holes = 8 holes", or "6 holes" where they are reference holes.
func jobText(n costing.NextCut) string {
	drilled := fmt.Sprintf("%d holes", n.Holes)
	if n.Holes == 1 {
		drilled = "1 hole"
	}
	if wear := costing.HolesText(n.CutM); wear != drilled {
		return drilled + " = " + wear
	}
	return drilled
}

func intervalText(i costing.Interval, show func(float64) string) string {
	side := func(v *float64) string {
		if v == nil {
			return "not bounded"
		}
		return show(*v)
	}
	return side(i.Low) + " to " + side(i.High)
}
