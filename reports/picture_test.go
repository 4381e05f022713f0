package reports

import (
	"math"
	"strings"
	"testing"
)

func strip() Strip {
	return Strip{Title: "N12 ada", Steps: []StripStep{{"glue-face", StepDone, 30}, {"flush-sand", StepDone, 40}, {"mark-posts", StepRunning, 10},
		{"glue-back", StepCuring, 20}, {"choose", StepReady, 25}, {"inlay-cut", StepBlocked, 100}, {"finish-coat", StepToDo, 200}}}
}

func curve() Curve {
	c := Curve{Title: "Hours of the quote", XTitle: "hours", YTitle: "chance to be done within", Percent: true,
		Levels: []Level{{38, "P50"}, {42.2, "P80"}}}
	for i := 0; i <= 40; i++ {
		x := 20 + float64(i)
		c.Points = append(c.Points, Point{x, 1 / (1 + math.Exp(-(x-38)/3))})
	}
	return c
}

func TestStripText(t *testing.T) {
	s := strip()
	s.Legend = true
	got := s.Text(60)
	want := " # done   + started   ~ curing   > ready   ! waits   . to come"
	if len(strings.Split(got, "\n")[0]) > 60 {
		t.Errorf("wider than 60:\n%s", got)
	}
	for _, m := range []string{"#", "+", "~", ">", "!", "."} {
		if !strings.Contains(strings.Split(got, "\n")[0], m) {
			t.Errorf("no %q in\n%s", m, got)
		}
	}
	// 70 of 425 minutes are done: 16 %. Two steps are done, one cures.
	if wide := strip().Text(80); !strings.HasSuffix(wide, "  3 of 7 steps, 16 % of the time") {
		t.Errorf("got %s", wide)
	}
	if !strings.HasSuffix(strings.Split(got, "\n")[0], "  3 of 7 steps") || strings.Split(got, "\n")[1] != want {
		t.Errorf("got\n%s\nwant below the strip\n%s", got, want)
	}
	for _, width := range []int{20, 40, 80} {
		for n := 1; n < 60; n += 13 {
			s := Strip{Steps: make([]StripStep, n)}
			sum := 0
			for _, x := range spread(s.Steps, width) {
				if x < 0 {
					t.Fatal("a step of negative length")
				}
				sum += x
			}
			if sum != width {
				t.Errorf("%d steps over %d cells take %d", n, width, sum)
			}
		}
	}
}

func TestLifeBarText(t *testing.T) {
	got := LifeBar{Unit: "m", Used: 1.2, Next: 0.4, Retire: 2.4, Scale: 3}.Text(32)
	want := "[============++++........|.....]\n = cut 1.2 m   + next 0.4 m\n | retire at 2.4 m"
	if got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	if past := (LifeBar{Unit: "m", Used: 2.9, Retire: 2.4}).Text(40); !strings.Contains(past, "x beyond") || !strings.Contains(past, "|xx") {
		t.Errorf("past the retirement age:\n%s", past)
	}
}

func TestCurveText(t *testing.T) {
	got := curve().Text(80)
	for _, l := range strings.Split(got, "\n") {
		if len(l) > 80 {
			t.Errorf("line of %d: %s", len(l), l)
		}
	}
	for _, want := range []string{"100 %", " 50 %", "  0 %", "P50 at 38", "P80 at 42.2", "hours"} {
		if !strings.Contains(got, want) {
			t.Errorf("no %q in\n%s", want, got)
		}
	}
	if c := (Curve{}); c.Text(80) == "" {
		t.Error("an empty curve says nothing")
	}
}
