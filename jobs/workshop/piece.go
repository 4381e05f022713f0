package workshop

import (
	"fmt"
	"slices"
	"strings"

	"bookmatch/costing/money"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// PieceSize are the flags that measure a piece. Nil was not given.
type PieceSize struct {
	ThicknessMM *float64 `json:"thickness_mm,omitempty" flag:"thickness" arg:"MM" unit:"mm" help:"thickness by caliper"`
	LengthMM    *float64 `json:"length_mm,omitempty" flag:"length" arg:"MM" unit:"mm" help:"length"`
	WidthMM     *float64 `json:"width_mm,omitempty" flag:"width" arg:"MM" unit:"mm" help:"width"`
	Papers      *string  `json:"papers,omitempty" flag:"papers" help:"document number of a wood under trade controls"`
	Note        *string  `json:"note,omitempty" flag:"note" help:"a remark"`
}

func (s PieceSize) measure(p *jobs.Piece) error {
	for _, d := range []struct {
		field string
		said  *float64
		to    *float64
	}{{"thickness", s.ThicknessMM, &p.ThicknessMM}, {"length", s.LengthMM, &p.LengthMM}, {"width", s.WidthMM, &p.WidthMM}} {
		if d.said == nil {
			continue
		}
		if !(*d.said >= 0.01) {
			return &jobs.FieldError{Field: d.field, Value: jobs.NumberText(*d.said), Want: "millimetres above zero such as 0.6"}
		}
		*d.to = *d.said
	}
	if s.Papers != nil {
		p.Papers = strings.TrimSpace(*s.Papers)
	}
	if s.Note != nil {
		p.Note = strings.TrimSpace(*s.Note)
	}
	return p.Validate()
}

// PieceAddAsk adds a veneer or a blank.
type PieceAddAsk struct {
	Asked
	Piece       string        `json:"piece" word:"CODE"`
	Kind        string        `json:"kind,omitempty" flag:"kind" arg:"KIND" help:"veneer or blank; veneer if not given" of:"veneer blank"`
	Wood        string        `json:"wood" flag:"wood" arg:"WOOD" help:"a wood of wood list"`
	Price       *money.Amount `json:"price" flag:"price" arg:"PRICE" help:"what it cost; 0 for a gift"`
	Replacement *money.Amount `json:"replacement,omitempty" flag:"replacement" arg:"PRICE" help:"what a gift would cost to buy"`
	LateAsk
	PieceSize
}

// PieceSetAsk enters a new measurement.
type PieceSetAsk struct {
	Asked
	Piece string `json:"piece" word:"PIECE"`
	PieceSize
}

// PieceUseAsk uses a piece on a neck.
type PieceUseAsk struct {
	Asked
	Piece string `json:"piece" word:"PIECE"`
	Neck  string `json:"neck" word:"NECK"`
	LateAsk
}

// PieceOffcutAsk keeps what was cut off a used piece.
type PieceOffcutAsk struct {
	Asked
	Piece string       `json:"piece" word:"PIECE"`
	Code  string       `json:"code" word:"NEW-CODE"`
	Value money.Amount `json:"value,omitzero" flag:"value" arg:"VALUE" help:"what it is worth; taken off the neck, 0 if not given"`
	PieceSize
}

// PieceResult is one piece as it is now.
type PieceResult struct {
	Meta
	PieceRow
}

// PieceRow is a piece as results show it. For is what its neck is called.
type PieceRow struct {
	jobs.Piece
	For string `json:"for,omitempty"`
}

// The verbs of pieces.
var (
	PieceAdd    = Define("piece add", "NOT ADDED", Writes, (*Book).pieceAdd)
	PieceSet    = Define("piece set", "NOT CHANGED", Writes, (*Book).pieceSet)
	PieceUse    = Define("piece use", "NOT CHANGED", Writes, (*Book).pieceUse)
	PieceOffcut = Define("piece offcut", "NOT ADDED", Writes, (*Book).pieceOffcut)
	PieceList   = Define("piece list", "", Reads, (*Book).pieceList)
)

func (b *Book) pieceRow(p jobs.Piece) PieceRow {
	cur := b.Shop.Currency
	p.Price = cur.Line(p.Price)
	if !p.Replacement.IsZero() {
		p.Replacement = cur.Line(p.Replacement)
	}
	for _, mm := range []*float64{&p.ThicknessMM, &p.LengthMM, &p.WidthMM} {
		*mm = jobs.Round3(*mm)
	}
	p.Received = b.Wall(p.Received)
	if !p.Used.IsZero() {
		p.Used = b.Wall(p.Used)
	}
	r := PieceRow{Piece: p}
	if p.Neck != "" {
		r.For = b.NameOf(p.Neck)
	}
	return r
}

// FindPiece resolves a code or a unique prefix.
func (b *Book) FindPiece(code string) (jobs.Piece, error) {
	p, ok, err := store.Get(b.Tx, store.Pieces, code)
	if ok || err != nil {
		return p, err
	}
	all, err := store.All(b.Tx, store.Pieces)
	if err != nil {
		return p, err
	}
	var names []string
	for _, x := range all {
		names = append(names, x.Code)
	}
	switch hits := jobs.Candidates(code, names); len(hits) {
	case 0:
		return p, &jobs.NotFoundError{Noun: "piece", Value: code, Near: jobs.Nearest(code, names)}
	case 1:
		return all[slices.Index(names, hits[0])], nil
	default:
		return p, jobs.Ambiguous("piece", code, hits)
	}
}

func (b *Book) newPiece(p jobs.Piece, res *PieceResult) error {
	if as := store.Taken(b.Tx, store.Pieces, p.Code); as != "" {
		return jobs.Refuse("taken", fmt.Sprintf("there is a piece %q already. Choose another code", as), "piece set "+as+" --thickness 0.6")
	}
	res.PieceRow = b.pieceRow(p)
	return store.Put(b.Tx, store.Pieces, p)
}

func (b *Book) pieceAdd(ask *PieceAddAsk, res *PieceResult) error {
	missing := func(what string) error {
		return &jobs.Refusal{Code: "usage", Class: jobs.Invalid, Why: "the " + what + " of " + ask.Piece + " is missing", Type: []string{"piece add " + ask.Piece + " --wood walnut --thickness 0.6 --price 4.00"}}
	}
	if ask.Wood == "" {
		return missing("wood")
	}
	if ask.Price == nil {
		return missing("price")
	}
	wood, err := b.FindWood(ask.Wood)
	if err != nil {
		return err
	}
	p := jobs.Piece{Code: ask.Piece, Kind: jobs.PieceKind(ask.Kind), Wood: wood.Name, Price: *ask.Price}
	if ask.Kind == "" {
		p.Kind = jobs.PieceVeneer
	}
	if ask.Replacement != nil {
		p.Replacement = *ask.Replacement
	}
	if p.Received, err = b.stamp(ask.On, false); err != nil {
		return err
	}
	if err := ask.measure(&p); err != nil {
		return err
	}
	return b.newPiece(p, res)
}

func (b *Book) pieceSet(ask *PieceSetAsk, res *PieceResult) error {
	p, err := b.FindPiece(ask.Piece)
	if err != nil {
		return err
	}
	if err := ask.measure(&p); err != nil {
		return err
	}
	res.PieceRow = b.pieceRow(p)
	return store.Put(b.Tx, store.Pieces, p)
}

func (b *Book) pieceUse(ask *PieceUseAsk, res *PieceResult) error {
	p, err := b.FindPiece(ask.Piece)
	if err != nil {
		return err
	}
	n, err := b.FindNeck(ask.Neck)
	if err != nil {
		return err
	}
	if !p.InStock() {
		return jobs.Refuse("used", fmt.Sprintf("piece %s went to %s", p.Code, b.NameOf(p.Neck)), "piece list")
	}
	if n.IsClosed() {
		return jobs.Refuse("closed", fmt.Sprintf("neck %s is %s", n.Name(), n.Status), "neck resume "+n.Name(), "neck list")
	}
	if p.Used, err = b.stamp(ask.On, true); err != nil {
		return err
	}
	p.Neck = n.Code
	res.PieceRow = b.pieceRow(p)
	return store.Put(b.Tx, store.Pieces, p)
}

func (b *Book) pieceOffcut(ask *PieceOffcutAsk, res *PieceResult) error {
	from, err := b.FindPiece(ask.Piece)
	if err != nil {
		return err
	}
	if from.InStock() {
		name := "NECK"
		if on, err := b.BenchNecks(); err == nil && len(on) > 0 {
			name = on[0].Name()
		}
		return jobs.Refuse("unused", fmt.Sprintf("piece %s was not used yet", from.Code), "piece use "+from.Code+" "+name)
	}
	p := jobs.Piece{Code: ask.Code, Kind: from.Kind, Wood: from.Wood, ThicknessMM: from.ThicknessMM, Received: b.Now, From: from.Code, Papers: from.Papers, Price: ask.Value}
	left := from.Price
	for x, err := range store.Each(b.Tx, store.Pieces) {
		if err != nil {
			return err
		}
		if x.From == from.Code {
			left = left.Sub(x.Price)
		}
	}
	if p.Price.Cmp(left) > 0 {
		return &jobs.FieldError{Field: "value", Value: ask.Value.String(), Want: "at most what the neck is charged for " + from.Code + ", such as " + b.Shop.Currency.Print(left)}
	}
	if err := ask.measure(&p); err != nil {
		return err
	}
	return b.newPiece(p, res)
}

// PieceListAsk asks for pieces in stock, or for those of a size.
type PieceListAsk struct {
	Asked
	Fits     string   `json:"fits,omitempty" flag:"fits" arg:"LOW-HIGH" help:"a thickness in mm, such as 0.5-0.7"`
	LengthMM *float64 `json:"length_mm,omitempty" flag:"length" arg:"MM" unit:"mm" help:"at least so long"`
	WidthMM  *float64 `json:"width_mm,omitempty" flag:"width" arg:"MM" unit:"mm" help:"at least so wide"`
	Kind     string   `json:"kind,omitempty" flag:"kind" help:"veneer or blank" of:"veneer blank"`
	All      bool     `json:"all,omitempty" flag:"all" help:"used ones too"`
}

// PieceListResult lists pieces. Value is that of those in stock.
type PieceListResult struct {
	Meta
	Pieces []PieceRow   `json:"pieces"`
	Value  money.Amount `json:"value"`
}

func (b *Book) pieceList(ask *PieceListAsk, res *PieceListResult) error {
	low, high, length, width := 0.0, 1e9, 0.0, 0.0
	if ask.Fits != "" {
		var err error
		a, z, ok := strings.Cut(ask.Fits, "-")
		if jobs.IsBare(a) { // 0.5-0.7mm: the unit is behind the last
			a += strings.TrimLeft(z, "0123456789., ")
		}
		if low, err = b.length("fits", a); err == nil && ok {
			high, err = b.length("fits", z)
		}
		if err != nil || !ok || high < low {
			return &jobs.FieldError{Field: "fits", Value: ask.Fits, Want: "a range of thickness such as 0.5-0.7"}
		}
	}
	if ask.LengthMM != nil {
		length = *ask.LengthMM
	}
	if ask.WidthMM != nil {
		width = *ask.WidthMM
	}
	if k := jobs.PieceKind(ask.Kind); ask.Kind != "" && k != jobs.PieceVeneer && k != jobs.PieceBlank {
		return &jobs.FieldError{Field: "kind", Value: ask.Kind, Want: "veneer or blank, such as veneer"}
	}
	fitting := ask.Fits != "" || ask.LengthMM != nil || ask.WidthMM != nil
	res.Pieces, res.Value = []PieceRow{}, b.Shop.Currency.Line(money.Zero)
	for p, err := range store.Each(b.Tx, store.Pieces) {
		switch {
		case err != nil:
			return err
		case ask.Kind != "" && string(p.Kind) != ask.Kind, fitting && !p.Fits(low, high, length, width), !fitting && !p.InStock() && !ask.All:
			continue
		}
		r := b.pieceRow(p)
		if p.InStock() {
			res.Value = res.Value.Add(r.Price)
		}
		res.Pieces = append(res.Pieces, r)
	}
	return nil
}
