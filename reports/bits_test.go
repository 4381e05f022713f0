package reports_test

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"bookmatch/costing/money"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"
	"bookmatch/reports/plain"
	"bookmatch/reports/reporttest"
	"bookmatch/reports/screen"
)

// bitShop answers verbs on a file with two classes of bits, ended lives, a torn
// rim and holes of a bit that nobody remembers.
func bitShop(t *testing.T) func(workshop.Verb, workshop.Ask) workshop.Result {
	t.Helper()
	now := reporttest.Made
	w := workshop.At(t.TempDir()+"/shop.db", func() time.Time { return now })
	do := func(v workshop.Verb, a workshop.Ask) workshop.Result {
		t.Helper()
		r, err := w.Do(v, a)
		if err != nil {
			t.Fatalf("%s: %v", v.Name, err)
		}
		return r
	}
	do(workshop.ShopSetup, &workshop.ShopSetupAsk{Settings: map[string][]string{"name": {"Elm Yard"}, "currency": {"EUR"}}})
	price := money.MustParse("9.00")
	hole := workshop.HoleAsk{DepthMM: 15, Wood: "hard-maple", Backing: "tight"}
	bit := func(code, size string, holes int, why string) {
		do(workshop.BitAdd, &workshop.BitAddAsk{Code: code, Diameter: size, Point: "brad", Keep: "show", Price: &price, Life: "150"})
		do(workshop.BitUse, &workshop.BitUseAsk{Bit: code, Holes: &holes, HoleAsk: hole, RimAsk: workshop.RimAsk{Grade: "clean"}})
		if why != "" {
			do(workshop.BitMove, &workshop.BitMoveAsk{Bit: code, To: "general", Why: why})
		}
	}
	bit("S10-1", "10", 40, "")
	bit("S10-0", "10", 90, "dull")
	bit("S8-0", "8", 70, "swapped")
	two, three := 2, 3
	do(workshop.BitUse, &workshop.BitUseAsk{Bit: "S8-0", Holes: &two, HoleAsk: workshop.HoleAsk{DepthMM: 15, Wood: "wenge", Backing: "loose"}, RimAsk: workshop.RimAsk{GradeOut: "torn"}})
	do(workshop.BitUse, &workshop.BitUseAsk{Unknown: "10", Holes: &three, HoleAsk: workshop.HoleAsk{DepthMM: 15, Wood: "ebony"}})
	return do
}

// Every screen of bits fits its width, and no chance is a bare 0 %.
func TestBitScreens(t *testing.T) {
	do := bitShop(t)
	list := do(workshop.BitList, &workshop.BitListAsk{})
	one := do(workshop.BitVerdict, &workshop.BitVerdictAsk{Bit: "S10-1"})
	all := do(workshop.BitVerdict, &workshop.BitVerdictAsk{})
	types := do(workshop.BitCompare, &workshop.BitCompareAsk{})
	show := do(workshop.BitShow, &workshop.BitShowAsk{Bit: "S10-0"})
	for name, c := range map[string]struct {
		r     reports.Report
		lines int // at most; 0: a report
	}{
		"bit list":          {reports.Bits(list.(*workshop.BitsResult)).At(reports.First), 24},
		"report bits":       {reports.Bits(list.(*workshop.BitsResult)).At(reports.Full), 0},
		"bit show":          {reports.Bit(show.(*workshop.BitShowResult)).At(reports.First), 32},
		"bit verdict":       {reports.Verdict(one.(*workshop.BitVerdictResult)).At(reports.First), 7},
		"bit verdict --why": {reports.Verdict(one.(*workshop.BitVerdictResult)).At(reports.First | reports.Why), 24},
		"bit compare":       {reports.BitTypes(types.(*workshop.BitCompareResult)).At(reports.First), 24},
		"bit verdict (all)": {reports.Verdict(all.(*workshop.BitVerdictResult)).At(reports.First), 24},
	} {
		for _, width := range []int{60, 80} {
			var out bytes.Buffer
			if err := (screen.Screen{Width: width}).Print(&out, c.r); err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			lines := strings.Split(strings.TrimRight(out.String(), "\n"), "\n")
			for _, line := range lines {
				if plain.Width(line) > width {
					t.Errorf("%s: %d columns, want %d: %q", name, plain.Width(line), width, line)
				}
			}
			if c.lines > 0 && width == 80 && len(lines) > c.lines {
				t.Errorf("%s: %d lines, want %d:\n%s", name, len(lines), c.lines, out.String())
			}
			if strings.Contains(out.String(), " 0 %") {
				t.Errorf("%s: a bare 0 %%:\n%s", name, out.String())
			}
		}
	}
}

func TestBitsReport(t *testing.T) {
	r := reports.Bits(bitShop(t)(workshop.BitList, &workshop.BitListAsk{}).(*workshop.BitsResult)).At(reports.Full)
	var names []string
	for _, x := range r.Tables() {
		names = append(names, x.Name)
	}
	if got, want := strings.Join(names, " "), "register particulars lives survival model survival-2 model-2 uses tear-out"; got != want {
		t.Errorf("tables %s, want %s", got, want)
	}
	// One worn out at 90 holes: the step goes from all to none there.
	s := r.Table("survival")
	last := s.Rows[len(s.Rows)-1]
	if age, _ := last.At(0).Decimal().Float64(); age != 90 {
		t.Errorf("the last step is at %v holes, want 90", age)
	}
	if good, _ := last.At(1).Decimal().Float64(); good != 0 {
		t.Errorf("share %v, want none", good)
	}
	// A rim that nobody saw is empty, not 0.
	g := r.Table("uses")
	for _, row := range g.Rows {
		if row.At(g.Index("bit")).Words() == "? 10" && (!row.At(g.Index("grade_in")).IsEmpty() || !row.At(g.Index("wear_holes")).IsEmpty()) {
			t.Errorf("the unknown bit has wear or a rim: %+v", row)
		}
	}
}
