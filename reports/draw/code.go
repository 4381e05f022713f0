package draw

import (
	"strings"

	"rsc.io/qr"
)

// Code is a QR code by ISO/IEC 18004 at error correction level Q, with the quiet
// zone of four modules.
type Code struct {
	code     *qr.Code
	ModuleMM float64
}

// quiet is the empty border that a reader needs, in modules.
const quiet = 4

// NewCode encodes text. Capitals, digits and the signs of addresses give the
// smallest code. Text that is too long is an error.
func NewCode(text string, moduleMM float64) (Code, error) {
	c, err := qr.Encode(text, qr.Q)
	return Code{c, moduleMM}, err
}

// Size implements Picture.
func (c Code) Size() (width, height float64) {
	side := float64(c.code.Size+2*quiet) * c.ModuleMM
	return side, side
}

// Draw implements Picture: black on white whatever is around it. Modules of a
// row that touch are one box.
func (c Code) Draw(s Surface) {
	w, h := c.Size()
	s.Path(Box(0, 0, w, h), Look{Fill: White})
	all := &Path{}
	for y := range c.code.Size {
		for x := 0; x < c.code.Size; x++ {
			from := x
			for x < c.code.Size && c.code.Black(x, y) {
				x++
			}
			if x > from {
				b := Box(float64(from+quiet)*c.ModuleMM, float64(y+quiet)*c.ModuleMM, float64(x-from)*c.ModuleMM, c.ModuleMM)
				all.Steps = append(all.Steps, b.Steps...)
			}
		}
	}
	s.Path(all, Look{Fill: Black})
}

// Text draws the code in half blocks for a terminal, dark on light.
func (c Code) Text() string {
	black := func(x, y int) bool { return c.code.Black(x-quiet, y-quiet) }
	var b strings.Builder
	n := c.code.Size + 2*quiet
	for y := 0; y < n; y += 2 {
		for x := range n {
			switch {
			case black(x, y) && black(x, y+1):
				b.WriteByte(' ')
			case black(x, y):
				b.WriteRune('▄')
			case black(x, y+1):
				b.WriteRune('▀')
			default:
				b.WriteRune('█')
			}
		}
		b.WriteByte('\n')
	}
	return b.String()
}
