package reports

import (
	"strings"
	"time"

	"bookmatch/costing/bitlife"
	"bookmatch/jobs"
)

// BitBook is all about bits as one value: the records, the life of each edge,
// and the verdict on each bit (in the order of Book.Bits) for one job.
type BitBook struct {
	Shop     jobs.Shop
	Now      time.Time
	Book     jobs.BitBook
	Lives    []jobs.EdgeLife
	Job      bitlife.FaceJob
	Advisor  bitlife.Advisor
	Verdicts []bitlife.Verdict
}

func (b BitBook) report(name, title, subject string) Report {
	r := Report{Name: name, Title: title, Subject: subject, Currency: b.Shop.Currency, Paper: Paper(b.Shop.Paper),
		Zone: b.Shop.Location(), Made: b.Now, Shop: b.Shop.Name}
	r.Count("hole", "a reference hole: 15 mm through hard maple = 0.015 cut metres; other woods, backing and glue lines by their factors")
	r.Count("verdict", "for %d holes (%s) on a face where a torn hole costs %s (%s)", b.Job.Holes, bitlife.HolesText(b.Job.CutM), b.Shop.Currency.Print(b.Job.Damage), b.Job.DamageBasis)
	r.Count("best age", "the age at which a fresh edge is cheapest: cost of a change x chance to last + damage x chance to dull, over the mean cut (Barlow and Hunter 1960), from closed edges only")
	r.Count("chance to dull", "Weibull of assumed shape %.3g, a prior worth one event at the rated life, the edge's own survival so far counted in", b.Advisor.Shape)
	r.Count("life", "worn out: the age when dull was seen; else the age up to which the edge is known to have been good (censored)")
	return r
}

// Bits is the whole report: register, lives, survival steps with the model,
// grades against holes, tear-out by conditions.
func Bits(b BitBook) Report {
	r := b.report("bits", "Bits", "when to retire one from the show set")
	r.Add(b.register(true), b.particulars(), b.lifeTable(""))
	r.Add(b.survival()...)
	r.Add(b.grades(""), b.tearOut())
	return r
}

// BitList is the register alone, for the terminal. Scrapped, lost and broken
// bits show when all is asked for.
func BitList(b BitBook, all bool) Report {
	r := b.report("bits", "Bits", "")
	r.Add(b.register(all))
	return r
}

// BitCard is one bit: its edges, and what each use did and left.
func BitCard(b BitBook, bit jobs.Bit) Report {
	r := b.report("bit-"+strings.ToLower(bit.Code), "Bit "+bit.Label(), bit.Class().String())
	lives, uses := b.lifeTable(bit.Code), b.grades(bit.Code)
	for _, v := range b.Verdicts {
		if v.Bit == bit.Code {
			lives.Note("%s", v.Line())
			for _, x := range v.Reasons {
				lives.Note("%s", x)
			}
		}
	}
	r.Add(lives, uses)
	return r
}

func (b BitBook) life(code string) jobs.EdgeLife {
	l, _ := b.Advisor.Life(code)
	return l
}

// holes turns cut metres into reference holes.
func refHoles(m float64) float64 { return m / jobs.RefHoleM }

