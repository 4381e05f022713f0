package workshop

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"bookmatch/jobs"
)

// BitMoveAsk keeps a bit for something else.
type BitMoveAsk struct {
	Asked
	Bit    string `json:"bit" word:"BIT"`
	To     string `json:"to" flag:"to" help:"show, general or scrap" of:"show general scrap"`
	Why    string `json:"why" flag:"why" help:"dull, suspected, lost, broken, swapped or found" of:"dull suspected lost broken swapped found"`
	Anyway string `json:"anyway,omitempty" flag:"anyway" arg:"WHY" help:"go on where you would be stopped, and why"`
	LateAsk
	Note string `json:"note,omitempty" flag:"note" help:"a remark"`
}

// BitSharpenAsk logs a sharpening.
type BitSharpenAsk struct {
	Asked
	Bit        string  `json:"bit" word:"BIT"`
	DiameterMM float64 `json:"diameter_mm,omitempty" flag:"diameter" arg:"MM" unit:"mm" help:"measured size in MM: it may cut undersize"`
	Life       string  `json:"life,omitempty" flag:"life" arg:"HOLES" help:"life you expect in HOLES; 0.8 of a new one is our guess"`
	Why        string  `json:"why,omitempty" flag:"why" help:"how it was before: dull, suspected or swapped" of:"dull suspected swapped"`
	LateAsk
	Note string `json:"note,omitempty" flag:"note" help:"a remark"`
}

// BitMoveResult is a bit after a move or a sharpening.
type BitMoveResult struct {
	Meta
	Move   *jobs.BitMove `json:"move,omitempty"`
	Edge   *jobs.Edge    `json:"sharpening,omitempty"`
	Before *LifeRow      `json:"before,omitempty"` // the life that a sharpening ended
	Life   LifeRow       `json:"life"`
}

// BitMove keeps a bit for something else, BitSharpen starts its wear again.
var (
	BitMove    = Define("bit move", "NOT MOVED", Writes, (*Book).bitMove)
	BitSharpen = Define("bit sharpen", "NOT LOGGED", Writes, (*Book).bitSharpen)
)

func (b *Book) bitMove(ask *BitMoveAsk, res *BitMoveResult) error {
	bit, err := b.FindBit(ask.Bit)
	if err != nil {
		return err
	}
	if ask.To == "" || ask.Why == "" {
		return &jobs.Refusal{Code: "usage", Class: jobs.Invalid, Why: "--to and --why are needed", Type: []string{fmt.Sprintf("bit move %s --to general --why dull", bit.Code)}}
	}
	if err := b.inTheChuck(bit.Code); err != nil && ask.On == "" {
		return err
	}
	m := jobs.BitMove{Bit: bit.Code, To: ask.To, Cause: ask.Why, Note: strings.TrimSpace(ask.Note + " " + ask.Anyway)}
	if m.On, err = b.stamp(ask.On, true); err != nil {
		return err
	}
	if m, err = b.MoveBit(m, ask.Anyway != ""); err != nil {
		return err
	}
	life, err := b.bitLife(bit.Code)
	res.Move, res.Life = &m, lifeRow(life)
	return err
}

// inTheChuck refuses to put a bit away while work runs with it.
func (b *Book) inTheChuck(bit string) error {
	on, running, err := b.RunningEntry()
	if err != nil || !running || on.Bit != bit {
		return err
	}
	return jobs.Refuse("in-use", fmt.Sprintf("%s is in the chuck for %s %s. Stop that first", bit, on.Operation, b.NecksText(on)), "off", "done")
}

// undersizeMM is how much smaller than its name a sharpened bit may cut before
// the fit of a bushing is worth a warning (our guess).
const undersizeMM = 0.05

func (b *Book) bitSharpen(ask *BitSharpenAsk, res *BitMoveResult) error {
	bit, err := b.FindBit(ask.Bit)
	if err != nil {
		return err
	}
	if ask.Why != "" && !slices.Contains([]string{jobs.CauseDull, jobs.CauseSuspected, jobs.CauseSwapped}, ask.Why) {
		return &jobs.FieldError{Field: "why", Value: ask.Why, Want: "dull, suspected or swapped, such as dull"}
	}
	edge := jobs.Edge{DiameterMM: bit.DiameterMM, Note: ask.Note}
	if ask.DiameterMM != 0 {
		edge.DiameterMM = ask.DiameterMM
		if math.Abs(edge.DiameterMM-bit.DiameterMM) > bit.DiameterMM/4 {
			return &jobs.FieldError{Field: "diameter", Value: jobs.NumberText(ask.DiameterMM), Want: fmt.Sprintf("the measured size of a bit that was %s, such as %s", bit.DiameterText, jobs.FormatMM(bit.DiameterMM))}
		}
		if edge.DiameterMM < bit.DiameterMM-undersizeMM {
			b.Warnf("undersize", "It cuts %s mm, its name says %s. Try the fit of a bushing in an offcut first.", jobs.FormatMM(edge.DiameterMM), bit.DiameterText)
		}
	}
	if ask.Life != "" {
		if edge.ExpectedM, err = jobs.ParseLife("life", ask.Life); err != nil {
			return err
		}
	}
	if edge.Started, err = b.stamp(ask.On, true); err != nil {
		return err
	}
	if edge, err = b.SharpenBit(bit, edge, ask.Why); err != nil {
		return err
	}
	book, err := b.BitBook(bit.Code)
	if err != nil {
		return err
	}
	lives := book.Lives()
	before := lifeRow(lives[len(lives)-2])
	res.Edge, res.Before, res.Life = &edge, &before, lifeRow(lives[len(lives)-1])
	return nil
}
