package reports

// ChartKind is the shape of a chart.
type ChartKind int

// The chart kinds.
const (
	ChartColumns ChartKind = iota
	ChartStacked
	ChartBars        // horizontal
	ChartStackedBars // horizontal, stacked
	ChartLine
	ChartScatter
	ChartWaterfall // stacked columns over an unseen base: see Waterfall
)

// Chart describes a native chart over the rows of a table. Titles name what is
// seen, axes name their unit.
type Chart struct {
	Kind   ChartKind
	Title  string
	X      string // key of the category column; of the x values for a scatter
	XTitle string
	YTitle string
	Series []Series
	// YMax fixes the top of the value axis (1 for chances); 0 leaves it free.
	YMax float64
	// Tall asks for more height, for bar charts with many rows.
	Tall bool
}

// Series is one run of values of a chart. Table and X default to the chart's
// own; they let a model curve be behind observed points.
type Series struct {
	Name   string
	Table  string
	X      string
	Y      string
	Line   bool // scatter: joined by a line, without markers
	Dashed bool
	Unseen bool // the base of a waterfall or of a floating bar
	Paint  Paint
}

// Paint picks a colour of the house palette; the zero value takes the next.
type Paint int

// The paints.
const (
	NextPaint Paint = iota
	Walnut
	Spruce
	Brass
	Slate
	Cherry
	Smoke
	Moss
	Sand
	Plum
)
