package main

import (
	"bytes"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"bookmatch/reports/reporttest"
)

// Every paper of the demo, on both papers: qpdf and poppler read it, its faces are
// embedded, nothing is in the margins, and it is the same twice, byte for byte.
func TestPapers(t *testing.T) {
	t.Parallel()
	d := newDemoShop(t)
	sizes := []string{"a4"}
	if os.Getenv("CI") != "" {
		sizes = append(sizes, "letter")
	}
	onePage := []string{"paper card curlew"}
	for _, line := range thirteen {
		if line != "bits" {
			onePage = append(onePage, "paper "+line)
		}
	}
	for _, size := range sizes {
		d.say("shop", "set", "paper", size)
		for i, typed := range append(onePage, "paper card swift", "paper bits") {
			if os.Getenv("CI") == "" && i%4 != 0 {
				continue // all of them are for CI
			}
			var files [2][]byte
			for k := range files {
				name := filepath.Join(d.dir, "p.pdf")
				d.say(append(strings.Fields(typed), "--out", name, "--force")...)
				var err error
				if files[k], err = os.ReadFile(name); err != nil {
					t.Fatal(err)
				}
			}
			if !bytes.Equal(files[0], files[1]) {
				t.Errorf("%s is another file the second time", typed)
			}
			t.Run(size+" "+typed, func(t *testing.T) {
				pages := reporttest.Pages(t, files[0])
				reporttest.CheckPages(t, pages)
				if strings.HasPrefix(typed, "paper quote") {
					sameEdge(t, pages)
				}
				for _, one := range onePage {
					if one == typed && len(pages) != 1 {
						t.Errorf("%d pages", len(pages))
					}
				}
			})
		}
	}
}

// sameEdge checks that the amounts of the price end at one line, within 0.05 mm.
func sameEdge(t *testing.T, pages []reporttest.Page) {
	t.Helper()
	edges := []float64{}
	for _, w := range pages[0].Words {
		if amountForm.MatchString(w.Text) && w.X1 > pages[0].Width/2 {
			edges = append(edges, w.X1)
		}
	}
	if len(edges) != 3 {
		t.Fatalf("%d amounts of a price, want 3", len(edges))
	}
	for _, x := range edges {
		if math.Abs(x-edges[0])*25.4/72 > 0.05 {
			t.Errorf("amounts end at %v points", edges)
		}
	}
}

var amountForm = regexp.MustCompile(`^[0-9,]+\.[0-9]{2}$`)

// The codes on card and labels are read back by another reader (ISO/IEC 18004, zbar).
func TestCodesOnPapers(t *testing.T) {
	t.Parallel()
	for _, need := range []string{"zbarimg", "pdftoppm"} {
		if _, err := exec.LookPath(need); err != nil {
			if os.Getenv("CI") != "" {
				t.Fatal(need + " is not installed, but CI asks for every check")
			}
			t.Skip(need + " is not installed")
		}
	}
	d := newDemoShop(t)
	for _, c := range []struct {
		address, typed string
		want           []string
	}{
		{"", "paper card finch", []string{"N15"}}, {"", "paper drill finch", []string{"N15"}}, {"", "paper labels", []string{"S10-4", "S10-0", "G3-1"}},
		{"bench.home:4747", "paper card finch", []string{"HTTP://BENCH.HOME:4747/J/N15"}}, {"bench.home:4747", "paper labels", []string{"HTTP://BENCH.HOME:4747/B/S10-4"}},
	} {
		typed, want := c.typed, c.want
		d.say("shop", "set", "page-address", c.address)
		name := filepath.Join(d.dir, "p.pdf")
		d.say(append(strings.Fields(typed), "--out", name, "--force")...)
		png := filepath.Join(d.dir, "p")
		if out, err := exec.Command("pdftoppm", "-r", "140", "-png", "-singlefile", name, png).CombinedOutput(); err != nil {
			t.Fatalf("%v %s", err, out)
		}
		out, err := exec.Command("zbarimg", "-q", "--raw", png+".png").Output()
		if err != nil {
			t.Fatalf("%s: %v", typed, err)
		}
		for _, code := range want {
			if !strings.Contains("\n"+string(out), "\n"+code+"\n") {
				t.Errorf("%s: the reader finds %q, not %s", typed, out, code)
			}
		}
	}
}
