package jobs

import (
	"errors"
	"math"
	"strconv"
	"time"

	"bookmatch/costing/money"
)

// PieceKind says what a single piece of wood is for.
type PieceKind string

// The kinds of piece.
const (
	PieceVeneer PieceKind = "veneer"
	PieceBlank  PieceKind = "blank"
)

// Piece is one veneer leaf or one blank, kept by itself because its measured
// thickness decides where it fits. It is costed by its own price, not first in
// first out.
type Piece struct {
	Code string    `json:"code"`
	Kind PieceKind `json:"kind"`
	Wood string    `json:"wood"`
	// ThicknessMM is measured by caliper; 0 means not measured yet, and such a
	// piece is never offered for a stack.
	ThicknessMM float64      `json:"thickness_mm,omitzero"`
	LengthMM    float64      `json:"length_mm,omitzero"`
	WidthMM     float64      `json:"width_mm,omitzero"`
	Received    time.Time    `json:"received"`
	Price       money.Amount `json:"price"`
	Replacement money.Amount `json:"replacement,omitzero"` // of a gift
	// From is the piece of which this one is the offcut; Price is then the
	// value chosen for it, taken off the neck that used From.
	From   string    `json:"from,omitempty"`
	Neck   string    `json:"neck,omitempty"` // where it went; empty while in stock
	Used   time.Time `json:"used,omitzero"`
	Papers string    `json:"papers,omitempty"` // document number of a listed wood
	Note   string    `json:"note,omitempty"`
}

// InStock says that no neck has the piece yet.
func (p Piece) InStock() bool { return p.Neck == "" }

// Fits says whether the piece is measured, in stock, within low..high mm thick
// and at least length x width mm (either way round; 0 asks for nothing).
func (p Piece) Fits(lowMM, highMM, lengthMM, widthMM float64) bool {
	if !p.InStock() || p.ThicknessMM <= 0 || p.ThicknessMM < lowMM || p.ThicknessMM > highMM {
		return false
	}
	long, short := math.Max(p.LengthMM, p.WidthMM), math.Min(p.LengthMM, p.WidthMM)
	return long >= math.Max(lengthMM, widthMM) && short >= math.Min(lengthMM, widthMM)
}

// Validate finds every field that cannot be used; each is a *FieldError.
func (p Piece) Validate() error {
	errs := []error{ValidCode("piece", p.Code)}
	if p.Kind != PieceVeneer && p.Kind != PieceBlank {
		errs = append(errs, &FieldError{"kind", string(p.Kind), "veneer or blank"})
	}
	if p.Wood == "" {
		errs = append(errs, &FieldError{"wood", "", "a wood of `wood list`"})
	}
	for _, d := range []struct {
		field string
		mm    float64
		most  float64
	}{{"thickness", p.ThicknessMM, 200}, {"length", p.LengthMM, 5000}, {"width", p.WidthMM, 2000}} {
		if math.IsNaN(d.mm) || d.mm < 0 || d.mm > d.most {
			errs = append(errs, &FieldError{d.field, strconv.FormatFloat(d.mm, 'f', -1, 64), "millimetres up to " + strconv.FormatFloat(d.most, 'f', -1, 64)})
		}
	}
	if p.Price.Sign() < 0 || p.Replacement.Sign() < 0 {
		errs = append(errs, &FieldError{"price", p.Price.String(), "an amount of zero or more"})
	}
	return errors.Join(errs...)
}
