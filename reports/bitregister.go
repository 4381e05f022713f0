package reports

import (
	"fmt"
	"strings"

	"bookmatch/costing/bitlife"
	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
)

// Bits is every bit: the register on the screen, in full also lives, survival,
// holes and tear-out.
func Bits(r *workshop.BitsResult) Report {
	out := Of(r, "bits", "Bits")
	out.Headline = []string{bitsHead(r)}
	shown := *r
	if !r.All { // the screen leaves scrap out, the report does not
		shown.Bits = nil
		for _, x := range r.Bits {
			if x.Keep != jobs.KeepScrap {
				shown.Bits = append(shown.Bits, x)
			}
		}
	}
	short, full := register(&shown), register(r)
	short.Name, full.Charts = "bits", []Chart{{Kind: ChartStackedBars, Title: "Wear, and what is left", X: "bit", XTitle: "bit", YTitle: "holes of wear", Tall: true,
		Series: []Series{{Name: "wear", Y: "wear_holes"}, {Name: "left", Y: "holes_left"}}}}
	out.Sections = append(out.Sections, Section{At: First, Table: &short}, Section{At: Full, Table: &full})
	particulars := particularsOf(r)
	lives, uses, torn := livesTable(r.Lives, out), usesTable(r.Uses, "", out), tearOut(r.TearOut)
	out.Sections = append(out.Sections, Section{At: Full, Table: &particulars}, Section{At: Full, Table: &lives})
	for _, t := range survivalTables(r.Survival) {
		out.Sections = append(out.Sections, Section{At: Full, Table: &t})
	}
	out.Sections = append(out.Sections, Section{At: Full, Table: &uses}, Section{At: Full, Table: &torn})
	switch {
	case len(r.Bits) == 0:
		out.Next = []string{"bit add S10-1 --diameter 10 --point brad --keep show"}
	case len(shown.Bits) == 0:
		out.Next = []string{"bit list --all"}
	default:
		out.Next = []string{"bit verdict --neck NECK", "bit show " + shown.Bits[0].Bit}
	}
	out.Count("hole of wear", "15 mm through hard maple = 1; other woods, backing and glue lines by their factors")
	out.Count("verdict", "for %d holes (%s of wear) on a face where a torn hole costs %s (%s)", r.Job.Holes, holesText(r.Job.Wear), r.Job.TornHole, r.Job.TornHoleWhy)
	out.Count("retire at", "the wear at which a fresh bit is cheapest: cost of a new edge x chance to last + torn hole x chance to go dull, over the mean cut (Barlow and Hunter 1960), from ended lives only")
	out.Count("risk", "Weibull of assumed shape %.3g, a prior worth one event at the expected life, the bit's own survival so far counted in", r.Shape)
	out.Count("life", "worn out: the wear at which dull was seen; else the wear up to which the bit is known to have been good (censored)")
	return out
}

// bitsHead counts the show bits by verdict: "3 show bits: 2 READY, 1 TEST FIRST."
func bitsHead(r *workshop.BitsResult) string {
	count := map[string]int{}
	show := 0
	for _, x := range r.Bits {
		if x.Keep == jobs.KeepShow {
			show++
			count[x.VerdictText]++
		}
	}
	if len(r.Bits) == 0 {
		return "No bit has been added."
	}
	var parts []string
	for _, k := range []string{"READY", "TEST FIRST", "LAST HEADSTOCK", "RETIRE FROM SHOW", "NO RECORD"} {
		if n := count[k]; n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", n, k))
		}
	}
	if show == 0 {
		return fmt.Sprintf("%s, none of them kept for show holes.", jobs.CountText(len(r.Bits), "bit"))
	}
	return fmt.Sprintf("%s: %s.", jobs.CountText(show, "show bit"), strings.Join(parts, ", "))
}

type bitRow = workshop.BitRow

