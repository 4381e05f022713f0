package paper

import (
	"slices"
	"strings"

	"golang.org/x/text/unicode/bidi"
)

// visual orders letters from left to right as they are seen: runs written from
// right to left are turned round (Unicode Standard Annex 9). The first strong
// letter gives the direction of the line. Numbers after letters that run from
// right to left belong to them.
func visual(letters string) string {
	if !strings.ContainsFunc(letters, func(r rune) bool { return classOf(r) == bidi.R || classOf(r) == bidi.AL }) {
		return letters
	}
	var p bidi.Paragraph
	if _, err := p.SetString(letters); err != nil {
		return letters
	}
	order, err := p.Order()
	if err != nil {
		return letters
	}
	var runs []run // in the order of reading
	for i := range order.NumRuns() {
		r := order.Run(i)
		text := r.String()
		if r.Direction() == bidi.RightToLeft {
			runs = append(runs, run{bidi.ReverseString(text), true})
			continue
		}
		if n := len(runs); n > 0 && runs[n-1].right {
			if number := leadingNumber(text); number > 0 {
				runs = append(runs, run{text[:number], true})
				text = text[number:]
			}
		}
		if text != "" {
			runs = append(runs, run{text, false})
		}
	}
	if !p.IsLeftToRight() {
		slices.Reverse(runs)
	} else {
		for i := 0; i < len(runs); i++ {
			j := i
			for j < len(runs) && runs[j].right {
				j++
			}
			slices.Reverse(runs[i:j])
			i = max(i, j-1)
		}
	}
	var b strings.Builder
	for _, r := range runs {
		b.WriteString(r.text)
	}
	return b.String()
}

// run is a stretch of text in the order in which it is seen. right says that it
// belongs to letters that run from right to left.
type run struct {
	text  string
	right bool
}

func classOf(r rune) bidi.Class {
	p, _ := bidi.LookupRune(r)
	return p.Class()
}

// leadingNumber is how many bytes at the start are a number with what is round
// it, before the first strong letter.
func leadingNumber(text string) int {
	end := 0
	for i, r := range text {
		switch classOf(r) {
		case bidi.L, bidi.R, bidi.AL:
			return end
		case bidi.EN, bidi.AN:
			end = i + len(string(r))
		}
	}
	return end
}
