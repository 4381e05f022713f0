package reports

import (
	"fmt"
	"strings"

	"bookmatch/costing/bitlife"
	"bookmatch/costing/money"
	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
)

// Verdict is the answer to whether a bit is good for the next holes: one bit with
// its reasons, or one line for each show bit, or the bit for each neck of tonight.
func Verdict(r *workshop.BitVerdictResult) Report {
	switch {
	case r.Tonight:
		return bitsOfTonight(r)
	case len(r.Bits) == 1 && r.Named:
		return oneVerdict(r, r.Bits[0])
	}
	return verdicts(r)
}

func oneVerdict(r *workshop.BitVerdictResult, v workshop.VerdictRow) Report {
	out := Of(r, "verdict", "Verdict")
	narrow := out
	out.Headline = append([]string{v.Headline}, verdictLines(r, v, true)...)
	narrow.Headline = append([]string{strings.Replace(v.Headline, "drill one hole in an offcut, look at it, then drill the", "one hole in an offcut, then the", 1)}, verdictLines(r, v, false)...)
	out.Cautions, narrow.Cautions = []string{bitlife.CautionWide}, []string{bitlife.CautionNarrow}
	if x := v.Drilling.Reaction; x != "" {
		out.Cautions, narrow.Cautions = append(out.Cautions, x), append(narrow.Cautions, x)
	}
	more, less, next := "The sums: --why", "--why", verdictNext(v)
	switch {
	case len(r.Assumed) > 0:
		out.Notes = []string{fmt.Sprintf("Assumed: %s. For your plan: --neck NECK. %s", strings.Join(r.Assumed, ", "), more)}
		narrow.Notes = []string{fmt.Sprintf("Assumed: %s. --neck NECK, %s", strings.ReplaceAll(strings.Join(r.Assumed, ", "), " deep", ""), less)}
	case next != "":
		out.Next, narrow.Next = []string{next, more}, []string{next, less}
	default:
		out.Notes, narrow.Notes = []string{more}, []string{less}
	}
	reasons := verdictReasons(r, v)
	out.Narrow, out.Reasons = &narrow, &reasons
	return out
}

// verdictNext is what makes a bit that is not ready good for these holes.
func verdictNext(v workshop.VerdictRow) string {
	switch v.Label() {
	case bitlife.VerdictTest, bitlife.VerdictNoRecord:
		return "bit test " + v.Bit
	case bitlife.VerdictRetire, "general only":
		return "bit sharpen " + v.Bit
	}
	return ""
}

// verdictLines gives what is said below a verdict, indented by two. On a narrow screen
// it is one paragraph.
func verdictLines(r *workshop.BitVerdictResult, v workshop.VerdictRow, wide bool) []string {
	var text []string
	cur := money.Currency(r.Currency)
	if v.Label() == bitlife.VerdictTest && v.Next.ChanceDull != nil {
		s := fmt.Sprintf("A test hole costs %s %s and saves %s %s", cur, cur.Print(v.TestCost), cur, cur.Print(v.TestSaves))
		if wide {
			s += " on average"
		}
		text = append(text, s+".")
	}
	if leadsWithReason(v) {
		text = append(text, v.Reasons[0])
	}
	if v.Next.ChanceDull != nil && v.Away == "" && !v.Hidden {
		text = append(text, fmt.Sprintf("The risk of going dull in %s is %s.", theseHoles(v.Next.Holes), riskText(v.Verdict)))
		if wide {
			text = append(text, fmt.Sprintf("A torn hole costs %s %s.", cur, cur.Print(v.TornHoleCost)))
		}
	}
	wear := fmt.Sprintf("Wear is %s %s.", holesText(v.Wear), sinceText(v.BitRow))
	if v.RetireAt != nil && v.Keep == jobs.KeepShow {
		from := " from show holes"
		if !wide {
			from = ""
		}
		wear += fmt.Sprintf(" Retire it%s at %s.", from, wholeHoles(*v.RetireAt))
	}
	if !wide || len(text) == 0 {
		return []string{"  " + strings.Join(append(text, wear), " ")}
	}
	return []string{"  " + strings.Join(text, " "), "  " + wear}
}

// leadsWithReason says that the first reason is not said by the risk and the wear.
func leadsWithReason(v workshop.VerdictRow) bool {
	return len(v.Reasons) > 0 && (v.Hidden || v.Away != "" || v.RetireAt == nil || v.Keep != jobs.KeepShow || v.Next.ChanceDull == nil)
}

func theseHoles(n int) string {
	if n == 1 {
		return "this hole"
	}
	return fmt.Sprintf("these %d holes", n)
}

