package paper

import (
	"bytes"
	"encoding/xml"
	"image/png"
	"io"
	"math"
	"strings"
	"testing"

	"bookmatch/reports"
	"bookmatch/reports/draw"
)

func strip() reports.Strip {
	return reports.Strip{Title: "N12 ada", Steps: []reports.StripStep{{Name: "glue-face", State: reports.StepDone, Weight: 30}, {Name: "flush-sand", State: reports.StepDone, Weight: 40}, {Name: "layout", State: reports.StepRunning, Weight: 10},
		{Name: "glue-back", State: reports.StepCuring, Weight: 20}, {Name: "choose", State: reports.StepReady, Weight: 25}, {Name: "inlay-cut", State: reports.StepBlocked, Weight: 100}, {Name: "finish-coat", State: reports.StepToDo, Weight: 200}}}
}

func curve() reports.Curve {
	c := reports.Curve{Title: "Hours of the quote", XTitle: "hours", YTitle: "chance to be done within", Percent: true,
		Levels: []reports.Level{{X: 38, Name: "P50"}, {X: 42.2, Name: "P80"}}}
	for i := 0; i <= 40; i++ {
		x := 20 + float64(i)
		c.Points = append(c.Points, reports.Point{X: x, Y: 1 / (1 + math.Exp(-(x-38)/3))})
	}
	return c
}

// The pictures are well-formed and hold ink; the SVG needs no font and is the
// same every time.
func TestPictures(t *testing.T) {
	for name, p := range map[string]draw.Picture{"strip": strip(), "life": reports.LifeBar{Title: "S10-2", Unit: "m", Used: 1.2, Next: 0.4, Retire: 2.4}, "curve": curve(), "empty": reports.Curve{}, "no steps": reports.Strip{}} {
		var a, b, c bytes.Buffer
		if _, err := WritePicture(&a, "x.svg", p); err != nil {
			t.Fatal(name, err)
		}
		if _, err := WritePicture(&b, "x.svg", p); err != nil {
			t.Fatal(name, err)
		}
		if !bytes.Equal(a.Bytes(), b.Bytes()) {
			t.Errorf("%s: two SVG files differ", name)
		}
		if strings.Contains(a.String(), "<text") || strings.Contains(a.String(), "font-face") {
			t.Errorf("%s: the SVG asks for a font", name)
		}
		d := xml.NewDecoder(&a)
		for {
			if _, err := d.Token(); err == io.EOF {
				break
			} else if err != nil {
				t.Fatal(name, err)
			}
		}
		if _, err := WritePicture(&c, "x.png", p); err != nil {
			t.Fatal(name, err)
		}
		m, err := png.Decode(&c)
		if err != nil {
			t.Fatal(name, err)
		}
		dark := 0
		for y := m.Bounds().Min.Y; y < m.Bounds().Max.Y; y += 2 {
			for x := m.Bounds().Min.X; x < m.Bounds().Max.X; x += 2 {
				if r, _, _, _ := m.At(x, y).RGBA(); r < 0x8000 {
					dark++
				}
			}
		}
		if dark < 50 && name != "no steps" {
			t.Errorf("%s: the PNG is blank", name)
		}
	}
	if _, err := WritePicture(io.Discard, "x.gif", strip()); err == nil {
		t.Error("a .gif was drawn")
	}
}
