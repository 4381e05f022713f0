package paper

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"

	"bookmatch/jobs"
	"bookmatch/reports/draw"
	"bookmatch/reports/plain"

	"github.com/go-fonts/liberation/liberationsansbold"
	"github.com/go-fonts/liberation/liberationsansregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
	"golang.org/x/text/unicode/norm"
)

// face is one weight of the family, with what was looked up in it.
type face struct {
	data  []byte
	font  *sfnt.Font
	units float64 // per em

	mu     sync.Mutex // guards buf and what is below: all surfaces share a face
	buf    sfnt.Buffer
	glyphs map[rune]glyph
}

// glyph is a letter: its width in em, and its outline when it was asked for.
type glyph struct {
	index   sfnt.GlyphIndex // 0: the face lacks it
	advance float64
	outline *draw.Path // in em, y down; nil until asked for
}

// faces are loaded once; they are part of the program.
var faces = sync.OnceValues(func() ([2]*face, error) {
	var out [2]*face
	for i, data := range [][]byte{liberationsansregular.TTF, liberationsansbold.TTF} {
		f, err := parseFace(data)
		if err != nil {
			return out, fmt.Errorf("the program's own face cannot be read: %w", err)
		}
		out[i] = f
	}
	return out, nil
})

// faceOf is the regular or the bold face.
func faceOf(bold bool) (*face, error) {
	f, err := faces()
	if bold {
		return f[1], err
	}
	return f[0], err
}

func (f *face) glyph(r rune) glyph {
	f.mu.Lock()
	defer f.mu.Unlock()
	if g, ok := f.glyphs[r]; ok {
		return g
	}
	g := glyph{}
	if i, err := f.font.GlyphIndex(&f.buf, r); err == nil && i != 0 {
		// An advance at one unit per pixel is the font's own figure.
		if a, err := f.font.GlyphAdvance(&f.buf, i, fixed.I(int(f.units)), 0); err == nil {
			g = glyph{index: i, advance: float64(a) / 64 / f.units}
		}
	}
	f.glyphs[r] = g
	return g
}

// outline is the letter's shape in em, y down.
func (f *face) outline(r rune) *draw.Path {
	g := f.glyph(r)
	f.mu.Lock()
	defer f.mu.Unlock()
	if g.outline != nil || g.index == 0 {
		return g.outline
	}
	p := new(draw.Path)
	segs, err := f.font.LoadGlyph(&f.buf, g.index, fixed.I(int(f.units)), nil)
	if err == nil {
		at := draw.Point{}
		em := func(q fixed.Point26_6) draw.Point {
			return draw.Point{X: float64(q.X) / 64 / f.units, Y: float64(q.Y) / 64 / f.units}
		}
		for i, s := range segs {
			a := em(s.Args[0])
			switch s.Op {
			case sfnt.SegmentOpMoveTo:
				if i > 0 {
					p.Close()
				}
				p.Move(a.X, a.Y)
				at = a
			case sfnt.SegmentOpLineTo:
				p.Line(a.X, a.Y)
				at = a
			case sfnt.SegmentOpQuadTo:
				b := em(s.Args[1])
				p.Curve(at.X+(a.X-at.X)*2/3, at.Y+(a.Y-at.Y)*2/3, b.X+(a.X-b.X)*2/3, b.Y+(a.Y-b.Y)*2/3, b.X, b.Y)
				at = b
			case sfnt.SegmentOpCubeTo:
				b, c := em(s.Args[1]), em(s.Args[2])
				p.Curve(a.X, a.Y, b.X, b.Y, c.X, c.Y)
				at = c
			}
		}
		if len(segs) > 0 {
			p.Close()
		}
	}
	g.outline = p
	f.glyphs[r] = g
	return p
}

