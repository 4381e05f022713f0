package screen

import (
	"strings"

	"bookmatch/reports"
	"bookmatch/reports/plain"
)

// fit gives each shown column its width. Text columns give way, the widest
// first and one cell at a time, down to their longest word (of up to sixteen).
// On a screen wider than the usual the text columns that were held to their Max
// take what is left. Numbers never break; fits is false when they leave no room.
func fit(t reports.Table, cols []int, cells [][]string, width int) (got []int, fits bool) {
	got = make([]int, len(cols))
	want := make([]int, len(cols))
	least := make([]int, len(cols))
	for k, i := range cols {
		col := t.Columns[i]
		word := 0
		for _, wd := range strings.Fields(plain.Clean(col.Head())) {
			word = max(word, plain.Width(wd))
		}
		got[k] = word
		longest := 0
		for n, line := range cells {
			if n < len(t.Rows) && t.Rows[n].Style == reports.Group {
				continue
			}
			got[k] = max(got[k], plain.Width(line[k]))
			if col.Kind == reports.KindText {
				for _, wd := range strings.Fields(line[k]) {
					longest = max(longest, min(16, plain.Width(wd)))
				}
			}
		}
		want[k] = got[k]
		if col.Max > 0 && col.Kind == reports.KindText {
			got[k] = max(word, min(got[k], col.Max))
		}
		least[k] = got[k]
		if col.Kind == reports.KindText {
			least[k] = min(got[k], max(word, longest))
		}
	}
	room := width - gap*(len(cols)-1)
	for sum(got) > room {
		widest := -1
		for k := range got {
			if got[k] > least[k] && (widest < 0 || got[k] > got[widest]) {
				widest = k
			}
		}
		if widest < 0 {
			return got, false
		}
		got[widest]--
	}
	if width > Usual {
		spread(got, want, room-sum(got))
	}
	return got, true
}

// tight says that some cell has to break for the columns to fit.
func tight(t reports.Table, cols []int, cells [][]string, width int) bool {
	room := width - gap*(len(cols)-1)
	for k, i := range cols {
		need := 0
		for _, w := range strings.Fields(plain.Clean(t.Columns[i].Head())) {
			need = max(need, plain.Width(w))
		}
		for _, line := range cells {
			w := plain.Width(line[k])
			if top := t.Columns[i].Max; top > 0 && t.Columns[i].Kind == reports.KindText {
				w = min(w, top)
			}
			need = max(need, w)
		}
		room -= need
	}
	return room < 0
}

// spread gives what is left to the columns that want more, a cell to each in
// turn.
func spread(got, want []int, left int) {
	for gave := true; gave && left > 0; {
		gave = false
		for k := range got {
			if got[k] < want[k] && left > 0 {
				got[k]++
				left--
				gave = true
			}
		}
	}
}

func sum(a []int) int {
	n := 0
	for _, x := range a {
		n += x
	}
	return n
}
