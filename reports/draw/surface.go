// Package draw is what a picture is drawn with: a surface in millimetres, paths,
// the house's inks and the plain shapes made of them. It knows no file format;
// package paper gives surfaces for PDF, SVG and PNG.
//
// The origin is the upper left corner, x grows to the right and y down. Type is
// measured in points (1/72 inch) and set on its base line.
package draw

// Surface takes shapes and words. One surface is one document.
type Surface interface {
	// Page begins a page of that size. The first call begins the first page.
	Page(width, height float64)
	// Path fills and strokes.
	Path(p *Path, look Look)
	// Text writes one line with its base line at y.
	Text(x, y float64, words string, t Type)
	// Width is how wide Text would write, in mm.
	Width(words string, t Type) float64
	// Image places the PNG or JPEG of a file with its upper left corner at (x, y), as
	// large as fits into width and height. It says whether the file could be read.
	Image(x, y, width, height float64, file string) bool
	// Clip keeps what follows within the path, up to the matching Unclip.
	Clip(p *Path)
	Unclip()
}

// Picture is a drawing of its own size that any surface takes.
type Picture interface {
	// Size is the width and height in mm.
	Size() (width, height float64)
	// Draw draws it with its upper left corner at the origin.
	Draw(s Surface)
}

// Ink is a colour as six hexadecimal digits. No ink is "".
type Ink string

// The inks of paper. On a grey printer each keeps its distance from its
// neighbours, and colour is never the only sign.
const (
	Black Ink = "1B1B1B" // text, outlines
	Grey  Ink = "565656" // secondary text
	Rule  Ink = "9A9A9A"
	Hair  Ink = "D8D5CF"
	Tint  Ink = "EFEDEA"
	Brown Ink = "5B3A24" // the one thing that matters
	White Ink = "FFFFFF"
	NoInk Ink = ""
)

// Name is the word for an ink of the house, such as "brown", and "" for another.
func (i Ink) Name() string {
	switch i {
	case Black:
		return "black"
	case Grey:
		return "grey"
	case Rule:
		return "rule"
	case Hair:
		return "hair"
	case Tint:
		return "tint"
	case Brown:
		return "brown"
	case White:
		return "white"
	}
	return ""
}

// Look is how a path is inked. The zero Look draws nothing.
type Look struct {
	Fill   Ink
	Stroke Ink
	Width  float64   // of the stroke, mm
	Dash   []float64 // on, off, ... in mm; nil is a solid line
}

// Anchors of text: the place of x in the line.
const (
	Start = iota
	Middle
	End
)

// Type is how words are set.
type Type struct {
	Points float64
	Bold   bool
	Ink    Ink     // Black when empty
	Anchor int     // Start, Middle or End
	Turn   float64 // degrees counter-clockwise about (x, y)
}

// MMPerPoint is the size of a point: 1/72 inch.
const MMPerPoint = 25.4 / 72