// letters makes words ready to be set: cleaned, composed, with codes in the place
// of what the face lacks. It gives the letters lacking.
func (f *face) letters(words string) (string, []rune) {
	// What was no letter at all is a question mark, not a code.
	words = strings.ReplaceAll(norm.NFC.String(plain.Clean(words)), "\ufffd", "?")
	var lacking []rune
	var b strings.Builder
	for _, r := range words {
		if f.glyph(r).index == 0 {
			lacking = append(lacking, r)
			fmt.Fprintf(&b, "U+%04X", r)
			continue
		}
		b.WriteRune(r)
	}
	return b.String(), lacking
}

// width is the width of ready letters in em.
func (f *face) width(letters string) float64 {
	w := 0.0
	for _, r := range letters {
		w += f.glyph(r).advance
	}
	return w
}

// typing is what the surfaces share of setting type. The zero typing is ready.
type typing struct {
	err     error
	lacking map[rune]bool
	unread  []string // files that are left out
	own     *face    // of the shop, for words with letters that the house's face lacks; may be nil
}

// take gives the face for words and their letters: the house's face, or the shop's own
// where it has letters that the house's lacks.
func (t *typing) take(words string, bold bool) (f *face, letters string, lacking []rune, err error) {
	if f, err = faceOf(bold); err != nil {
		return nil, "", nil, err
	}
	letters, lacking = f.letters(words)
	if len(lacking) > 0 && t.own != nil {
		if l, still := t.own.letters(words); len(still) < len(lacking) {
			return t.own, l, still, nil
		}
	}
	return f, letters, lacking, nil
}

// ParseFont reads a TrueType font. One with other outlines cannot be part of a PDF here.
func ParseFont(data []byte) error {
	_, err := parseFace(data)
	return err
}

func parseFace(data []byte) (*face, error) {
	if len(data) < 4 || string(data[:4]) != "\x00\x01\x00\x00" && string(data[:4]) != "true" {
		return nil, errors.New("it is no TrueType font")
	}
	f, err := sfnt.Parse(data)
	if err != nil {
		return nil, err
	}
	return &face{data: data, font: f, units: float64(f.UnitsPerEm()), glyphs: map[rune]glyph{}}, nil
}

// set gives the face and the letters, and notes what is lacking. ok is false
// when there is nothing to write.
func (t *typing) set(words string, ty draw.Type) (f *face, letters string, ok bool) {
	f, letters, lacking, err := t.take(words, ty.Bold)
	if err != nil {
		t.err = err
		return nil, "", false
	}
	for _, r := range lacking {
		if t.lacking == nil {
			t.lacking = map[rune]bool{}
		}
		t.lacking[r] = true
	}
	return f, letters, letters != ""
}

// Width implements draw.Surface.
func (t *typing) Width(words string, ty draw.Type) float64 {
	f, letters, _, err := t.take(words, ty.Bold)
	if err != nil {
		t.err = err
		return 0
	}
	return f.width(letters) * ty.Points * draw.MMPerPoint
}

// start is where a line of that width begins, seen along the line.
func start(width float64, ty draw.Type) float64 {
	switch ty.Anchor {
	case draw.Middle:
		return -width / 2
	case draw.End:
		return -width
	}
	return 0
}

// LetterLacking is the code of a warning that the font has no such letter.
const LetterLacking = "letter-lacking"

// Warnings names the letters that the face lacks, in the order of their codes.
func (t *typing) Warnings() []jobs.Warning {
	var runes []rune
	for r := range t.lacking {
		runes = append(runes, r)
	}
	slices.Sort(runes)
	var out []jobs.Warning
	for _, r := range runes {
		out = append(out, jobs.Warning{Code: LetterLacking, Text: fmt.Sprintf("no letter for %c in the font: U+%04X is printed in its place", r, r), Hint: "shop set font FILE.ttf"})
	}
	for _, text := range t.unread {
		out = append(out, jobs.Warning{Code: "left-out", Text: text})
	}
	return out
}

func inkOf(ty draw.Type) draw.Ink {
	if ty.Ink == draw.NoInk {
		return draw.Black
	}
	return ty.Ink
}

// Face gives the files of the house's face, regular and bold, for pages.
func Face() (regular, bold []byte) { return liberationsansregular.TTF, liberationsansbold.TTF }
