package reports

import (
	"bookmatch/reports/plain"
	"math"
	"strings"
)

// LifeBar is the life of an edge: what is cut, what the next job would cut,
// where it should retire. All lengths in the same unit.
type LifeBar struct {
	Title  string
	Unit   string // of people: "m", "holes"
	Used   float64
	Next   float64 // 0 when no job is planned
	Retire float64
	Scale  float64 // right end; 0 takes the larger of 1.25 x Retire and Used + Next
}

func (l LifeBar) end() float64 {
	if l.Scale > 0 {
		return l.Scale
	}
	return math.Max(math.Max(1.25*l.Retire, l.Used+l.Next), 1e-9)
}

// Text draws the bar in one line and its figures in the next: = is cut, + the
// next job, | the retirement age, x what is cut beyond it.
func (l LifeBar) Text(width int) string {
	room := max(10, width-2)
	cell := func(v float64) int { return min(room, max(0, int(math.Round(v/l.end()*float64(room))))) }
	used, next, retire := cell(l.Used), cell(l.Used+l.Next), cell(l.Retire)
	var b strings.Builder
	b.WriteByte('[')
	for i := range room {
		switch {
		case i == retire && l.Retire > 0 && retire < room:
			b.WriteByte('|')
		case i < used && i > retire && l.Retire > 0:
			b.WriteByte('x')
		case i < used:
			b.WriteByte('=')
		case i < next:
			b.WriteByte('+')
		default:
			b.WriteByte('.')
		}
	}
	b.WriteString("]")
	key := []string{"= cut " + figure(l.Used) + " " + l.Unit}
	if l.Next > 0 {
		key = append(key, "+ next "+figure(l.Next)+" "+l.Unit)
	}
	if l.Retire > 0 {
		key = append(key, "| retire at "+figure(l.Retire)+" "+l.Unit)
		if l.Used > l.Retire {
			key = append(key, "x beyond")
		}
	}
	line := ""
	for _, k := range key {
		switch {
		case line == "":
			line = " " + k
		case plain.Width(line)+3+plain.Width(k) <= width:
			line += "   " + k
		default:
			b.WriteString("\n" + line)
			line = " " + k
		}
	}
	b.WriteString("\n" + line)
	return b.String()
}
