package layout

import (
	"math"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/spatial/r2"
)

// Limits of path data: a headstock needs far less.
const (
	maxPathBytes = 64 << 10
	maxPathSegs  = 4000
	maxDigits    = 30
)

// pathReader reads SVG path data (SVG 2, chapter 9.3) from the text, one
// command after the other.
type pathReader struct {
	key    string // of the spec, for errors
	text   string
	pos    int
	limit  float64 // greatest coordinate
	shapes []shape
	cur    shape
	total  int // pieces so far

	at, start r2.Vec // current point, first point of the subpath
	// mirror is the last control point of a curve, for S and T. last is the
	// command that set it.
	mirror r2.Vec
	last   byte
}

// parsePath reads SVG path data. Every command of SVG 2 is read, also in its
// relative form, with repeats and with arc flags written together. Data that
// breaks the grammar is refused with its place. Coordinates are at most limit.
func parsePath(key, data string, limit float64) ([]shape, *SpecError) {
	p := &pathReader{key: key, text: data, limit: limit}
	p.space()
	switch {
	case p.pos == len(data):
		return nil, specErr(key, nil, "the path is empty")
	case len(data) > maxPathBytes:
		return nil, specErr(key, nil, "at most %d characters of path data", maxPathBytes)
	case data[p.pos] != 'M' && data[p.pos] != 'm':
		return nil, specErr(key, data, "path data begins with M x y")
	}
	for p.space(); p.pos < len(data); p.space() {
		if err := p.command(); err != nil {
			return nil, err
		}
	}
	p.flush()
	if len(p.shapes) == 0 {
		return nil, specErr(key, nil, "the path draws nothing")
	}
	return p.shapes, nil
}

// argCount is how many numbers one round of a command takes.
var argCount = [256]int8{'M': 2, 'L': 2, 'H': 1, 'V': 1, 'C': 6, 'S': 4, 'Q': 4, 'T': 2, 'A': 7}

// command reads one command letter with all its rounds of numbers.
func (p *pathReader) command() *SpecError {
	letter := p.text[p.pos]
	upper := letter &^ 0x20
	if strings.IndexByte("MmZzLlHhVvCcSsQqTtAa", letter) < 0 {
		return p.fault("a command letter is missing")
	}
	p.pos++
	if upper == 'Z' {
		p.close()
		p.last = 'Z'
		return nil
	}
	for round := 0; ; round++ {
		args, err := p.args(upper)
		if err != nil {
			return err
		}
		p.draw(upper, letter != upper, args)
		p.last = upper
		if p.total > maxPathSegs {
			return specErr(p.key, nil, "at most %d pieces in a path", maxPathSegs)
		}
		for _, v := range []float64{p.at.X, p.at.Y, p.mirror.X, p.mirror.Y} {
			if !(math.Abs(v) <= p.limit) {
				return specErr(p.key, v, "coordinates of at most %g", p.limit)
			}
		}
		if upper == 'M' {
			upper, letter = 'L', letter-'M'+'L' // further pairs of a move are lines
		}
		if !p.another() {
			return nil
		}
	}
}

// another says whether a further round of numbers follows, after a comma or
// without one. A comma with no number after it stays for the next command,
// which refuses it.
func (p *pathReader) another() bool {
	before := p.pos
	p.space()
	if p.pos < len(p.text) && p.text[p.pos] == ',' {
		p.pos++
		p.space()
	}
	if p.pos < len(p.text) && strings.IndexByte("+-.0123456789", p.text[p.pos]) >= 0 {
		return true
	}
	p.pos = before
	return false
}

// args reads one round of numbers. The fourth and fifth of an arc are flags of
// one digit.
func (p *pathReader) args(upper byte) ([7]float64, *SpecError) {
	var out [7]float64
	for i := range int(argCount[upper]) {
		p.space()
		if i > 0 && p.pos < len(p.text) && p.text[p.pos] == ',' {
			p.pos++
			p.space()
		}
		if upper == 'A' && (i == 3 || i == 4) {
			if p.pos == len(p.text) || p.text[p.pos] != '0' && p.text[p.pos] != '1' {
				return out, p.fault("an arc's flag is 0 or 1")
			}
			out[i] = float64(p.text[p.pos] - '0')
			p.pos++
			continue
		}
		v, err := p.number()
		if err != nil {
			return out, err
		}
		out[i] = v
	}
	return out, nil
}

// number reads as much as can be one number: in 1.5.5 that is 1.5.
func (p *pathReader) number() (float64, *SpecError) {
	from := p.pos
	p.oneOf("+-")
	whole := p.digits()
	part := 0
	if p.oneOf(".") {
		part = p.digits()
	}
	if whole+part == 0 {
		p.pos = from
		return 0, p.fault("a number is missing")
	}
	if p.oneOf("eE") {
		p.oneOf("+-")
		if n := p.digits(); n == 0 || n > 3 {
			return 0, p.fault("an exponent has one to three digits")
		}
	}
	if whole > maxDigits || part > maxDigits {
		return 0, specErr(p.key, p.text[from:p.pos], "a number has at most %d digits", maxDigits)
	}
	v, err := strconv.ParseFloat(p.text[from:p.pos], 64)
	if err != nil || !(math.Abs(v) <= p.limit) {
		return 0, specErr(p.key, p.text[from:p.pos], "numbers of at most %g", p.limit)
	}
	return v, nil
}

func (p *pathReader) oneOf(set string) bool {
	if p.pos < len(p.text) && strings.IndexByte(set, p.text[p.pos]) >= 0 {
		p.pos++
		return true
	}
	return false
}

func (p *pathReader) digits() int {
	from := p.pos
	for p.pos < len(p.text) && p.text[p.pos] >= '0' && p.text[p.pos] <= '9' {
		p.pos++
	}
	return p.pos - from
}

func (p *pathReader) space() {
	for p.pos < len(p.text) && strings.IndexByte(" \t\n\f\r", p.text[p.pos]) >= 0 {
		p.pos++
	}
}

// fault names the place where the reading stopped.
func (p *pathReader) fault(want string) *SpecError {
	if p.pos >= len(p.text) {
		return specErr(p.key, nil, "%s, but the path ends", want)
	}
	end := min(len(p.text), p.pos+12)
	return specErr(p.key, p.text[p.pos:end], "%s (position %d)", want, p.pos+1)
}