// lifeTable lists the edges of one bit, or of all.
func (b BitBook) lifeTable(code string) Table {
	var lives []jobs.EdgeLife
	for _, l := range b.Lives {
		if code == "" || l.Bit == code {
			lives = append(lives, l)
		}
	}
	type edge = jobs.EdgeLife
	return Build(Table{Name: "lives", Title: "Lives of the edges", Empty: "no edge has cut yet"}, lives, []Col[edge]{
		{Column{Key: "bit", Header: "bit", Max: 10}, func(l edge) Cell { return Text(l.Bit) }},
		{Column{Key: "edge", Header: "edge", Kind: KindCount}, func(l edge) Cell { return Count(l.Edge) }},
		{Column{Key: "origin", Header: "from", Max: 9}, func(l edge) Cell { return Text(l.Origin) }},
		{Column{Key: "started", Header: "since", Kind: KindDate}, func(l edge) Cell { return Date(l.Started.In(b.Shop.Location())) }},
		{Column{Key: "size", Header: "size", Unit: "mm", Kind: KindMM, SheetOnly: true}, func(l edge) Cell { return MM(l.MeasuredMM) }},
		{Column{Key: "drilled", Header: "drilled", Kind: KindCount, SheetOnly: true}, func(l edge) Cell { return Count(l.Holes) }},
		{Column{Key: "cut", Header: "cut", Unit: "holes", Kind: KindNumber, Digits: NoDigits}, func(l edge) Cell { return holesCell(l.WearM) }},
		{Column{Key: "guessed", Header: "guessed", Unit: "holes", Kind: KindNumber, Digits: NoDigits, SheetOnly: true}, func(l edge) Cell { return holesCell(l.EstimatedM) }},
		{Column{Key: "possible", Header: "possible", Unit: "holes", Kind: KindNumber, Digits: NoDigits, SheetOnly: true}, func(l edge) Cell { return holesCell(l.PossibleM) }},
		{Column{Key: "life", Header: "life", Unit: "holes", Kind: KindNumber, Digits: NoDigits}, func(l edge) Cell { return holesCell(l.LifeM) }},
		{Column{Key: "counts", Header: "counts as", Max: 10}, func(l edge) Cell { return Text(countsAs(l)) }},
		{Column{Key: "ended", Header: "ended", Kind: KindDate, SheetOnly: true}, func(l edge) Cell { return dayIn(l.EndedOn, b.Shop) }},
		{Column{Key: "end", Header: "how it ended", Max: 24, Width: 40}, func(l edge) Cell { return Text(l.End) }},
		{Column{Key: "woods", Header: "woods", SheetOnly: true, Width: 30}, func(l edge) Cell { return Text(strings.Join(b.woodsOf(l), ", ")) }},
	})
}

// countsAs is what an edge says about lives.
func countsAs(l jobs.EdgeLife) string {
	switch {
	case l.Event:
		return "worn out"
	case l.Closed:
		return "good"
	}
	return "in use"
}

// dayIn is the day of an instant in the shop's zone, empty for none.
func dayIn(t time.Time, shop jobs.Shop) Cell {
	if t.IsZero() {
		return Empty()
	}
	return Date(t.In(shop.Location()))
}

// woodsOf names the woods an edge went through, in the order it met them.
func (b BitBook) woodsOf(l jobs.EdgeLife) []string {
	var out []string
	seen := map[string]bool{}
	for _, u := range b.Book.Uses {
		if u.Bit != l.Bit || u.Edge != l.Edge {
			continue
		}
		for _, layer := range u.Layers {
			if !seen[layer.Wood] {
				seen[layer.Wood] = true
				out = append(out, layer.Wood)
			}
		}
	}
	return out
}

// grades lists what each use did and left: grade against the age of the edge.
func (b BitBook) grades(code string) Table {
	t := Table{Name: "grades", Title: "Grade against holes on the edge", Empty: "no use is on record", Columns: []Column{
		{Key: "use", Header: "use", Kind: KindCount}, {Key: "on", Header: "on", Kind: KindDate}, {Key: "bit", Header: "bit", Max: 10, SheetOnly: code != ""}, {Key: "edge", Header: "edge", Kind: KindCount, SheetOnly: true},
		{Key: "neck", Header: "neck", Max: 6}, {Key: "drilled", Header: "holes", Kind: KindCount}, {Key: "wood", Header: "wood", Max: 11},
		{Key: "backing", Header: "backing", Max: 7}, {Key: "age", Header: "age", Kind: KindNumber, Digits: NoDigits},
		{Key: "grade_in", Header: "in", Kind: KindCount}, {Key: "grade_out", Header: "out", Kind: KindCount},
		{Key: "proof", Header: "proof", Kind: KindFlag, SheetOnly: true}, {Key: "guessed", Header: "guessed", Kind: KindFlag, SheetOnly: true},
		{Key: "tells", Header: "tells", Max: 7}, {Key: "signs", Header: "signs", SheetOnly: true}, {Key: "note", Header: "note", SheetOnly: true, Width: 30},
	}}
	woods := jobs.NewWoodTable(b.Book.Woods)
	type edge struct {
		bit string
		no  int
	}
	age := map[edge]float64{}
	for _, u := range b.Book.InOrder() {
		k := edge{u.Bit, u.Edge}
		age[k] += u.Cut(woods)
		if code != "" && u.Bit != code {
			continue
		}
		t.Add(Count(int(u.ID)), Date(u.On.In(b.Shop.Location())), Text(bitName(u)), edgeCell(u), Text(u.Neck), Count(u.Holes), Text(layerText(u)), Text(u.Backing.State),
			ageCell(u, refHoles(age[k])), gradeCell(u.GradeIn), gradeCell(u.GradeOut), Flag(u.Test), Flag(u.Estimated), Text(taleText(u, woods)), Text(strings.Join(u.Signs, ", ")), Text(u.Note))
	}
	if len(t.Rows) > 0 {
		t.Note("age: reference holes on the edge after the use; a grade left empty was not seen, which is not 0; an exit rim counts over a tight backing only")
		t.Charts = []Chart{{Kind: ChartScatter, Title: "Grade against holes on the edge", X: "age", XTitle: "age of the edge (reference holes)", YTitle: "grade", YMax: jobs.MaxGrade,
			Series: []Series{{Name: "rim of entry", Y: "grade_in"}, {Name: "rim of exit", Y: "grade_out"}}}}
	}
	return t
}