// verdictReasons is what --why shows: the sums and the sources.
func verdictReasons(r *workshop.BitVerdictResult, v workshop.VerdictRow) Report {
	out := Of(r, "verdict", "Verdict")
	out.Headline = []string{fmt.Sprintf("Why %s for %s (%s %s point, kept for %s)", v.VerdictText, v.Bit, sizeWords(v.DiameterText), v.Point, jobs.KeepText(v.Keep))}
	cur := out.Currency
	money := func(a money.Amount) string { return string(cur) + " " + cur.Print(a) }
	var p Pairs
	if c := v.Next.ChanceDull; c != nil {
		p.Add("Risk", fmt.Sprintf("%s that it goes dull in %s. 4 times in 5 it is %s.", bitlife.Percent(*c), moreHoles(v.Next.Holes), bitlife.PercentRange(*v.Next.Low, *v.Next.High)))
	}
	if !v.Hidden {
		p.Add("Torn hole", fmt.Sprintf("%s: %s.", money(v.TornHoleCost), v.TornHoleBasis))
		line := money(v.TestCost) + "."
		if c := v.Next.ChanceDull; c != nil {
			line += fmt.Sprintf(" It finds %s%s: %.2g %% x %.0f %% x %s = %s.", foundText(v.Life.Found), testsText(v.Life), 100**c, 100*v.Life.Found, cur.Print(v.TornHoleCost), cur.Print(v.TestSaves))
		}
		p.Add("Test hole", line)
	}
	p.Add("New bit", newBitText(v, money))
	p.Add("Wear", wearLeft(v))
	p.Add("Learned", v.Life.Basis+".")
	if m := v.Life.MLE; m != nil {
		p.Add("Fit", fitText(*m))
	}
	for i, x := range v.Reasons {
		if i > 0 && !strings.HasPrefix(x, "Learned") || i == 0 && (leadsWithReason(v) || v.Verdict.Verdict == bitlife.VerdictRetire) {
			p.Add("Also", x)
		}
	}
	for _, w := range v.Warnings {
		p.Add("Note", w)
	}
	d := v.Drilling
	if d.Step > 0 {
		p.Add("Speed", fmt.Sprintf("%d per minute (%.0f at %.0f m/min). The maker's label comes first.", d.Step, d.RPM, d.CuttingMPerMin))
	}
	for _, c := range d.Cautions {
		if c != bitlife.CautionWide {
			p.Add("", "! "+c)
		}
	}
	out.Sections = []Section{{Close: true, Drawing: p, Notes: []string{"One hole of wear is 15 mm through hard maple. Survival curve: bit show " + v.Bit}}}
	return out
}

func moreHoles(n int) string {
	if n == 1 {
		return "1 more hole"
	}
	return fmt.Sprintf("%d more holes", n)
}

// foundText says how many failing bits a test hole finds: "8 dull bits in 10".
func foundText(share float64) string {
	if x := share * 10; x == float64(int(x)) {
		return fmt.Sprintf("%.0f dull bits in 10", x)
	}
	return fmt.Sprintf("%.0f dull bits in 100", share*100)
}

// testsText gives the builder's own record of test holes: " (yours: 1 found, 1
// missed)".
func testsText(b bitlife.LifeBasis) string {
	if b.TestsFound+b.TestsMissed == 0 {
		return ""
	}
	return fmt.Sprintf(" (yours: %d found, %d missed)", b.TestsFound, b.TestsMissed)
}

func newBitText(v workshop.VerdictRow, money func(money.Amount) string) string {
	if v.Change.Sign() == 0 {
		return "no price is known, so its expected life is the limit. Type: bit set " + v.Bit + " --price PRICE"
	}
	line := money(v.Change)
	if v.ChangeFrom == bitlife.FromClass {
		line += ", the price of its class"
	}
	line += "."
	if v.RetireAt != nil {
		line += fmt.Sprintf(" That makes %s the cheapest age to change it.", holesText(*v.RetireAt))
	}
	return line
}

func wearLeft(v workshop.VerdictRow) string {
	line := holesText(v.Wear) + "."
	if v.HolesLeft != nil {
		line += fmt.Sprintf(" %d left", *v.HolesLeft)
		if n := v.HeadstocksLeft; n != nil && *n > 0 {
			line += fmt.Sprintf(": enough for %s like this one", jobs.CountText(*n, "headstock"))
		}
		line += "."
	}
	return line
}

func fitText(m bitlife.EdgeMLE) string {
	line := ""
	if m.ScaleM > 0 {
		line = fmt.Sprintf("Maximum likelihood: shape %.2f (%s), life %s (%s), %s. ", m.Shape, interval(m.ShapeInterval, func(v float64) string { return fmt.Sprintf("%.1f", v) }),
			bitlife.HolesText(m.ScaleM), interval(m.ScaleInterval, bitlife.HolesText), m.Interval)
	}
	return strings.TrimSpace(line + m.Warning)
}

