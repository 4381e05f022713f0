package workbook

import (
	"fmt"
	"math"
	"strconv"

	"bookmatch/reports"
	"bookmatch/reports/plain"

	"github.com/xuri/excelize/v2"
)

// Sizes of a chart in pixels of 1/96 in.
const (
	chartWidth   = 660.0
	chartWidest  = 1100.0
	chartHeight  = 330.0
	chartTall    = 520.0
	charPixels   = 7.0
	rowPixels    = 20.0 // a row of default height
	squeeze      = 0.6  // of its height, rather than a page of its own
	squeezeFront = 0.4
	maxLabels    = 24 // names that an axis can show without crowding
	flatLabels   = 12 // names that fit side by side
)

// charts places every chart of the table below its rows, each on a page
// whole.
func (o *sheetWriter) charts() {
	for _, c := range o.p.charts {
		drawn := *o // the sheet that the chart draws is not always the one it is on
		if drawn.p = c.from; !drawn.inked(c.Chart) || c.from.last < c.from.first {
			continue
		}
		if c.Kind == reports.ChartColumns && c.from.table.Size() > flatLabels && !o.p.front {
			c.Kind, c.Tall = reports.ChartBars, true // many names are read at the left, not on their side
		}
		width := math.Max(chartWidth, math.Min(chartWidest, o.p.total()*charPixels))
		if o.p.shown < len(o.p.widths) {
			width = math.Min(width, o.p.total()*charPixels) // within what is printed
		}
		height := chartHeight * math.Sqrt(width/chartWidth)
		if c.Tall {
			height = chartTall
		}
		rows := int(height/rowPixels) + 1
		o.at += 2
		o.points += 30
		page := o.pageHeight(o.p)
		used := o.points // since the top of the page, if the table fits on one
		need := float64(rows) * 15
		if room := page - used - 30; need > room && room > squeeze*need || o.p.front && need > room && room > squeezeFront*need {
			rows = int(room / 15) // a little lower rather than on a page of its own
			height = float64(rows-1) * rowPixels
			need = float64(rows) * 15
		}
		if used+need > page && (!o.p.front || used+need > page/leastScale*o.scale(o.p)) {
			if o.err = o.sw.InsertPageBreak(ref(1, o.at)); o.err != nil {
				return
			}
			o.points, o.p.broken = 0, true
		}
		x, err := drawn.chart(c.Chart, width, height)
		if err != nil {
			o.err = fmt.Errorf("chart %q: %w", c.Title, err)
			return
		}
		if o.err = o.f.AddChart(o.p.sheet, ref(1, o.at), x); o.err != nil {
			return
		}
		o.at += rows
		o.points += float64(rows) * 15
	}
}

// leastValues is how many values a chart of bars needs: fewer are read faster in the
// table.
const leastValues = 3

// inked says that a chart would show something: not zeros alone, and more than the
// table says at a glance.
func (o *sheetWriter) inked(c reports.Chart) bool {
	if t := o.p.table; c.Kind != reports.ChartScatter && t.Stream == nil && len(t.Rows) < leastValues {
		return false
	}
	for _, s := range c.Series {
		t := o.p.table
		if s.Table != "" && o.places[s.Table] != nil {
			t = o.places[s.Table].table
		}
		i := t.Index(s.Y)
		if s.Unseen {
			continue
		}
		if t.Stream != nil || i < 0 {
			return true // a wrong key is found when it is drawn
		}
		for _, r := range t.Rows {
			if c := r.At(i); c.IsNumber() && !c.Decimal().IsZero() {
				return true
			}
		}
	}
	return len(c.Series) > 0 && c.Kind == reports.ChartScatter && o.p.table.Size() > 0
}

var chartTypes = map[reports.ChartKind]excelize.ChartType{
	reports.ChartColumns: excelize.Col, reports.ChartStacked: excelize.ColStacked, reports.ChartBars: excelize.Bar,
	reports.ChartStackedBars: excelize.BarStacked, reports.ChartLine: excelize.Line, reports.ChartScatter: excelize.Scatter,
	reports.ChartWaterfall: excelize.ColStacked,
}

