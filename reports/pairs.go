package reports

import (
	"strings"

	"bookmatch/reports/plain"
)

// Pair is a word and what is said of it.
type Pair struct{ Head, Text string }

// Pairs is a list of words with what is said of each, the texts in one column. A
// pair without a head takes the whole width.
type Pairs []Pair

// Add appends a pair where there is a text.
func (p *Pairs) Add(head, text string) {
	if text != "" {
		*p = append(*p, Pair{head, text})
	}
}

// Text prints the pairs at most width columns wide.
func (p Pairs) Text(width int) string {
	column := 0
	for _, x := range p {
		column = max(column, plain.Width(x.Head)+2)
	}
	var out []string
	for _, x := range p {
		indent := column
		if x.Head == "" {
			indent = 0
		}
		for i, l := range plain.Wrap(plain.Clean(x.Text), max(width-indent, 20)) {
			head := ""
			if i == 0 {
				head = plain.Clean(x.Head)
			}
			out = append(out, head+strings.Repeat(" ", max(0, indent-plain.Width(head)))+l)
		}
	}
	return strings.Join(out, "\n")
}