func interval(i bitlife.Interval, show func(float64) string) string {
	side := func(v *float64) string {
		if v == nil {
			return "not bounded"
		}
		return show(*v)
	}
	return side(i.Low) + " to " + side(i.High)
}

// verdicts gives one line for each bit.
func verdicts(r *workshop.BitVerdictResult) Report {
	out := Of(r, "verdict", "Verdicts")
	if len(r.Bits) == 0 {
		out.Headline = []string{"No bit is kept for show holes" + r.Fitting + "."}
		out.Next = []string{"bit add S10-1 --diameter 10 --point brad --keep show"}
		return out
	}
	ready := 0
	for _, v := range r.Bits {
		if v.Verdict.Verdict == bitlife.VerdictReady {
			ready++
		}
	}
	out.Headline = []string{fmt.Sprintf("%d of %s%s READY for %s. A torn hole costs %s %s.", ready, jobs.CountText(len(r.Bits), "show bit"), r.Fitting, theseHoles(r.Job.Holes), r.Currency, r.Job.TornHole)}
	out.Cautions = []string{bitlife.CautionWide}
	type row = workshop.VerdictRow
	t := Build(Table{Name: "verdicts"}, r.Bits, []Col[row]{
		{Column{Key: "bit", Header: "bit", Max: 10}, func(v row) Cell { return Text(v.Bit) }},
		{Column{Key: "size", Header: "size", Max: 9}, func(v row) Cell { return Text(v.DiameterText) }},
		{Column{Key: "wear_holes", Header: "wear", Unit: "holes", Kind: KindNumber, Digits: NoDigits}, func(v row) Cell { return Number(v.Wear) }},
		{Column{Key: "retire_at_holes", Header: "retire at", Kind: KindNumber, Digits: NoDigits, Max: 6}, func(v row) Cell { return Maybe(v.RetireAt, Number) }},
		{Column{Key: "chance_dull", Header: fmt.Sprintf("risk in %d", r.Job.Holes), Kind: KindChance}, func(v row) Cell { return Maybe(v.Next.ChanceDull, Chance) }},
		{Column{Key: "verdict", Header: "verdict", Max: 16}, func(v row) Cell { return Text(v.VerdictText).In(verdictTone(v.Verdict.Verdict)) }},
	})
	out.Add(t)
	var why Pairs
	for _, v := range r.Bits {
		why.Add(v.Bit, strings.Join(v.Reasons, " "))
	}
	out.Sections = append(out.Sections, Section{At: Why, Title: "Why", Drawing: why})
	if len(r.Assumed) > 0 {
		out.Notes = []string{fmt.Sprintf("Assumed: %s. For your plan: --neck NECK", strings.Join(r.Assumed, ", "))}
	}
	out.Next = []string{"bit verdict " + r.Bits[0].Bit}
	return out
}

// bitsOfTonight gives the bit for each neck whose drilling is next.
func bitsOfTonight(r *workshop.BitVerdictResult) Report {
	out := Of(r, "verdict", "Bits for tonight")
	if len(r.Plan) == 0 {
		out.Headline = []string{"No open neck has its drilling next."}
		out.Next = []string{"tonight"}
		return out
	}
	type row = workshop.PlanRow
	out.Headline = []string{fmt.Sprintf("%s can be drilled next.", jobs.CountText(len(r.Plan), "neck"))}
	out.Cautions = []string{bitlife.CautionWide}
	out.Add(Build(Table{Name: "tonight"}, r.Plan, []Col[row]{
		{Column{Key: "neck", Header: "neck", Max: 12}, func(p row) Cell { return Text(p.Neck) }},
		{Column{Key: "bit", Header: "take", Max: 10}, func(p row) Cell { return Text(p.Bit) }},
		{Column{Key: "verdict", Header: "verdict", Max: 16}, func(p row) Cell {
			if p.Verdict == nil {
				return Empty()
			}
			return Text(p.Verdict.VerdictText).In(verdictTone(p.Verdict.Verdict.Verdict))
		}},
		{Column{Key: "why", Header: "why", Width: 40}, func(p row) Cell { return Text(p.Why) }},
	}))
	for _, p := range r.Plan {
		if p.Bit != "" {
			next := fmt.Sprintf("bit verdict %s --neck %s", p.Bit, p.Neck)
			if p.Verdict != nil && p.Verdict.Hidden {
				next += " --hidden"
			}
			out.Next = []string{next}
			break
		}
	}
	return out
}

// sizeWords parts a size from its unit: "10 mm".
func sizeWords(size string) string {
	for _, unit := range []string{"mm", "in"} {
		if n, ok := strings.CutSuffix(size, unit); ok {
			return n + " " + unit
		}
	}
	return size
}
