package main

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// The shop's picture is in the place of its name, within 25 x 18 mm, and the name in
// the address; a picture that went away leaves the name and says so. poppler reads
// the file.
func TestLogoOnLetters(t *testing.T) {
	t.Parallel()
	d := newDemoShop(t)
	wide, high := image.NewNRGBA(image.Rect(0, 0, 2400, 600)), image.NewGray(image.Rect(0, 0, 300, 900))
	for x := range 2400 {
		wide.Set(x, 300+x%7, color.NRGBA{90, 58, 36, 200})
	}
	var b bytes.Buffer
	if err := png.Encode(&b, wide); err != nil {
		t.Fatal(err)
	}
	d.write("logo.png", b.Bytes())
	b.Reset()
	if err := jpeg.Encode(&b, high, nil); err != nil {
		t.Fatal(err)
	}
	d.write("logo.jpg", b.Bytes())
	out := filepath.Join(d.dir, "q.pdf")
	for _, c := range []struct {
		file string
		box  [2]float64
	}{{"logo.png", [2]float64{25, 6.25}}, {"logo.jpg", [2]float64{6, 18}}} {
		file, box := c.file, c.box
		d.say("shop", "set", "logo", filepath.Join(d.dir, file))
		said := d.warned("paper", "quote", "Q5", "--out", out, "--force")
		if strings.Contains(said, "logo") {
			t.Errorf("with a logo: %s", said)
		}
		list := outputOf(t, "pdfimages", "-list", out)
		found := regexp.MustCompile(`(?m)^ +1 +\d+ image +(\d+) +(\d+) .* (\d+) +(\d+) +\S+ +\S+$`).FindStringSubmatch(list)
		if found == nil {
			t.Fatalf("no picture on the page:\n%s", list)
		}
		for i, want := range box {
			points, _ := strconv.ParseFloat(found[1+i], 64)
			ppi, _ := strconv.ParseFloat(found[3+i], 64)
			if mm := points / ppi * 25.4; mm < want-0.1 || mm > want+0.1 {
				t.Errorf("%s: side %d is %.2f mm, want %.2f", file, i, mm, want)
			}
		}
		if text := outputOf(t, "pdftotext", "-layout", out, "-"); !strings.Contains(text, "Nightjar Lane workshop") {
			t.Errorf("the name is nowhere:\n%s", text)
		}
	}
	if err := os.Remove(filepath.Join(d.dir, "logo.jpg")); err != nil {
		t.Fatal(err)
	}
	said := d.warned("paper", "quote", "Q5", "--out", out, "--force")
	if !strings.Contains(said, "is not there: left out") {
		t.Errorf("without its file: %s", said)
	}
	d.say("shop", "set", "logo", "")
	if said := d.warned("paper", "quote", "Q5", "--out", out, "--force"); strings.Contains(said, "logo") {
		t.Errorf("without a logo: %s", said)
	}
}

// A letter that the house's face lacks is named; with a font of the shop's own that
// has it, it is printed, selectable and embedded. A font is no picture.
func TestFontForOtherLetters(t *testing.T) {
	t.Parallel()
	d := newDemoShop(t)
	const name = "Ժամ" // Armenian, "hour": in DejaVu Sans and not in Liberation Sans
	const font = "/usr/share/fonts/truetype/dejavu/DejaVuSans.ttf"
	if _, err := os.Stat(font); err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal(err)
		}
		t.Skip(err)
	}
	out := filepath.Join(d.dir, "c.pdf")
	d.say("neck", "set", "finch", "--title", name)
	if said := d.warned("paper", "card", "finch", "--out", out, "--force"); !strings.Contains(said, "no letter for Ժ in the font") || !strings.Contains(said, "shop set font") {
		t.Errorf("a letter that is lacking is not named: %s", said)
	}
	d.say("shop", "set", "font", font)
	if said := d.warned("paper", "card", "finch", "--out", out, "--force"); strings.Contains(said, "letter") {
		t.Errorf("with a font that has it: %s", said)
	}
	if text := outputOf(t, "pdftotext", "-layout", out, "-"); !strings.Contains(text, name) {
		t.Errorf("%s cannot be selected:\n%s", name, text)
	}
	if fonts := outputOf(t, "pdffonts", out); !regexp.MustCompile(`utf8own +CID TrueType +Identity-H +yes no +yes`).MatchString(fonts) {
		t.Errorf("the font is not embedded:\n%s", fonts)
	}
	d.write("broken.ttf", append([]byte{0, 1, 0, 0}, make([]byte, 40)...))
	d.say("shop", "set", "font", filepath.Join(d.dir, "broken.ttf"))
	if said := d.warned("paper", "card", "finch", "--out", out, "--force"); !strings.Contains(said, "broken.ttf is left out") {
		t.Errorf("a broken font: %s", said)
	}
}

// warned types a command and gives its warnings.
func (d *demoShop) warned(typed ...string) string {
	d.t.Helper()
	d.say(typed...)
	return d.told
}

// write puts a file into the shop's folder.
func (d *demoShop) write(name string, data []byte) {
	d.t.Helper()
	if err := os.WriteFile(filepath.Join(d.dir, name), data, 0o600); err != nil {
		d.t.Fatal(err)
	}
}

// outputOf runs a tool of the outside checks. In CI it has to be there.
func outputOf(t *testing.T, name string, args ...string) string {
	t.Helper()
	if _, err := exec.LookPath(name); err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal(err)
		}
		t.Skip(err)
	}
	out, err := exec.Command(name, args...).CombinedOutput()
	if err != nil {
		t.Fatalf("%s: %v: %s", name, err, out)
	}
	return string(out)
}
