package paper

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"bookmatch/reports"
	"bookmatch/reports/reporttest"
)

// written is a report as PDF, read back. Two writings give the same bytes.
func written(t *testing.T, r reports.Report) []reporttest.Page {
	t.Helper()
	var a, b bytes.Buffer
	if _, _, err := WriteReport(&a, r); err != nil {
		t.Fatal(err)
	}
	if _, _, err := WriteReport(&b, r); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(a.Bytes(), b.Bytes()) {
		t.Error("two writings differ")
	}
	pages := reporttest.Pages(t, a.Bytes())
	reporttest.CheckPages(t, pages)
	return pages
}

func textOf(pages []reporttest.Page) string {
	var b strings.Builder
	for _, p := range pages {
		for _, w := range p.Words {
			b.WriteString(w.Text + " ")
		}
	}
	return b.String()
}

func count(pages []reporttest.Page, words string) int {
	return strings.Count(textOf(pages), words)
}

// Sizes of paper in points: ISO 216 and 8.5 x 11 in.
func TestReportOnBothPapers(t *testing.T) {
	for paper, size := range map[reports.Paper][2]float64{reports.A4: {595.28, 841.89}, reports.Letter: {612, 792}} {
		r := reporttest.Example()
		r.Paper = paper
		// The face has no Japanese and no emoji; their codes are printed.
		work := r.Table("Work")
		for i := range work.Rows {
			if c := work.Rows[i].Cells[1]; strings.Contains(c.Words(), "日") {
				var b bytes.Buffer
				_, warnings, err := WriteReport(&b, r)
				if err != nil || len(warnings) == 0 {
					t.Errorf("%v, %d warnings of letters that the face lacks", err, len(warnings))
				}
				work.Rows[i].Cells[1] = reports.Text("décor")
			}
		}
		r.Sections = append(r.Sections, reports.Section{Drawing: strip()})
		r.Sections = append(r.Sections, reports.Section{Title: "Hours", Drawing: curve()})
		r.Sections = append(r.Sections, reports.Section{Title: "About", Drawing: reports.Pairs{{Head: "wood", Text: "hard maple"}, {Text: "a line of its own"}}})
		pages := written(t, r)
		reporttest.CheckWords(t, pages, r)
		for n, p := range pages {
			w, h := p.Width, p.Height
			if w > h {
				w, h = h, w
			}
			if w-size[0] > 0.1 || size[0]-w > 0.1 || h-size[1] > 0.1 || size[1]-h > 0.1 {
				t.Errorf("%s: a page of %.1f by %.1f", paper, p.Width, p.Height)
			}
			if foot := fmt.Sprintf("page %d of %d", n+1, len(pages)); count(pages[n:n+1], foot) != 1 {
				t.Errorf("%s: no %q", paper, foot)
			}
		}
		if n := count(pages, "how it was counted"); n != 1 {
			t.Errorf("how the figures were counted is said %d times", n)
		}
	}
}

func TestReportForCustomer(t *testing.T) {
	r := reporttest.Example()
	r.ForCustomer, r.Accept = true, "I accept it."
	pages := written(t, r)
	for _, hidden := range []string{"how it was counted", "Figures used", "2026, "} {
		if count(pages, hidden) > 0 {
			t.Errorf("a customer reads %q", hidden)
		}
	}
	if count(pages, "I accept it.") != 1 || count(pages, "Signature") != 1 {
		t.Error("nothing to sign")
	}
}

// Cautions come before the first table, wherever the report has them.
func TestReportCautionsFirst(t *testing.T) {
	r := reports.Report{Name: "x", Title: "Sheet of ada", Code: "HGMAR", Made: reporttest.Made, Cautions: []string{"Clamp the work."}}
	tab := reports.Table{Name: "holes", Title: "Holes", Columns: []reports.Column{{Key: "hole", Header: "hole", Kind: reports.KindCount}}}
	tab.Add(reports.Count(1))
	r.Add(tab)
	r.Sections = append(r.Sections, reports.Section{Title: "Cautions", Notes: []string{"! Rosewood: dust irritates."}})
	text := textOf(written(t, r))
	for _, want := range []string{"! Clamp the work.", "! Rosewood: dust irritates."} {
		if at := strings.Index(text, want); at < 0 || at > strings.Index(text, "Holes") {
			t.Errorf("%q is not before the table: %s", want, text)
		}
	}
	if strings.Count(text, "HGMAR") != 2 || strings.Contains(text, "DO NOT USE") {
		t.Errorf("the code of the plan: %s", text)
	}
	r.Void = "out of date: nut changed"
	if text = textOf(written(t, r)); !strings.Contains(text, "DO NOT USE") || !strings.Contains(text, "nut changed") {
		t.Errorf("a plan that is void: %s", text)
	}
}

// A long table repeats its head on every page and keeps its total with a row.
func TestReportLongTable(t *testing.T) {
	tab := reports.Table{Name: "long", Title: "Long", Columns: []reports.Column{{Key: "no", Header: "running", Kind: reports.KindCount}, {Key: "amount", Header: "amount", Unit: "EUR", Kind: reports.KindNumber, Digits: 2, Sum: true}, {Key: "note", Header: "note"}}}
	for i := range 400 {
		tab.Add(reports.Count(i), reports.Number(float64(i)-7.25), reports.Text(strings.Repeat("word ", i%9)))
	}
	tab.Add(reports.Count(400), reports.Number(1), reports.Text(strings.Repeat("many words ", 700)))
	tab.Add(reports.Count(401), reports.Number(1), reports.Text(strings.Repeat("x", 400)))
	r := reports.Report{Name: "long", Title: "A long one"}
	r.Add(tab)
	pages := written(t, r)
	if n := count(pages, "running"); n != len(pages) {
		t.Errorf("the head is on %d of %d pages", n, len(pages))
	}
	if n := count(pages, "many"); n != 700 {
		t.Errorf("%d of 700 words", n)
	}
	text := textOf(pages)
	if !strings.Contains(text, "−7.25") || strings.Count(text, "x") < 400 {
		t.Error("a minus or a long word is lost")
	}
}

// A table that fits on no paper prints one row below the other; lines to write
// on are there.
func TestReportOddTables(t *testing.T) {
	wide := reports.Table{Name: "wide", Columns: []reports.Column{}}
	var cells []reports.Cell
	for i := range 40 {
		wide.Columns = append(wide.Columns, reports.Column{Key: fmt.Sprintf("c%d", i), Header: fmt.Sprintf("column%d", i), Kind: reports.KindMM})
		cells = append(cells, reports.MM(1000.25+float64(i)))
	}
	wide.Add(cells...)
	card := reports.Table{Name: "card", Ruled: 9, Columns: []reports.Column{{Key: "time", Header: "time", Width: 9}, {Key: "note", Header: "remark", Width: 40}}}
	r := reports.Report{Name: "odd", Title: strings.Repeat("a long title ", 20), Shop: strings.Repeat("a long shop ", 20), Headline: []string{strings.Repeat("an answer ", 40)}}
	r.Add(wide, card, reports.Table{Name: "none", Empty: "Nothing is on the bench.", Columns: []reports.Column{{Key: "a", Header: "a"}}})
	pages := written(t, r)
	reporttest.CheckWords(t, pages, r)
	if count(pages, "Nothing is on the bench.") != 1 || count(pages, "remark") == 0 {
		t.Error("an empty table or a card is lost")
	}
	if pages := written(t, reports.Report{Name: "bare", Headline: []string{"Nothing to buy."}}); len(pages) != 1 || count(pages, "Nothing to buy.") != 1 {
		t.Errorf("%d pages", len(pages))
	}
}
