package reports

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
)

// dateCell makes cells of instants in a zone.
func dateCell(zone string) func(time.Time) Cell {
	loc := jobs.Shop{Zone: zone}.Location()
	return func(t time.Time) Cell { return Date(t.In(loc)) }
}

type lifeRow = workshop.LifeRow

// livesTable lists lives of bits, from new or from a sharpening.
func livesTable(lives []lifeRow, r Report) Table {
	day := dateCell(r.Location().String())
	return Build(Table{Name: "lives", Title: "Lives", Empty: "No bit has cut yet."}, lives, []Col[lifeRow]{
		{Column{Key: "bit", Header: "bit", Max: 10}, func(l lifeRow) Cell { return Text(l.Bit) }},
		{Column{Key: "life", Header: "life", Kind: KindCount}, func(l lifeRow) Cell { return Count(l.Life) }},
		{Column{Key: "origin", Header: "since", Max: 9}, func(l lifeRow) Cell { return Text(l.Origin) }},
		{Column{Key: "since", Header: "date", Kind: KindDate}, func(l lifeRow) Cell { return day(l.Since) }},
		{Column{Key: "size_mm", Header: "size", Unit: "mm", Kind: KindMM, SheetOnly: true}, func(l lifeRow) Cell { return MM(l.SizeMM) }},
		{Column{Key: "drilled", Header: "drilled", Unit: "holes", Kind: KindCount, SheetOnly: true}, func(l lifeRow) Cell { return Count(l.Drilled) }},
		{Column{Key: "wear_holes", Header: "wear", Unit: "holes", Kind: KindNumber, Digits: NoDigits, Max: 7}, func(l lifeRow) Cell { return Number(l.Wear) }},
		{Column{Key: "estimated_holes", Header: "guessed", Unit: "holes", Kind: KindNumber, Digits: NoDigits, SheetOnly: true}, func(l lifeRow) Cell { return Number(l.Estimated) }},
		{Column{Key: "possible_holes", Header: "possible", Unit: "holes", Kind: KindNumber, Digits: NoDigits, SheetOnly: true}, func(l lifeRow) Cell { return Number(l.Possible) }},
		{Column{Key: "life_holes", Header: "good to", Unit: "holes", Kind: KindNumber, Digits: NoDigits, Max: 8}, func(l lifeRow) Cell { return Number(l.LifeHoles) }},
		{Column{Key: "counts_as", Header: "counts as", Max: 10, At: Full | Why}, func(l lifeRow) Cell { return Text(l.CountsAs) }},
		{Column{Key: "ended", Header: "ended", Kind: KindDate, SheetOnly: true}, func(l lifeRow) Cell { return Maybe(l.Ended, day) }},
		{Column{Key: "end", Header: "ended by", Max: 24, Width: 40}, func(l lifeRow) Cell { return Text(l.End) }},
		{Column{Key: "woods", Header: "woods", SheetOnly: true, Width: 30}, func(l lifeRow) Cell { return Text(strings.Join(l.Woods, ", ")) }},
	})
}

type useRow = workshop.UseRow

// usesTable lists holes and their rims. code is set where all are of one bit.
func usesTable(uses []useRow, code string, r Report) Table {
	day := dateCell(r.Location().String())
	t := Table{Name: "uses", Title: "Rims against wear", Empty: "No holes are logged."}
	if len(uses) > 0 {
		t.Note("Wear: holes of wear after the use. A rim left empty was not seen, which is not 0. An exit rim counts over a tight backing only.")
		t.Charts = []Chart{{Kind: ChartScatter, Title: "Rims against wear", X: "wear_holes", XTitle: "wear (holes)", YTitle: "grade", YMax: jobs.MaxGrade,
			Series: []Series{{Name: "entry rim", Y: "grade_in"}, {Name: "exit rim", Y: "grade_out"}}}}
	}
	return Build(t, uses, []Col[useRow]{
		{Column{Key: "use", Header: "use", Kind: KindCount}, func(u useRow) Cell { return Count(int(u.Use)) }},
		{Column{Key: "on", Header: "on", Kind: KindDate}, func(u useRow) Cell { return day(u.On) }},
		{Column{Key: "bit", Header: "bit", Max: 10, SheetOnly: code != ""}, func(u useRow) Cell { return Text(bitName(u)) }},
		{Column{Key: "life", Header: "life", Kind: KindCount, SheetOnly: true}, func(u useRow) Cell { return known(u, Count(u.Life)) }},
		{Column{Key: "neck", Header: "neck", Max: 6}, func(u useRow) Cell { return Text(u.Neck) }},
		{Column{Key: "holes", Header: "holes", Kind: KindCount}, func(u useRow) Cell { return Count(u.Holes) }},
		{Column{Key: "wood", Header: "wood", Max: 11, At: Full | Why}, func(u useRow) Cell { return Text(strings.Join(u.Woods, "+")) }},
		{Column{Key: "backing", Header: "backing", Max: 7, At: Full | Why}, func(u useRow) Cell { return Text(u.Backing) }},
		{Column{Key: "wear_holes", Header: "wear", Kind: KindNumber, Digits: NoDigits}, func(u useRow) Cell { return known(u, Number(u.WearAfter)) }},
		{Column{Key: "grade_in", Header: "rim in", Kind: KindCount, Max: 4}, func(u useRow) Cell { return gradeCell(u.GradeIn) }},
		{Column{Key: "grade_out", Header: "rim out", Kind: KindCount, Max: 4}, func(u useRow) Cell { return gradeCell(u.GradeOut) }},
		{Column{Key: "test", Header: "test hole", Kind: KindFlag, SheetOnly: true}, func(u useRow) Cell { return Flag(u.Test) }},
		{Column{Key: "estimated", Header: "guessed", Kind: KindFlag, SheetOnly: true}, func(u useRow) Cell { return Flag(u.Estimated) }},
		{Column{Key: "says", Header: "shows", Max: 8}, func(u useRow) Cell { return Text(u.Says) }},
		{Column{Key: "signs", Header: "signs", SheetOnly: true}, func(u useRow) Cell { return Text(strings.Join(u.Signs, ", ")) }},
		{Column{Key: "note", Header: "note", SheetOnly: true, Width: 30}, func(u useRow) Cell { return Text(u.Note) }},
	})
}

