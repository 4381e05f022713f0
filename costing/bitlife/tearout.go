package bitlife

import (
	"cmp"
	"math"
	"slices"

	"bookmatch/jobs"
)

// Wilson gives the score interval for hits out of n at z standard deviations
// (E. B. Wilson, J. American Statistical Association 22:209-212, 1927; NIST
// e-Handbook 7.2.4.1). With n = 0 it is 0 to 1.
func Wilson(hits, n int, z float64) (low, high float64) {
	if n <= 0 {
		return 0, 1
	}
	p, m := float64(hits)/float64(n), float64(n)
	d := 1 + z*z/m
	mid := (p + z*z/(2*m)) / d
	half := z / d * math.Sqrt(p*(1-p)/m+z*z/(4*m*m))
	low, high = max(0, mid-half), min(1, mid+half)
	if hits == 0 {
		low = 0
	}
	if hits == n {
		high = 1
	}
	return low, high
}

// Z95 is the two-sided 95 % point of the normal distribution.
const Z95 = normal975

// TearOutRow counts graded rims under one condition: how many were seen, and
// how many tore (grade 2 or 3), with the 95 % Wilson interval.
type TearOutRow struct {
	By    string  `json:"by"` // backing, point, wood, age
	Value string  `json:"value"`
	Rims  int     `json:"rims"`
	Torn  int     `json:"torn"`
	Share float64 `json:"share"`
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
}

// tornGrade is the grade from which a rim counts as torn: a chip.
const tornGrade = 2

// TearOut counts by backing, point, wood and age of the edge, so that a shop
// sees what prevents tear-out there. Each graded rim of a use is one trial:
// the use was judged once, however many holes it had. All rims count here, also
// exits over loose backing, which say nothing about the bit but much about
// backing. Rows come in that order, values alphabetically (ages by age).
func TearOut(book jobs.BitBook) []TearOutRow {
	bits := map[string]jobs.Bit{}
	for _, b := range book.Bits {
		bits[b.Code] = b
	}
	woods := jobs.NewWoodTable(book.Woods)
	type key struct{ by, value string }
	rows := map[key]*TearOutRow{}
	count := func(by, value string, grade *int) {
		if grade == nil || value == "" {
			return
		}
		r := rows[key{by, value}]
		if r == nil {
			r = &TearOutRow{By: by, Value: value}
			rows[key{by, value}] = r
		}
		r.Rims++
		if *grade >= tornGrade {
			r.Torn++
		}
	}
	type edge struct {
		bit string
		no  int
	}
	age := map[edge]float64{}
	for _, u := range book.InOrder() {
		at := age[edge{u.Bit, u.Edge}]
		if u.Bit != "" {
			age[edge{u.Bit, u.Edge}] = at + u.Cut(woods)
		}
		if len(u.Layers) == 0 {
			continue
		}
		backing := u.Backing.State
		if backing == "" {
			backing = "not recorded"
		}
		count("backing, exit", backing, u.GradeOut)
		count("backing, entry", backing, u.GradeIn)
		for _, g := range []*int{u.GradeIn, u.GradeOut} {
			count("point", bits[u.Bit].Point, g)
		}
		count("wood", u.Layers[0].Wood, u.GradeIn)
		count("wood", u.Layers[len(u.Layers)-1].Wood, u.GradeOut)
		if u.Bit != "" {
			count("age", ageBand(at, bits[u.Bit].ExpectedM), u.GradeIn)
		}
	}
	out := make([]TearOutRow, 0, len(rows))
	for _, r := range rows {
		r.Share = float64(r.Torn) / float64(r.Rims)
		r.Low, r.High = Wilson(r.Torn, r.Rims, Z95)
		out = append(out, *r)
	}
	order := []string{"backing, exit", "backing, entry", "point", "wood", "age"}
	slices.SortFunc(out, func(a, b TearOutRow) int {
		return cmp.Or(cmp.Compare(slices.Index(order, a.By), slices.Index(order, b.By)), cmp.Compare(a.Value, b.Value))
	})
	return out
}

// ageBand names the third of the expected life an edge is in; its first letter
// sorts by age. Entry rims alone count by age: exits hang on the backing.
func ageBand(ageM, expectedM float64) string {
	switch {
	case expectedM <= 0:
		return "unrated"
	case ageM < expectedM/3:
		return "1st third of the expected life"
	case ageM < 2*expectedM/3:
		return "2nd third of the expected life"
	case ageM < expectedM:
		return "3rd third of the expected life"
	}
	return "beyond the expected life"
}