func register(r *workshop.BitsResult) Table {
	t := Table{Name: "register", Wide: true, Title: "Bit register", Empty: "No bit has been added."}
	if len(r.Bits) == 0 && len(r.Lives) > 0 {
		t.Empty = "All bits are scrap, lost or broken."
	}
	for _, x := range r.Bits {
		if x.PossibleM > 0 {
			t.Note("%s may have drilled holes of an unknown bit of its size. They count in full.", x.Bit)
		}
	}
	if len(r.Bits) > 0 {
		t.Note("For %d holes where a torn hole costs %s %s. For a neck: bit verdict --neck NECK", r.Job.Holes, r.Currency, r.Job.TornHole)
		t.Note("Last rim empty: not looked at, which is not clean.")
	}
	return Build(t, r.Bits, []Col[bitRow]{
		{Column{Key: "bit", Header: "bit", Max: 10}, func(x bitRow) Cell { return Text(x.Bit) }},
		{Column{Key: "size", Header: "size", Max: 9}, func(x bitRow) Cell { return Text(x.DiameterText) }},
		{Column{Key: "kept_for", Header: "kept for", Max: 8}, func(x bitRow) Cell { return Text(x.Keep) }},
		{Column{Key: "life", Header: "life", Kind: KindCount, SheetOnly: true}, func(x bitRow) Cell { return Count(x.Edge) }},
		{Column{Key: "wear_holes", Header: "wear", Unit: "holes", Kind: KindNumber, Digits: NoDigits, Max: 7}, func(x bitRow) Cell { return Number(x.Wear) }},
		{Column{Key: "retire_at_holes", Header: "retire at", Kind: KindNumber, Digits: NoDigits, Max: 6}, func(x bitRow) Cell { return Maybe(x.RetireAt, Number) }},
		{Column{Key: "holes_left", Header: "holes left", Kind: KindCount, SheetOnly: true}, func(x bitRow) Cell { return Maybe(x.HolesLeft, Count) }},
		{Column{Key: "headstocks_left", Header: "headstocks left", Kind: KindCount, Max: 10}, func(x bitRow) Cell { return Maybe(x.HeadstocksLeft, Count) }},
		{Column{Key: "chance_dull", Header: fmt.Sprintf("risk in %d", r.Job.Holes), Kind: KindChance, Max: 9}, func(x bitRow) Cell { return Maybe(x.Next.ChanceDull, Chance) }},
		{Column{Key: "low", Header: "risk, low", Kind: KindChance, SheetOnly: true}, func(x bitRow) Cell { return Maybe(x.Next.Low, Chance) }},
		{Column{Key: "high", Header: "risk, high", Kind: KindChance, SheetOnly: true}, func(x bitRow) Cell { return Maybe(x.Next.High, Chance) }},
		{Column{Key: "last_grade", Header: "last rim", Kind: KindCount, Max: 4}, func(x bitRow) Cell { return Maybe(x.LastGrade, Count) }},
		{Column{Key: "verdict", Header: "verdict", Max: 16}, func(x bitRow) Cell { return Text(x.VerdictText).In(verdictTone(x.Verdict.Verdict)) }},
	})
}

// particularsOf gives what the register has no room for.
func particularsOf(r *workshop.BitsResult) Table {
	t := Table{Name: "particulars", Wide: true, Title: "Particulars of the bits", Empty: "No bit has been added."}
	return Build(t, r.Bits, []Col[bitRow]{
		{Column{Key: "bit", Header: "bit", Max: 10}, func(x bitRow) Cell { return Text(x.Bit) }},
		{Column{Key: "point", Header: "point", Max: 11}, func(x bitRow) Cell { return Text(x.Point) }},
		{Column{Key: "material", Header: "material", Max: 12}, func(x bitRow) Cell { return Text(x.Material) }},
		{Column{Key: "label", Header: "maker's label", Max: 14}, func(x bitRow) Cell { return Text(x.MakersLabel) }},
		{Column{Key: "drilled", Header: "drilled", Unit: "holes", Kind: KindCount}, func(x bitRow) Cell { return Count(x.Drilled) }},
		{Column{Key: "expected_holes", Header: "expected life", Unit: "holes", Kind: KindNumber, Digits: NoDigits}, func(x bitRow) Cell { return zeroIsNone(x.ExpectedHoles) }},
		{Column{Key: "new_edge_cost", Header: "new edge", Unit: r.Currency, Kind: KindMoney}, func(x bitRow) Cell { return Money(x.Change) }},
		{Column{Key: "last_use", Header: "last use", Kind: KindDate}, func(x bitRow) Cell { return Maybe(x.LastUse, dateCell(r.Zone)) }},
		{Column{Key: "learned", Header: "learned from", SheetOnly: true, Width: 52}, func(x bitRow) Cell { return Text(x.Life.Basis) }},
		{Column{Key: "note", Header: "note", SheetOnly: true, Width: 30}, func(x bitRow) Cell { return Text(x.Note) }},
	})
}

func zeroIsNone(v float64) Cell {
	if v <= 0 {
		return NotRecorded()
	}
	return Number(v)
}

func verdictTone(v string) Tone {
	switch v {
	case bitlife.VerdictReady:
		return Good
	case bitlife.VerdictRetire:
		return Bad
	}
	return Careful
}

// holesText prints holes of wear in whole ones, "under 1 hole" below one.
func holesText(n float64) string { return bitlife.HolesText(n * jobs.RefHoleM) }