func bitName(u useRow) string {
	if u.Bit == "" {
		return "? " + jobs.FormatMM(u.UnknownMM)
	}
	return u.Bit
}

// known gives the cell, or an empty one where nobody remembers the bit.
func known(u useRow, c Cell) Cell {
	if u.Bit == "" {
		return Empty()
	}
	return c
}

func gradeCell(g *int) Cell {
	if g == nil {
		return Empty()
	}
	return Count(*g).When(*g >= 2, Bad)
}

// survivalTables gives for each class what was seen and the model's curve, each in
// a table of its own. One empty table where no life has ended.
func survivalTables(list []workshop.Survival) []Table {
	list = slices.DeleteFunc(slices.Clone(list), func(s workshop.Survival) bool { return len(s.Steps) == 0 })
	if len(list) == 0 {
		return []Table{{Name: "survival", Title: "Bits still good, and the model", Empty: "No life has ended. The model knows the expected life alone.", Columns: []Column{{Key: "age_holes", Header: "wear"}}}}
	}
	var out []Table
	for i, s := range list {
		suffix := ""
		if i > 0 {
			suffix = fmt.Sprintf("-%d", i+1)
		}
		out = append(out, survivalTable(s, suffix), modelTable(s, suffix))
	}
	return out
}

type lifePoint = workshop.SurvivalPoint

func survivalTable(s workshop.Survival, suffix string) Table {
	t := Table{Name: "survival" + suffix, Title: "Bits still good, and the model", Subtitle: s.Class}
	t.Note("Learned from %s. Life %s.", s.Basis, holesText(s.Life))
	if s.Fit != nil {
		t.Note("Maximum likelihood: shape %.2f, life %s.", s.Fit.Shape, holesText(s.Fit.Life))
	}
	t.Note("Seen: product-limit steps (Kaplan and Meier 1958) over ended lives. Bits retired while good leave without a step.")
	t.Charts = []Chart{{Kind: ChartScatter, Title: "Bits still good: " + s.Class, X: "age_holes", XTitle: "wear (holes)", YTitle: "share still good", YMax: 1,
		Series: []Series{{Name: "seen", Y: "seen", Line: true}, {Name: "model", Table: "model" + suffix, X: "age_holes", Y: "model", Line: true, Dashed: true}}}}
	return Build(t, s.Steps, []Col[lifePoint]{
		{Column{Key: "age_holes", Header: "wear", Unit: "holes", Kind: KindNumber, Digits: NoDigits}, func(p lifePoint) Cell { return Number(p.Age) }},
		{Column{Key: "seen", Header: "seen", Kind: KindShare}, func(p lifePoint) Cell { return Maybe(p.Seen, Share) }},
		{Column{Key: "model", Header: "model", Kind: KindChance}, func(p lifePoint) Cell { return Chance(p.Model) }},
		{Column{Key: "at_risk", Header: "bits", Kind: KindNumber, Digits: NoDigits}, func(p lifePoint) Cell { return Maybe(p.AtRisk, Number) }},
		{Column{Key: "worn", Header: "worn out", Kind: KindNumber, Digits: NoDigits}, func(p lifePoint) Cell { return Maybe(p.Worn, Number) }},
	})
}

func modelTable(s workshop.Survival, suffix string) Table {
	return Build(Table{Name: "model" + suffix, Title: "The model's curve", Subtitle: s.Class, SheetOnly: true}, s.Curve, []Col[lifePoint]{
		{Column{Key: "age_holes", Header: "wear", Unit: "holes", Kind: KindNumber}, func(p lifePoint) Cell { return Number(p.Age) }},
		{Column{Key: "model", Header: "still good", Kind: KindChance}, func(p lifePoint) Cell { return Chance(p.Model) }},
	})
}
