package layout

import (
	"fmt"
	"math"
	"strings"

	"github.com/tdewolff/canvas"
	"gonum.org/v1/gonum/spatial/r2"
)

const (
	maxPathBytes = 64 << 10
	maxPathSegs  = 4000
)

// shape is one connected run of segments of a path.
type shape struct {
	segs   []segment
	closed bool
}

// parsePath reads SVG path data (SVG 1.1, chapter 8) with the canvas library,
// behind guards: only path characters, bounded length and numbers, and a parser
// that gives up on strange text becomes an error.
func parsePath(key, data string) (shapes []shape, err *SpecError) {
	text := strings.TrimSpace(data)
	if text == "" {
		return nil, specErr(key, data, "the path is empty")
	}
	if len(text) > maxPathBytes {
		return nil, specErr(key, nil, "at most %d characters of path data", maxPathBytes)
	}
	if text[0] != 'M' && text[0] != 'm' {
		return nil, specErr(key, text, "path data begins with M x y")
	}
	if err := pathChars(key, text); err != nil {
		return nil, err
	}
	defer func() {
		if r := recover(); r != nil {
			shapes, err = nil, specErr(key, text, "the path cannot be read: %s", clip(fmt.Sprint(r), 60))
		}
	}()
	p, perr := canvas.ParseSVGPath(text)
	if perr != nil {
		return nil, specErr(key, text, "%s", clip(strings.TrimPrefix(perr.Error(), "bad path: "), 100))
	}
	return toShapes(key, p)
}

// pathChars refuses text that no path holds and numbers beyond all use.
func pathChars(key, text string) *SpecError {
	digits, commands := 0, 0
	for i := range len(text) {
		c := text[i]
		switch {
		case c >= '0' && c <= '9':
			digits++
			if digits > 30 {
				return specErr(key, text[max(0, i-30):i+1], "a number of at most 30 digits is wanted")
			}
			continue
		case c == 'e' || c == 'E':
			rest := strings.TrimLeft(text[i+1:], "+-")
			if n := len(rest) - len(strings.TrimLeft(rest, "0123456789")); n == 0 || n > 3 {
				return specErr(key, text[i:min(len(text), i+12)], "an exponent of one to three digits is wanted")
			}
		case strings.IndexByte("MmZzLlHhVvCcSsQqTtAa", c) >= 0:
			commands++
		case strings.IndexByte("+-., \t\r\n", c) < 0:
			return specErr(key, string(rune(c)), "not a path character (position %d)", i+1)
		}
		digits = 0
	}
	if commands > maxPathSegs {
		return specErr(key, nil, "at most %d path commands", maxPathSegs)
	}
	return nil
}

func toShapes(key string, p *canvas.Path) ([]shape, *SpecError) {
	var shapes []shape
	var cur shape
	flush := func() {
		if len(cur.segs) > 0 {
			shapes = append(shapes, cur)
		}
		cur = shape{}
	}
	total := 0
	for sc := p.Scanner(); sc.Scan(); {
		for _, v := range sc.Values() {
			if math.IsNaN(v) || math.Abs(v) > maxCoordMM {
				return nil, specErr(key, v, "coordinates of at most %g mm", maxCoordMM)
			}
		}
		a, b := vec(sc.Start()), vec(sc.End())
		if total++; total > maxPathSegs {
			return nil, specErr(key, nil, "at most %d pieces in a path", maxPathSegs)
		}
		switch sc.Cmd() {
		case canvas.MoveToCmd:
			flush()
		case canvas.LineToCmd:
			if a != b {
				cur.segs = append(cur.segs, lineSeg(a, b))
			}
		case canvas.QuadToCmd:
			cur.segs = append(cur.segs, quadSeg(a, vec(sc.CP1()), b))
		case canvas.CubeToCmd:
			cur.segs = append(cur.segs, segment{Kind: segCubic, Edge: true, P: [4]r2.Vec{a, vec(sc.CP1()), vec(sc.CP2()), b}})
		case canvas.ArcToCmd:
			rx, ry, rot, large, sweep := sc.Arc()
			cur.segs = append(cur.segs, arcSeg(a, b, rx, ry, rot, large, sweep))
		case canvas.CloseCmd:
			if r2.Norm(r2.Sub(a, b)) > 1e-9 {
				cur.segs = append(cur.segs, lineSeg(a, b))
			}
			cur.closed = true
			flush()
		}
	}
	flush()
	if len(shapes) == 0 {
		return nil, specErr(key, nil, "the path draws nothing")
	}
	return shapes, nil
}

func vec(p canvas.Point) r2.Vec { return r2.Vec{X: p.X, Y: p.Y} }

// largest is the shape whose bounding box is largest: the outline among
// pockets and ornaments.
func largest(shapes []shape) (int, float64) {
	best, bestArea := 0, -1.0
	for i, sh := range shapes {
		lo, hi := r2.Vec{X: math.Inf(1), Y: math.Inf(1)}, r2.Vec{X: math.Inf(-1), Y: math.Inf(-1)}
		for _, s := range sh.segs {
			for k := range 9 {
				p := s.at(float64(k) / 8)
				lo = r2.Vec{X: math.Min(lo.X, p.X), Y: math.Min(lo.Y, p.Y)}
				hi = r2.Vec{X: math.Max(hi.X, p.X), Y: math.Max(hi.Y, p.Y)}
			}
		}
		if area := (hi.X - lo.X) * (hi.Y - lo.Y); area > bestArea {
			best, bestArea = i, area
		}
	}
	return best, bestArea
}
