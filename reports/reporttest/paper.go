package reporttest

import (
	"bytes"
	"encoding/xml"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"bookmatch/reports"
)

// Page is a page of a PDF with its words, in points (1/72 inch).
type Page struct {
	Width  float64 `xml:"width,attr"`
	Height float64 `xml:"height,attr"`
	Words  []struct {
		X0   float64 `xml:"xMin,attr"`
		Y0   float64 `xml:"yMin,attr"`
		X1   float64 `xml:"xMax,attr"`
		Y1   float64 `xml:"yMax,attr"`
		Text string  `xml:",chardata"`
	} `xml:"word"`
}

// Pages reads a PDF with two programs of others: qpdf has no fault to find in
// it, and poppler gives its words with their places.
func Pages(t testing.TB, data []byte) []Page {
	t.Helper()
	for _, need := range []string{"qpdf", "pdftotext", "pdffonts"} {
		if _, err := exec.LookPath(need); err != nil {
			if os.Getenv("CI") != "" {
				t.Fatalf("%s is not installed, but CI asks for every check", need)
			}
			t.Skip(need + " is not installed")
		}
	}
	file := filepath.Join(t.TempDir(), "paper.pdf")
	if err := os.WriteFile(file, data, 0o600); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command("qpdf", "--check", file).CombinedOutput(); err != nil {
		t.Fatalf("qpdf: %v\n%s", err, out)
	}
	fonts, err := exec.Command("pdffonts", file).Output()
	if err != nil {
		t.Fatal(err)
	}
	for i, l := range strings.Split(strings.TrimSpace(string(fonts)), "\n") {
		if f := strings.Fields(l); i > 1 && (len(f) < 5 || f[len(f)-5] != "yes") {
			t.Errorf("a face is not embedded: %s", l)
		}
	}
	raw, err := exec.Command("pdftotext", "-bbox", file, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	var doc struct {
		Pages []Page `xml:"body>doc>page"`
	}
	d := xml.NewDecoder(bytes.NewReader(raw))
	d.Strict, d.Entity = false, xml.HTMLEntity
	if err := d.Decode(&doc); err != nil {
		t.Fatal(err)
	}
	return doc.Pages
}

// CheckPages checks that no word is in the margins, and that no page but the
// last is nearly empty.
func CheckPages(t testing.TB, pages []Page) {
	t.Helper()
	const mm = 72 / 25.4
	for n, p := range pages {
		low := 0.0
		for _, w := range p.Words {
			if w.X0 < 11*mm || w.X1 > p.Width-11*mm || w.Y0 < 11*mm || w.Y1 > p.Height-11*mm {
				t.Errorf("page %d of %d: %q is in the margin, at %.0f to %.0f by %.0f to %.0f of %.0f by %.0f", n+1, len(pages), w.Text, w.X0, w.X1, w.Y0, w.Y1, p.Width, p.Height)
			}
			if w.Y1 < p.Height-19*mm {
				low = max(low, w.Y1)
			}
		}
		if n < len(pages)-1 && low < 0.45*p.Height {
			t.Errorf("page %d of %d ends at %.0f of %.0f: nearly empty", n+1, len(pages), low, p.Height)
		}
	}
}

// CheckWords checks that the pages have the text of every cell that a screen
// shows, each figure as often as the report has it.
func CheckWords(t testing.TB, pages []Page, r reports.Report) {
	t.Helper()
	seen := map[string]int{}
	var all strings.Builder
	for _, p := range pages {
		for _, w := range p.Words {
			seen[w.Text]++
			all.WriteString(w.Text + "\n")
		}
	}
	text := all.String()
	want := map[string]int{}
	for _, tab := range r.Tables() {
		if tab.SheetOnly {
			continue
		}
		whole := tab.Gather()
		for _, row := range append(whole.Rows, whole.Tail(r.Currency)...) {
			for i, c := range whole.Columns {
				if c.SheetOnly {
					continue
				}
				cell := row.At(i)
				for _, word := range strings.Fields(r.Format().Show(cell, c)) {
					if cell.IsNumber() {
						want[strings.Replace(word, "-", "−", 1)]++
						continue
					}
					for part := range strings.SplitSeq(word, "-") {
						if !strings.Contains(text, part) {
							t.Errorf("table %s, column %s: %q of %q is not on the paper", tab.Name, c.Key, part, word)
						}
					}
				}
			}
		}
	}
	for word, n := range want {
		if seen[word] < n {
			t.Errorf("the figure %s is %d times in the report, %d times on the paper", word, n, seen[word])
		}
	}
}
