package screen

import (
	"math"
	"strings"
)

// eighths fill a cell from the left by eighths.
var eighths = []rune(" ▏▎▍▌▋▊▉█")

// Bar is a length against a limit: what is likely, how far it may go, and where
// it must end, all in one unit. End is the right edge; 0 takes the largest.
type Bar struct {
	Likely float64
	Safe   float64 // 0 where there is no range
	Limit  float64 // 0 where there is none
	End    float64
}

// Bar draws in exactly width columns: block characters with a light shade from
// likely to safe and an upright line for the limit, or # - | in plain
// characters. A limit is drawn over what is there. Negative lengths and what is no number draw nothing.
func (s Screen) Bar(b Bar, width int) string {
	end := b.End
	if !(end > 0) {
		end = max(length(b.Likely), length(b.Safe), length(b.Limit))
	}
	if !(end > 0) || width < 1 {
		return strings.Repeat(" ", max(0, width))
	}
	cells := func(v float64) float64 { return min(1, length(v)/end) * float64(width) }
	likely, safe := cells(b.Likely), cells(b.Safe)
	out := make([]rune, width)
	for i := range out {
		left := float64(i)
		switch {
		case s.Blocks && likely > left:
			out[i] = eighths[int(math.Round(min(1, likely-left)*8))]
			if out[i] == ' ' && safe >= left+0.5 {
				out[i] = '░'
			}
		case !s.Blocks && likely >= left+0.5:
			out[i] = '#'
		case safe >= left+0.5 && s.Blocks:
			out[i] = '░'
		case safe >= left+0.5:
			out[i] = '-'
		default:
			out[i] = ' '
		}
	}
	if b.Limit > 0 {
		out[min(width-1, int(cells(b.Limit)))] = map[bool]rune{true: '│', false: '|'}[s.Blocks]
	}
	return string(out)
}

func length(v float64) float64 {
	if !(v > 0) || math.IsInf(v, 0) {
		return 0
	}
	return v
}

// Months draws values as small columns in one line, the greatest the full
// height. Plain characters have no columns: the line is then empty, and the
// figures beside it say it all.
func (s Screen) Months(values []float64) string {
	top := 0.0
	for _, v := range values {
		top = max(top, length(v))
	}
	if !s.Blocks || top == 0 {
		return ""
	}
	steps := []rune("▁▂▃▄▅▆▇█")
	out := make([]rune, len(values))
	for i, v := range values {
		out[i] = steps[int(math.Round(length(v)/top*float64(len(steps)-1)))]
	}
	return string(out)
}