func bitName(u jobs.BitUse) string {
	if u.Bit == "" {
		return "? " + jobs.FormatMM(u.UnknownMM)
	}
	return u.Bit
}

func edgeCell(u jobs.BitUse) Cell {
	if u.Bit == "" {
		return Empty()
	}
	return Count(u.Edge)
}

func ageCell(u jobs.BitUse, holes float64) Cell {
	if u.Bit == "" {
		return Empty()
	}
	return Number(holes)
}

func gradeCell(g *int) Cell {
	if g == nil {
		return Empty()
	}
	c := Count(*g)
	if *g >= 2 {
		c = c.In(Bad)
	}
	return c
}

func layerText(u jobs.BitUse) string {
	var out []string
	for _, l := range u.Layers {
		if n := len(out); n == 0 || out[n-1] != l.Wood { // veneers of the core's wood
			out = append(out, l.Wood)
		}
	}
	return strings.Join(out, "+")
}

func taleText(u jobs.BitUse, woods jobs.WoodTable) string {
	tale, _ := u.Tale(woods)
	return map[jobs.Tale]string{jobs.TaleSilent: "nothing", jobs.TaleClean: "clean", jobs.TaleDull: "dull", jobs.TaleShock: "struck"}[tale]
}

// tearOut shows what may prevent tear-out in this shop.
func (b BitBook) tearOut() Table {
	t := Table{Name: "tear-out", Title: "Tear-out by conditions", Empty: "no rim has been graded yet", Columns: []Column{
		{Key: "by", Header: "by", Max: 16}, {Key: "value", Header: "value", Max: 28}, {Key: "rims", Header: "rims", Kind: KindCount}, {Key: "torn", Header: "torn", Kind: KindCount},
		{Key: "share", Header: "share", Kind: KindShare}, {Key: "low", Header: "from", Kind: KindShare}, {Key: "high", Header: "to", Kind: KindShare},
	}}
	for _, r := range bitlife.TearOut(b.Book) {
		t.Add(Text(r.By), Text(r.Value), Count(r.Rims), Count(r.Torn), Share(r.Share), Share(r.Low), Share(r.High))
	}
	if len(t.Rows) > 0 {
		t.Note("torn: grade 2 or 3; from and to: 95 %% interval of Wilson (1927); one judged rim is one trial, however many holes it stands for")
		t.Note("conditions go together (old edges, hard woods): a row shows what happened, not why")
		t.Charts = []Chart{{Kind: ChartBars, Title: "Torn rims by condition", X: "value", XTitle: "condition", YTitle: "share torn", YMax: 1, Tall: true, Series: []Series{{Name: "torn", Y: "share"}}}}
	}
	return t
}

// BitLifeBar draws the life of a bit's edge for the terminal and for paper.
func BitLifeBar(v bitlife.Verdict) LifeBar {
	l := LifeBar{Title: v.Bit, Unit: "holes", Used: refHoles(v.AgeM + v.PossibleM), Next: refHoles(v.Next.CutM)}
	if v.RetireAtM != nil {
		l.Retire = refHoles(*v.RetireAtM)
	}
	return l
}
