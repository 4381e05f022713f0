package main

import (
	"fmt"
	"math"
	"strings"

	"bookmatch/costing/bitlife"
	"bookmatch/jobs"

	"github.com/urfave/cli/v2"
)

func (e *env) bitMove(c *cli.Context) error {
	w, err := typedWords(c, 1, 1)
	if err != nil {
		return err
	}
	return e.deskWord(c, func(b *desk) error {
		bit, err := b.FindBit(w[0])
		if err != nil {
			return err
		}
		m := jobs.BitMove{Bit: bit.Code, To: c.String("to"), Cause: c.String("why"), Note: strings.TrimSpace(c.String("note") + " " + c.String("anyway"))}
		if m.On, err = b.stamp(c, true); err != nil {
			return err
		}
		if m, err = b.MoveBit(m, c.String("anyway") != ""); err != nil {
			return err
		}
		life, err := b.bitLife(bit.Code)
		if err != nil {
			return err
		}
		b.Data = map[string]any{"move": m, "life": life}
		b.Say("%s to the %s set, edge %d at %s: %s", bit.Code, life.Keep, life.Edge, bitlife.HolesText(life.WearM), lifeTells(life))
		return nil
	})
}

// lifeTells says what the life of an edge counts as.
func lifeTells(l jobs.EdgeLife) string {
	switch {
	case l.Event:
		return fmt.Sprintf("counts as worn out at %s (%s)", bitlife.HolesText(l.LifeM), l.End)
	case l.Closed:
		return fmt.Sprintf("counts as good up to %s (%s)", bitlife.HolesText(l.LifeM), l.End)
	}
	return "its life goes on"
}

// undersizeMM is how much smaller than its name a sharpened bit may cut before
// the fit of a bushing is worth a word (judgement).
const undersizeMM = 0.05

func (e *env) bitSharpen(c *cli.Context) error {
	w, err := typedWords(c, 1, 1)
	if err != nil {
		return err
	}
	why := c.String("why")
	if why != "" && why != jobs.CauseDull && why != jobs.CauseSuspected && why != jobs.CauseSwapped {
		return &jobs.FieldError{Field: "why", Value: why, Want: "dull, suspected or swapped"}
	}
	return e.deskWord(c, func(b *desk) error {
		bit, err := b.FindBit(w[0])
		if err != nil {
			return err
		}
		edge := jobs.Edge{DiameterMM: bit.DiameterMM, Note: c.String("note")}
		if c.IsSet("diameter") {
			if edge.DiameterMM, _, err = jobs.ParseDiameter(c.String("diameter")); err != nil {
				return err
			}
			if math.Abs(edge.DiameterMM-bit.DiameterMM) > bit.DiameterMM/4 {
				return &jobs.FieldError{Field: "diameter", Value: c.String("diameter"), Want: fmt.Sprintf("the measured size of a bit that was %s", bit.DiameterText)}
			}
			if edge.DiameterMM < bit.DiameterMM-undersizeMM {
				b.Warn("it cuts %s mm where %s is asked for: try the fit of a bushing in offcut first", jobs.FormatMM(edge.DiameterMM), bit.DiameterText)
			}
		}
		if c.IsSet("life") {
			if edge.RatedM, err = jobs.ParseLife("life", c.String("life")); err != nil {
				return err
			}
		}
		if edge.Started, err = b.stamp(c, true); err != nil {
			return err
		}
		if edge, err = b.SharpenBit(bit, edge, why); err != nil {
			return err
		}
		book, err := b.BitBook(bit.Code)
		if err != nil {
			return err
		}
		lives := book.Lives()
		before, now := lives[len(lives)-2], lives[len(lives)-1]
		b.Data = map[string]any{"edge": edge, "before": before, "life": now}
		b.Say("%s edge %d, %s set; edge %d %s", bit.Code, edge.No, now.Keep, before.Edge, lifeTells(before))
		return nil
	})
}
