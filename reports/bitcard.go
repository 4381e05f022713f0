package reports

import (
	"fmt"
	"math"
	"strings"

	"bookmatch/costing/bitlife"
	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
)

// lastUses is how many of the newest uses the first screen of a bit shows.
const lastUses = 4

// Bit is one bit: the verdict, its life as a bar, each life, its holes and rims.
func Bit(r *workshop.BitShowResult) Report {
	out := Of(r, "bit-"+strings.ToLower(r.Bit), "Bit "+r.Record.Label())
	v := r.Verdict
	kept := fmt.Sprintf("Kept for %s.", jobs.KeepText(v.Keep))
	if v.Next.ChanceDull != nil {
		kept += fmt.Sprintf(" Risk in %d holes %s.", v.Next.Holes, riskText(v.Verdict))
	}
	out.Headline = []string{fmt.Sprintf("%s %s: %s.", r.Record.Label(), v.VerdictText, wearText(v)), kept}
	out.Sections = append(out.Sections, Section{Drawing: lifeBar(v)})
	lives, uses := livesTable(r.Lives, out), usesTable(r.Uses, r.Bit, out)
	lives.Subtitle = r.Record.Class().String()
	out.Add(lives)
	newest := r.Uses[max(0, len(r.Uses)-lastUses):]
	last := usesTable(newest, r.Bit, out)
	last.Name, last.Charts, last.Notes = "last-uses", nil, nil
	last.Note("All uses, and how long bits like it last: bit show %s --why", r.Bit)
	out.Sections = append(out.Sections, Section{At: First, Table: &last}, Section{At: Full | Why, Table: &uses})
	if r.Survival != nil {
		for _, t := range survivalTables([]workshop.Survival{*r.Survival}) {
			out.Sections = append(out.Sections, Section{At: Full | Why, Table: &t})
		}
	}
	reasons := Section{At: Why, Title: "Why " + v.VerdictText, Notes: v.Reasons}
	out.Sections = append(out.Sections, reasons)
	out.Next = []string{"bit verdict " + r.Bit}
	return out
}

// wearText gives the wear of a bit and where to retire it: "40 holes of wear since
// new, retire it at 72".
func wearText(v workshop.BitRow) string {
	line := fmt.Sprintf("%s of wear %s", holesText(v.Wear), sinceText(v))
	if v.RetireAt != nil {
		line += ", retire it at " + wholeHoles(*v.RetireAt)
	}
	return line
}

// sinceText says where the wear of a bit began: "since new".
func sinceText(v workshop.BitRow) string {
	if v.Origin == jobs.OriginSharpened {
		return "since sharpened " + v.Since.Format("2 Jan")
	}
	return "since new"
}

// riskText gives the chance to go dull with its range: "3 % (1 to 6 %)".
func riskText(v bitlife.Verdict) string {
	p := bitlife.Percent(*v.Next.ChanceDull)
	if band := bitlife.PercentRange(*v.Next.Low, *v.Next.High); band != p {
		return fmt.Sprintf("%s (%s)", p, band)
	}
	return p
}

func wholeHoles(n float64) string { return fmt.Sprintf("%.0f", math.Round(n)) }

// lifeBar draws the wear of a bit, the next job, and where it retires.
func lifeBar(v workshop.BitRow) LifeBar {
	l := LifeBar{Title: v.Bit, Unit: "holes", Used: math.Round(v.Wear), Next: math.Round(v.NextWear)} // whole holes, as everywhere on a screen
	if v.RetireAt != nil {
		l.Retire = math.Round(*v.RetireAt)
	}
	return l
}

// tearOut shows what may prevent tear-out in this shop.
func tearOut(rows []bitlife.TearOutRow) Table {
	type row = bitlife.TearOutRow
	t := Table{Name: "tear-out", Title: "Tear-out by conditions", Empty: "No rim has been graded yet."}
	if len(rows) > 0 {
		t.Note("Torn: grade 2 or 3. From and to: 95 %% interval of Wilson (1927). One judged rim is one trial, however many holes it is for.")
		t.Note("Conditions go together (old bits, hard woods): a row shows what happened, not why.")
		t.Charts = []Chart{{Kind: ChartBars, Title: "Torn rims by condition", X: "value", XTitle: "condition", YTitle: "share torn", YMax: 1, Tall: true, Series: []Series{{Name: "torn", Y: "share"}}}}
	}
	return Build(t, rows, []Col[row]{
		{Column{Key: "by", Header: "by", Max: 16}, func(x row) Cell { return Text(x.By) }},
		{Column{Key: "value", Header: "value", Max: 28}, func(x row) Cell { return Text(x.Value) }},
		{Column{Key: "rims", Header: "rims", Kind: KindCount}, func(x row) Cell { return Count(x.Rims) }},
		{Column{Key: "torn", Header: "torn", Kind: KindCount}, func(x row) Cell { return Count(x.Torn) }},
		{Column{Key: "share", Header: "share", Kind: KindShare}, func(x row) Cell { return Share(x.Share) }},
		{Column{Key: "low", Header: "from", Kind: KindShare}, func(x row) Cell { return Share(x.Low) }},
		{Column{Key: "high", Header: "to", Kind: KindShare}, func(x row) Cell { return Share(x.High) }},
	})
}
