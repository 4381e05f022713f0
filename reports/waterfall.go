package reports

import "bookmatch/costing/money"

// Waterfall builds the table behind a waterfall chart: steps that rise or fall
// from the level before, and totals that start at zero. The chart is a
// stack over an unseen base, so any spreadsheet can draw it; all helper columns
// are live, so it follows when an amount changes.
type Waterfall struct {
	table Table
	unit  money.Currency
	level money.Amount
	prev  string // row key of the step before
}

// NewWaterfall starts the table of a waterfall in the given currency.
func NewWaterfall(name, title string, unit money.Currency, yTitle string) *Waterfall {
	col := func(key, header string, only bool) Column {
		return Column{Key: key, Header: header, Unit: string(unit), Kind: KindMoney, SheetOnly: only}
	}
	return &Waterfall{unit: unit, table: Table{Name: name, Title: title, SheetOnly: true,
		Columns: []Column{{Key: "what", Header: "what"}, col("amount", "amount", false), col("level", "level reached", false),
			col("base", "unseen base", true), col("rise", "adds", true), col("fall", "takes off", true), col("whole", "total", true)},
		Charts: []Chart{{Kind: ChartWaterfall, Title: title, X: "what", XTitle: "step", YTitle: yTitle,
			Series: []Series{{Y: "base", Unseen: true}, {Y: "whole", Paint: Walnut}, {Y: "rise", Paint: Brass}, {Y: "fall", Paint: Spruce}}}},
	}}
}

// Step adds amount, rounded as it is printed, to the level; key names the row for formulas, and formula
// (may be empty) makes the amount live.
func (w *Waterfall) Step(key, what string, amount money.Amount, formula string) {
	amount = w.unit.Line(amount)
	from := w.level
	w.level = w.level.Add(amount)
	before := "0"
	if w.prev != "" {
		before = "{level@" + w.prev + "}"
	}
	base, rise, fall := from, amount, money.Zero
	if amount.Sign() < 0 {
		base, rise, fall = w.level, money.Zero, amount.Neg()
	}
	a := Money(amount)
	if formula != "" {
		a = a.Live(formula)
	}
	w.table.AddKey(key, Text(what), a, Money(w.level).Live(before+"+{amount}"),
		Money(base).Live("MIN("+before+",{level})"), Money(rise).Live("MAX({amount},0)"),
		Money(fall).Live("MAX(0-{amount},0)"), Empty())
	w.prev = key
}

// Total adds a bar from the ground to the level reached so far.
func (w *Waterfall) Total(key, what string) {
	level := Money(w.level)
	if w.prev != "" {
		level = level.Live("{level@" + w.prev + "}")
	}
	w.table.Rows = append(w.table.Rows, Row{Key: key, Style: Total,
		Cells: []Cell{Text(what), level, level, Empty(), Empty(), Empty(), level}})
	w.prev = key
}

// Table gives the finished table.
func (w *Waterfall) Table() Table { return w.table }
