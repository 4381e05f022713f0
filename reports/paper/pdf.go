package paper

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"regexp"
	"time"

	"bookmatch/reports/draw"
	"bookmatch/reports/plain"

	"codeberg.org/go-pdf/fpdf"
)

// Info is what a PDF says of itself.
type Info struct {
	Title   string
	Subject string
	Author  string    // the shop
	Lang    string    // such as "en"; empty is "en"
	Made    time.Time // of the figures; zero: the file holds no date
	Font    string    // a TrueType file for letters that the house's face lacks; may be empty
}

// family is what the document calls its faces.
const family = "LiberationSans"

// PDF is a surface that writes a PDF with selectable words.
type PDF struct {
	typing
	doc  *fpdf.Fpdf
	made time.Time
	h    float64         // of the page, mm
	has  map[string]bool // styles whose face is in the document
	font string          // style and size in force; "" after a change of state
}

// NewPDF begins a document.
func NewPDF(info Info) *PDF {
	d := fpdf.NewCustom(&fpdf.InitType{OrientationStr: "P", UnitStr: "mm", Size: fpdf.SizeType{Wd: 210, Ht: 297}})
	d.SetAutoPageBreak(false, 0)
	d.SetMargins(0, 0, 0)
	d.SetCellMargin(0)
	d.SetCatalogSort(true)
	d.SetCompression(true)
	d.SetTitle(plain.Clean(info.Title), true)
	d.SetSubject(plain.Clean(info.Subject), true)
	d.SetAuthor(plain.Clean(info.Author), true)
	d.SetCreator("bookmatch", false)
	d.SetProducer("bookmatch", false)
	lang := info.Lang
	if lang == "" {
		lang = "en"
	}
	d.SetLang(lang)
	made := info.Made.UTC()
	if info.Made.IsZero() {
		made = time.Unix(0, 0).UTC() // taken out again by WriteTo
	}
	d.SetCreationDate(made)
	d.SetModificationDate(made)
	p := &PDF{doc: d, made: info.Made, has: map[string]bool{}}
	if info.Font != "" {
		p.own = p.fontOf(info.Font)
	}
	return p
}

// fontOf reads the shop's own font; one that cannot be read is left out with a warning.
func (p *PDF) fontOf(file string) *face {
	data, err := os.ReadFile(file)
	if err == nil {
		var f *face
		if f, err = parseFace(data); err == nil {
			return f
		}
	}
	p.unread = append(p.unread, fmt.Sprintf("the font %s is left out: %v", file, err))
	return nil
}

// Page implements draw.Surface.
func (p *PDF) Page(w, h float64) {
	p.doc.AddPageFormat("P", fpdf.SizeType{Wd: w, Ht: h})
	p.doc.SetLineJoinStyle("round")
	p.doc.SetLineCapStyle("butt")
	p.h, p.font = h, ""
}

func rgb(i draw.Ink) (r, g, b int) {
	if _, err := fmt.Sscanf(string(i), "%02x%02x%02x", &r, &g, &b); err != nil {
		return 0, 0, 0
	}
	return r, g, b
}

// trace sends the steps of a path.
func (p *PDF) trace(path *draw.Path) {
	for _, s := range path.Steps {
		switch s.Verb {
		case draw.MoveTo:
			p.doc.MoveTo(s.P[0].X, s.P[0].Y)
		case draw.LineTo:
			p.doc.LineTo(s.P[0].X, s.P[0].Y)
		case draw.CurveTo:
			p.doc.CurveBezierCubicTo(s.P[0].X, s.P[0].Y, s.P[1].X, s.P[1].Y, s.P[2].X, s.P[2].Y)
		case draw.Close:
			p.doc.ClosePath()
		}
	}
}

// Path implements draw.Surface.
func (p *PDF) Path(path *draw.Path, look draw.Look) {
	style := ""
	if look.Fill != draw.NoInk {
		p.doc.SetFillColor(rgb(look.Fill))
		style = "F"
	}
	if look.Stroke != draw.NoInk && look.Width > 0 {
		p.doc.SetDrawColor(rgb(look.Stroke))
		p.doc.SetLineWidth(look.Width)
		p.doc.SetDashPattern(look.Dash, 0)
		style += "D"
	}
	if style == "" || len(path.Steps) == 0 {
		return
	}
	p.trace(path)
	p.doc.DrawPath(style)
}

// Text implements draw.Surface.
func (p *PDF) Text(x, y float64, words string, ty draw.Type) {
	f, letters, ok := p.set(words, ty)
	if !ok {
		return
	}
	name, style := family, ""
	switch {
	case f == p.own:
		name = "Own"
	case ty.Bold:
		style = "B"
	}
	if !p.has[name+style] {
		p.has[name+style] = true
		p.doc.AddUTF8FontFromBytes(name, style, f.data)
	}
	turned := ty.Turn != 0
	if turned {
		p.doc.TransformBegin()
		p.doc.TransformRotate(ty.Turn, x, y)
	}
	if font := fmt.Sprintf("%s%s%.2f", name, style, ty.Points); turned || p.font != font {
		p.doc.SetFont(name, style, ty.Points)
		p.font = font
	}
	p.doc.SetTextColor(rgb(inkOf(ty)))
	p.doc.Text(x+start(f.width(letters)*ty.Points*draw.MMPerPoint, ty), y, visual(letters))
	if turned {
		p.doc.TransformEnd()
		p.font = ""
	}
}

// Clip implements draw.Surface.
func (p *PDF) Clip(path *draw.Path) {
	p.doc.RawWriteStr("q\n")
	p.trace(path)
	p.doc.RawWriteStr("W n\n")
}

// Unclip implements draw.Surface.
func (p *PDF) Unclip() {
	p.doc.RawWriteStr("Q\n")
	p.font = ""
}

var pdfDates = regexp.MustCompile(`/(CreationDate|ModDate) \(D:[^)]*\)`)

// WriteTo ends the document and writes it.
func (p *PDF) WriteTo(w io.Writer) (int64, error) {
	if p.err != nil {
		return 0, p.err
	}
	var buf bytes.Buffer
	if err := p.doc.Output(&buf); err != nil {
		return 0, fmt.Errorf("the PDF cannot be written: %w", err)
	}
	data := buf.Bytes()
	if p.made.IsZero() {
		// Blanks of the same length keep every offset of the file.
		end := bytes.LastIndex(data, []byte("endstream"))
		for _, at := range pdfDates.FindAllIndex(data[max(0, end):], -1) {
			copy(data[max(0, end)+at[0]:], bytes.Repeat([]byte(" "), at[1]-at[0]))
		}
	}
	n, err := w.Write(data)
	return int64(n), err
}
