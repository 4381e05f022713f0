package reports

import (
	"fmt"
	"math"
	"strings"
	"unicode"

	"bookmatch/costing/money"
	"bookmatch/costing/quote"
	"bookmatch/jobs/workshop"
)

// neckCounted says how the figures of a neck are counted.
var neckCounted = []Counted{
	{"likely, safe", "Half the time a step takes less than likely, four times in five less than safe. From the standard of the operation and your past jobs. See operation show."},
	{"took", "Logged time of the first time and of decisions. Rework is apart."},
	{"labour", "Logged hours x the rate of the operation, else of the shop."},
	{"overhead", "The same hours x the overhead of the shop for an hour."},
	{"supplies", "By lot, the oldest lot first, by the time of use."},
	{"bit wear", "Price of a new edge x the part of its expected life that this neck used up."},
	{"rework", "Work done again, with its overhead and supplies, by cause. It is never part of labour."},
}

// neckReasons are the reasons behind the first screen.
func neckReasons(r *workshop.NeckShowResult) []string {
	out := []string{
		fmt.Sprintf("Logged: %s for the first time, %s deciding, %s rework.", minutesLong(r.Hours.FirstMin), minutesLong(r.Hours.DecideMin), minutesLong(r.Hours.ReworkMin)),
	}
	if r.Hours.OutsideMin > 0 {
		out = append(out, fmt.Sprintf("%s of it is on no step of the route.", minutesLong(r.Hours.OutsideMin)))
	}
	if !r.IsClosed() {
		out = append(out, fmt.Sprintf("About %.1f h left: the average times of the steps left, without unlogged time. Averages add up, likely and safe times do not.", r.Hours.LeftH))
	}
	if p := r.Promise; p != nil {
		out = append(out, fmt.Sprintf("Likely date %s, safe date %s: played through evening by evening behind the necks that are promised before it.", longDay(p.Likely), longDay(p.Safe)))
	}
	for _, c := range neckCounted {
		out = append(out, capital(c.What)+": "+c.How)
	}
	return append(out, "Curing times are defaults. The label of the product comes first.")
}

// basisTable says where the time of each step comes from.
func basisTable(r *workshop.NeckShowResult) Table {
	type s = workshop.NeckStep
	return Build(Table{Name: "basis", Title: "Where each time comes from"}, leftSteps(r), []Col[s]{
		{Column{Key: "step", Header: "step", Kind: KindCount}, func(x s) Cell { return Count(x.Step) }},
		{Column{Key: "operation", Header: "operation"}, func(x s) Cell { return Text(x.Operation) }},
		{Column{Key: "basis", Header: "from", Max: 46, Width: 60}, func(x s) Cell { return Text(x.Basis) }},
	})
}

// costSteps draws how the cost comes together. It is for a workbook.
func costSteps(r *workshop.NeckShowResult) (Table, bool) {
	cur := r.Rates.Currency
	w := NewWaterfall("cost steps", "How the cost comes together", cur, "cost ("+string(cur)+")")
	words := map[quote.CostGroup]string{quote.GroupBits: "bit wear", quote.GroupParts: "parts you buy"}
	any := false
	for _, g := range quote.CostGroups() {
		a := r.Cost.Group(g)
		if a.IsZero() {
			continue
		}
		name := words[g]
		if name == "" {
			name = string(g)
		}
		w.Step(string(g), name, a, "{groups/amount@"+string(g)+"}")
		any = true
	}
	w.Total("total", "cost of the neck")
	return w.Table(), any
}

// amount prints an amount with its currency: "EUR 42.64".
func amount(currency string, a money.Amount) string {
	return currency + " " + money.Currency(currency).Print(a)
}

// minutesLong prints minutes for sentences: "45 min", "6 h 22 min".
func minutesLong(m float64) string {
	whole := int(math.Round(m))
	switch h, rest := whole/60, whole%60; {
	case h == 0:
		return fmt.Sprintf("%d min", whole)
	case rest == 0:
		return fmt.Sprintf("%d h", h)
	default:
		return fmt.Sprintf("%d h %d min", h, rest)
	}
}

// capital begins a sentence.
func capital(s string) string {
	for i, r := range s {
		return string(unicode.ToUpper(r)) + s[i+len(string(r)):]
	}
	return s
}

// marked puts the mark of a caution before each line.
func marked(lines []string) []string {
	out := make([]string, len(lines))
	for i, l := range lines {
		out[i] = "! " + strings.TrimPrefix(l, "! ")
	}
	return out
}
