package jobs

import (
	"cmp"
	"slices"
	"strconv"
	"strings"
)

// Nearest gives up to three names close to word: those that hold it as a part,
// then by edit distance (Levenshtein) up to a third of the length plus one.
func Nearest(word string, names []string) []string {
	w := strings.ToLower(word)
	type hit struct {
		name    string
		d, with int // letters that differ, and that both begin with
	}
	var hits []hit
	for _, n := range names {
		l := strings.ToLower(n)
		d := distance(w, l)
		if len(w) >= 3 && strings.Contains(l, w) {
			d = 0
		}
		d = min(d, beginning([]rune(w), []rune(l)))
		if d <= len([]rune(w))/3+1 && d < len([]rune(l)) {
			hits = append(hits, hit{n, d, -sharedStart([]rune(w), []rune(l))})
		}
	}
	slices.SortFunc(hits, func(a, b hit) int {
		return cmp.Or(cmp.Compare(a.d, b.d), cmp.Compare(a.with, b.with), strings.Compare(a.name, b.name))
	})
	var out []string
	for _, h := range hits {
		if len(out) < 3 && !slices.Contains(out, h.name) {
			out = append(out, h.name)
		}
	}
	return out
}

// sharedStart counts the letters that both begin with.
func sharedStart(w, l []rune) (n int) {
	for n < min(len(w), len(l)) && w[n] == l[n] {
		n++
	}
	return n
}

// beginning compares a word with the beginnings of a name, because a word of
// the bench may be typed short: "chose" is one letter from the beginning of
// choose-veneer. Words under four letters say too little.
func beginning(w, l []rune) int {
	best := 99
	if len(w) < 4 {
		return best
	}
	for n := len(w) - 1; n <= len(w)+1 && n < len(l); n++ {
		if distance(string(w), string(l[:n])) == 1 {
			best = 2 // behind a whole name as near
		}
	}
	return best
}

func distance(a, b string) int {
	x, y := []rune(a), []rune(b)
	if len(x) > 64 || len(y) > 64 {
		return 99
	}
	row := make([]int, len(y)+1)
	for j := range row {
		row[j] = j
	}
	for i := 1; i <= len(x); i++ {
		last := row[0]
		row[0] = i
		for j := 1; j <= len(y); j++ {
			cost := 1
			if x[i-1] == y[j-1] {
				cost = 0
			}
			last, row[j] = row[j], min(row[j]+1, row[j-1]+1, last+cost)
		}
	}
	return row[len(y)]
}

// Candidates gives the names that a typed word may mean, best class only: the
// exact name (or alias), else names that begin with it, else names of which a
// later word (after a hyphen) begins with it. Case does not matter.
func Candidates(word string, names []string) []string {
	w := strings.ToLower(strings.TrimSpace(word))
	if w == "" {
		return nil
	}
	if exact := strings.TrimSpace(word); slices.Contains(names, exact) {
		return []string{exact}
	}
	var same, starts, inner []string
	for _, n := range names {
		l := strings.ToLower(n)
		switch {
		case l == w && slices.Contains(same, n):
		case l == w:
			same = append(same, n)
		case strings.HasPrefix(l, w):
			starts = append(starts, n)
		case strings.Contains(l, "-"+w):
			inner = append(inner, n)
		}
	}
	switch {
	case len(same) > 0:
		return same
	case len(starts) > 0:
		return starts
	}
	return inner
}

// CompareCodes orders codes as people count: N2 before N10, S10-2 before S10-10.
func CompareCodes(a, b string) int {
	for a != "" && b != "" {
		x, restA := codePart(a)
		y, restB := codePart(b)
		n, errA := strconv.Atoi(x)
		m, errB := strconv.Atoi(y)
		c := strings.Compare(x, y)
		if errA == nil && errB == nil {
			c = cmp.Or(cmp.Compare(n, m), cmp.Compare(len(x), len(y)))
		}
		if c != 0 {
			return c
		}
		a, b = restA, restB
	}
	return cmp.Compare(len(a), len(b))
}

// codePart cuts off the digits or the other signs that a code begins with.
func codePart(s string) (part, rest string) {
	digit := func(c byte) bool { return c >= '0' && c <= '9' }
	i := 1
	for i < len(s) && digit(s[i]) == digit(s[0]) {
		i++
	}
	return s[:i], s[i:]
}
