package reports

import (
	"fmt"

	"bookmatch/costing/bitlife"
	"bookmatch/jobs"
)

// modelPoints is the number of points of a model curve.
const modelPoints = 40

// survival gives, for each class with closed edges, the product-limit steps of
// its edges and the curve of the model, each in a table of its own; one empty
// table when no edge has been closed yet.
func (b BitBook) survival() []Table {
	var out []Table
	done := map[jobs.BitClass]bool{}
	for _, bit := range b.Book.Bits {
		if class := bit.Class(); !done[class] {
			done[class] = true
			out = append(out, b.survivalOf(bit, len(out)/2+1)...)
		}
	}
	if len(out) == 0 {
		return []Table{stepTable("survival", "", "no edge has been closed yet: the model stands on the rated life alone")}
	}
	return out
}

func stepTable(name, class, empty string) Table {
	return Table{Name: name, Title: "Edges still good, and the model", Subtitle: class, Empty: empty, Columns: []Column{
		{Key: "age", Header: "age", Unit: "holes", Kind: KindNumber, Digits: NoDigits},
		{Key: "good", Header: "seen", Kind: KindShare}, {Key: "model", Header: "model", Kind: KindChance},
		{Key: "at_risk", Header: "edges", Kind: KindNumber, Digits: NoDigits}, {Key: "worn", Header: "worn", Kind: KindNumber, Digits: NoDigits},
	}}
}

// survivalOf gives the two tables of one bit's class; none without closed edges.
func (b BitBook) survivalOf(bit jobs.Bit, no int) []Table {
	class := bit.Class()
	pool := bitlife.PoolFor(bit, 0, b.Book.EdgeAges(b.Lives))
	m, err := bitlife.NewEdgeModel(b.Advisor.Shape, b.life(bit.Code).RatedM, pool.Own)
	if err != nil || len(pool.Own) == 0 {
		return nil
	}
	suffix := ""
	if no > 1 {
		suffix = fmt.Sprintf("-%d", no)
	}
	t := stepTable("survival"+suffix, class.String(), "")
	oldest := 0.0
	for _, d := range pool.Own {
		oldest = max(oldest, d.T)
	}
	last := 1.0
	steps := bitlife.SurvivalSteps(pool.Own)
	for k, s := range steps {
		if k > 0 { // a step: the same age twice
			t.Add(Number(refHoles(s.AgeM)), Share(last), Chance(m.Survival(s.AgeM)), Empty(), Empty())
		}
		t.Add(Number(refHoles(s.AgeM)), Share(s.Survival), Chance(m.Survival(s.AgeM)), Number(s.AtRisk), Number(s.Events))
		last = s.Survival
	}
	if steps[len(steps)-1].AgeM < oldest {
		t.Add(Number(refHoles(oldest)), Share(last), Chance(m.Survival(oldest)), Empty(), Empty())
	}
	t.Note("%s; life %s", pool.Basis(m), bitlife.HolesText(m.ScaleM()))
	if fit := b.Advisor.FitClass(class); fit.Events >= bitlife.MinFitEvents && fit.ScaleM > 0 {
		t.Note("maximum likelihood beside it: shape %.2f, life %s", fit.Shape, bitlife.HolesText(fit.ScaleM))
	}
	t.Note("seen: product-limit steps (Kaplan and Meier 1958) over closed edges; edges that ended while good drop out without a step")
	curve := Table{Name: "model" + suffix, Title: "The model's curve", Subtitle: class.String(), Columns: []Column{
		{Key: "age", Header: "age", Unit: "holes", Kind: KindNumber}, {Key: "model", Header: "still good", Kind: KindChance}}, SheetOnly: true}
	for k := range modelPoints + 1 {
		age := 1.3 * max(oldest, m.ScaleM()) * float64(k) / modelPoints
		curve.Add(Number(refHoles(age)), Chance(m.Survival(age)))
	}
	t.Charts = []Chart{{Kind: ChartScatter, Title: "Edges still good: " + class.String(), X: "age", XTitle: "age (reference holes)", YTitle: "share still good", YMax: 1,
		Series: []Series{{Name: "seen", Y: "good", Line: true}, {Name: "model", Table: curve.Name, X: "age", Y: "model", Line: true, Dashed: true}}}}
	return []Table{t, curve}
}
