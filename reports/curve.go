package reports

import (
	"fmt"
	"math"
	"strings"

	"bookmatch/reports/plain"
)

// Point is one point of a curve.
type Point struct{ X, Y float64 }

// Level is an upright line in a curve with its name: "P80".
type Level struct {
	X    float64
	Name string
}

// Curve is a line over an axis, such as the chance that a job is done within
// so many hours. Points are in the order of X.
type Curve struct {
	Title  string
	XTitle string
	YTitle string
	Points []Point
	Levels []Level
	// Percent shows Y, a fraction, in percents.
	Percent bool
}

// bounds gives the range of the axes; Y starts at zero.
func (c Curve) bounds() (x0, x1, y1 float64) {
	x0, x1 = math.Inf(1), math.Inf(-1)
	for _, p := range c.Points {
		x0, x1, y1 = math.Min(x0, p.X), math.Max(x1, p.X), math.Max(y1, p.Y)
	}
	if x1 <= x0 {
		x1 = x0 + 1
	}
	if y1 <= 0 {
		y1 = 1
	}
	if c.Percent {
		y1 = 1
	}
	return x0, x1, y1
}

// at reads the curve between its points.
func (c Curve) at(x float64) float64 {
	for i, p := range c.Points {
		if x <= p.X {
			if i == 0 || p.X == c.Points[i-1].X {
				return p.Y
			}
			q := c.Points[i-1]
			return q.Y + (p.Y-q.Y)*(x-q.X)/(p.X-q.X)
		}
	}
	return c.Points[len(c.Points)-1].Y
}

// Text draws the curve with stars over nine lines, levels as upright bars
// with their names below.
func (c Curve) Text(width int) string {
	if len(c.Points) < 2 {
		return "too few figures to draw"
	}
	const left = 7
	const height = 9 // odd, so that the middle has a line
	room := max(20, width-left)
	x0, x1, y1 := c.bounds()
	grid := make([][]byte, height)
	for i := range grid {
		grid[i] = []byte(strings.Repeat(" ", room))
	}
	column := func(x float64) int { return min(room-1, max(0, int((x-x0)/(x1-x0)*float64(room-1)+0.5))) }
	for _, l := range c.Levels {
		for i := range grid {
			grid[i][column(l.X)] = '|'
		}
	}
	for k := range room {
		y := c.at(x0+(x1-x0)*float64(k)/float64(room-1)) / y1
		grid[height-1-min(height-1, max(0, int(y*float64(height-1)+0.5)))][k] = '*'
	}
	var b strings.Builder
	b.WriteString(c.YTitle + "\n")
	for i, line := range grid {
		label := ""
		if i == 0 || i == height-1 || i == (height-1)/2 {
			v := y1 * float64(height-1-i) / float64(height-1)
			label = figure(v)
			if c.Percent {
				label = fmt.Sprintf("%.0f %%", 100*v)
			}
		}
		fmt.Fprintf(&b, "%5s |%s\n", label, strings.TrimRight(string(line), " "))
	}
	b.WriteString("      +" + strings.Repeat("-", room) + "\n")
	b.WriteString(axisLine(left, room, x0, x1) + "\n")
	b.WriteString(strings.Repeat(" ", max(0, left+room-plain.Width(c.XTitle))) + c.XTitle)
	for _, l := range c.Levels {
		b.WriteString("\n" + strings.Repeat(" ", left) + fmt.Sprintf("| %s at %s", l.Name, figure(l.X)))
	}
	return b.String()
}

// axisLine puts figures below the axis, without one touching the next.
func axisLine(left, room int, x0, x1 float64) string {
	line := []byte(strings.Repeat(" ", left+room))
	for k := range 5 {
		s := figure(x0 + (x1-x0)*float64(k)/4)
		at := left + k*(room-1)/4 - len(s)/2
		at = min(max(0, at), len(line)-len(s))
		copy(line[at:], s)
	}
	return strings.TrimRight(string(line), " ")
}