// chart turns the description into the workbook's own.
func (o *sheetWriter) chart(c reports.Chart, width, height float64) (*excelize.Chart, error) {
	off, gapWidth, overlap := false, uint(60), 100
	x := &excelize.Chart{
		Type:       chartTypes[c.Kind],
		Dimension:  excelize.ChartDimension{Width: uint(width), Height: uint(height)},
		Format:     excelize.GraphicOptions{Positioning: "oneCell", AltText: plain.Clean(c.Title), Name: plain.Clean(c.Title)},
		Title:      words(c.Title, 13, true),
		VaryColors: &off,
		Legend:     excelize.ChartLegend{Position: "bottom", Font: face(9)},
		XAxis:      excelize.ChartAxis{Title: words(c.XTitle, 10, false), Font: *face(9)},
		YAxis:      excelize.ChartAxis{Title: words(c.YTitle, 10, false), Font: *face(9), MajorGridLines: true},
		Border:     excelize.LineOptions{Type: excelize.LineNone},
	}
	switch c.Kind {
	case reports.ChartStacked, reports.ChartStackedBars, reports.ChartWaterfall:
		x.GapWidth, x.Overlap = &gapWidth, &overlap
	case reports.ChartColumns, reports.ChartBars:
		x.GapWidth = &gapWidth
	}
	if c.Kind == reports.ChartBars || c.Kind == reports.ChartStackedBars {
		x.XAxis.ReverseOrder = true // first row on top, the scale still below
		x.YAxis.TickLabelPosition = excelize.ChartTickLabelHigh
	}
	if n := o.p.table.Size(); n > maxLabels && c.Kind != reports.ChartScatter {
		x.XAxis.TickLabelSkip = (n + maxLabels - 1) / maxLabels
	}
	if n := o.p.table.Size(); n > flatLabels && (c.Kind == reports.ChartColumns || c.Kind == reports.ChartStacked || c.Kind == reports.ChartLine) {
		x.XAxis.Alignment.TextRotation = -90
	}
	if c.YMax > 0 {
		low := 0.0
		x.YAxis.Maximum, x.YAxis.Minimum = &c.YMax, &low
	}
	next, visible := 0, 0
	for _, s := range c.Series {
		p := o.p
		if s.Table != "" {
			if p = o.places[s.Table]; p == nil {
				return nil, fmt.Errorf("no table %q", s.Table)
			}
		}
		xs := s.X
		if xs == "" {
			xs = c.X
		}
		xi, yi := p.table.Index(xs)+1, p.table.Index(s.Y)+1
		if xi == 0 || yi == 0 {
			return nil, fmt.Errorf("table %s has no column %q or %q", p.table.Name, xs, s.Y)
		}
		if p.last < p.first {
			continue
		}
		paint := s.Paint.Hex()
		if paint == "" {
			paint = paintOrder[next%len(paintOrder)].Hex()
			if !s.Unseen {
				next++
			}
		}
		name := p.quoted() + fixed(yi, p.head)
		if s.Name != "" {
			name = literalMark + plain.Clean(s.Name)
		}
		y := excelize.ChartSeries{
			Name:       name,
			Categories: p.quoted() + p.span(xi),
			Values:     p.quoted() + p.span(yi),
		}
		if !s.Unseen {
			visible++
		}
		solid := excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{paint}}
		switch {
		case s.Unseen:
			y.Fill = excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{"FFFFFF"}, Transparency: 100}
			y.Line = excelize.LineOptions{Type: excelize.LineNone}
			y.Name = literalMark + unseenName
		case c.Kind == reports.ChartLine, c.Kind == reports.ChartScatter && s.Line:
			y.Fill = solid
			y.Line = excelize.LineOptions{Type: excelize.LineSolid, Width: 2, Fill: solid}
			y.Marker = excelize.ChartMarker{Symbol: "none"}
			if s.Dashed {
				y.Line.Dash = excelize.LineDashDash
			}
		case c.Kind == reports.ChartScatter:
			y.Line = excelize.LineOptions{Type: excelize.LineNone}
			y.Marker = excelize.ChartMarker{Symbol: []string{"circle", "diamond", "square", "triangle"}[next%4], Size: 7, Fill: solid}
		default:
			y.Fill = solid
		}
		x.Series = append(x.Series, y)
	}
	if visible < 2 || visible < len(x.Series) { // readers disagree on legends with a gap
		x.Legend.Position = "none"
	}
	if len(x.Series) == 0 {
		return nil, fmt.Errorf("it has no series with rows")
	}
	o.axisFormats(c, x)
	return x, nil
}

// axisFormats gives axes the formats of their columns.
func (o *sheetWriter) axisFormats(c reports.Chart, x *excelize.Chart) {
	format := func(key string) string {
		i := o.p.table.Index(key)
		if i < 0 {
			return ""
		}
		switch col := o.p.table.Columns[i]; col.Kind {
		case reports.KindChance, reports.KindShare:
			return "0%"
		case reports.KindDate, reports.KindInstant:
			return "yyyy-mm-dd"
		case reports.KindText, reports.KindFlag, reports.KindClock:
			return ""
		}
		return "#,##0.##"
	}
	for _, s := range c.Series {
		if s.Table == "" {
			if f := format(s.Y); f == "0%" {
				x.YAxis.NumFmt = excelize.ChartNumFmt{CustomNumFmt: f}
			}
			break
		}
	}
	if f := format(c.X); f != "" && f != "#,##0.##" {
		x.XAxis.NumFmt = excelize.ChartNumFmt{CustomNumFmt: f}
	}
}

func words(s string, size float64, bold bool) excelize.ChartTitle {
	f := face(size)
	f.Bold = bold
	return excelize.ChartTitle{Paragraph: []excelize.RichTextRun{{Text: plain.Clean(s), Font: f}}}
}

func face(size float64) *excelize.Font {
	return &excelize.Font{Family: faceName, Size: size, Color: reports.InkColour}
}

func plainFloat(f float64) string { return strconv.FormatFloat(f, 'f', -1, 64) }
