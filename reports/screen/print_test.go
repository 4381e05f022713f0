package screen

import (
	"bytes"
	"regexp"
	"strings"
	"testing"

	"bookmatch/costing/money"
	"bookmatch/reports"
	"bookmatch/reports/reporttest"

	"github.com/google/go-cmp/cmp"
	"github.com/olekukonko/tablewriter/pkg/twwidth"
)

// Every line fits, with and without colour, whatever the names are.
func TestScreenFits(t *testing.T) {
	for _, width := range []int{200, 120, 80, 60, 40} {
		for _, color := range []bool{false, true} {
			var b bytes.Buffer
			if err := (Screen{Width: width, Colour: color}).Print(&b, reporttest.Example()); err != nil {
				t.Fatal(err)
			}
			for _, l := range strings.Split(b.String(), "\n") {
				if n := twwidth.WidthWithOptions(l, twwidth.Options{}); n > width { // without escape codes
					t.Errorf("%d columns, color %v: line of %d: %q", width, color, n, l)
				}
				if strings.HasSuffix(l, " ") {
					t.Errorf("line ends in a space: %q", l)
				}
			}
			if !color && strings.Contains(b.String(), "\x1b") {
				t.Error("an escape sequence without colour")
			}
		}
	}
}

// Taking the colours off gives the plain print: nothing is said by colour alone.
func TestScreenColorAddsNothing(t *testing.T) {
	var plain, colored bytes.Buffer
	r := reporttest.Example()
	r.Tables()[0].Rows[0].Cells[9] = reports.Chance(0.9).In(reports.Bad)
	if err := (Screen{}).Print(&plain, r); err != nil {
		t.Fatal(err)
	}
	if err := (Screen{Colour: true}).Print(&colored, r); err != nil {
		t.Fatal(err)
	}
	s := colored.String()
	if !strings.Contains(s, "\x1b[1;38;5;160m") {
		t.Error("the bad figure is not red and bold")
	}
	s = regexp.MustCompile("\x1b\\[[0-9;]*m").ReplaceAllString(s, "")
	squeeze := func(s string) string {
		var out []string
		for _, l := range strings.Split(s, "\n") {
			out = append(out, strings.TrimRight(l, " "))
		}
		return strings.Join(out, "\n")
	}
	if d := cmp.Diff(plain.String(), squeeze(s)); d != "" {
		t.Errorf("(-plain +colour without its codes):\n%s", d)
	}
}

func TestScreenPrint(t *testing.T) {
	r := reports.Report{Name: "steps", Title: "Steps", Currency: "EUR", Made: reporttest.Made}
	tab := reports.Table{Name: "Steps", Title: "Steps", Subtitle: "three steps of one neck", Columns: []reports.Column{
		{Key: "what", Header: "what"}, {Key: "likely_min", Header: "likely", Unit: "min", Kind: reports.KindMinutes, Sum: true},
		{Key: "cost", Header: "cost", Unit: "EUR", Kind: reports.KindMoney, Sum: true}, {Key: "dull", Header: "dull", Kind: reports.KindChance},
		{Key: "hidden", Header: "hidden", SheetOnly: true}, {Key: "note", Header: "note", Max: 22}}}
	tab.Add(reports.Text("flush-sand 日本"), reports.MinutesOf(95), reports.Money(money.MustParse("12.345")), reports.Chance(0.003), reports.Text("x"), reports.Text("the drum was worn, ask for grit 120"))
	tab.Add(reports.Text("drill\x1b[31m"), reports.NotRecorded(), reports.Money(money.MustParse("2.345")), reports.Chance(0.734))
	tab.Footer = []reports.Row{reports.R(reports.Text("longest"), reports.MinutesOf(95))}
	tab.Note("Likely times are medians; they do not add up to the job.")
	r.Sections = reports.Sections(tab)
	var b bytes.Buffer
	if err := (Screen{}).Print(&b, r); err != nil {
		t.Fatal(err)
	}
	want := `Steps
three steps of one neck
                                cost
what             likely (min)  (EUR)       dull  note
───────────────────────────────────────────────────────────────────────
flush-sand 日本            95  12.35  under 1 %  the drum was worn, ask
                                                 for grit 120
drill�[31m       not recorded   2.35       73 %
───────────────────────────────────────────────────────────────────────
longest                    95
total                      95  14.70

Likely times are medians; they do not add up to the job.
`
	if d := cmp.Diff(want, b.String()); d != "" {
		t.Errorf("(-want +got):\n%s", d)
	}
}
