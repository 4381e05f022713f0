package reports

import (
	"bookmatch/costing/bitlife"
	"bookmatch/jobs"
)

// bitLine is what the register and the particulars know of one bit.
type bitLine struct {
	bit     jobs.Bit
	life    jobs.EdgeLife
	verdict bitlife.Verdict
}

type bitCol = Col[bitLine]

// lines gives the bits of the book; scrapped, lost and broken ones only when all
// is asked for.
func (b BitBook) lines(all bool) []bitLine {
	var out []bitLine
	for i, v := range b.Verdicts {
		if l := b.life(v.Bit); all || l.Keep != jobs.KeepScrap {
			out = append(out, bitLine{b.Book.Bits[i], l, v})
		}
	}
	return out
}

func holesCell(m float64) Cell { return Number(refHoles(m)) }

func (b BitBook) register(all bool) Table {
	t := Table{Name: "register", Wide: true, Title: "Bit register", Subtitle: "cut and best age in reference holes; heads: headstocks left", Empty: "no bit has been added: bit add S10-1 --diameter 10 --point brad --keep show"}
	if len(b.Verdicts) > 0 {
		t.Empty = "all bits are scrapped, lost or broken: bit list --all"
	}
	lines := b.lines(all)
	for _, x := range lines {
		if x.life.PossibleM > 0 {
			t.Note("%s: up to %s of an unknown bit of its size may be on it; the verdict counts them in full", x.verdict.Bit, bitlife.HolesText(x.life.PossibleM))
		}
	}
	if len(lines) > 0 {
		t.Note("a grade left empty was not seen, which is not 0; a chance left empty: nothing to go by, or dull already")
		t.Note("chance to dull an edge in the next %d holes; best: the age at which a fresh edge is cheaper on a face where a torn hole costs %s", b.Job.Holes, b.Shop.Currency.Print(b.Job.Damage))
		t.Note("the verdict depends on the face: bit verdict BIT --neck NECK")
		t.Charts = []Chart{{Kind: ChartStackedBars, Title: "Cut and left to the best age", X: "bit", XTitle: "bit", YTitle: "reference holes", Tall: true,
			Series: []Series{{Name: "cut", Y: "cut"}, {Name: "left", Y: "left"}}}}
	}
	return Build(t, lines, []bitCol{
		{Column{Key: "bit", Header: "bit", Max: 10}, func(x bitLine) Cell { return Text(x.verdict.Bit) }},
		{Column{Key: "size", Header: "size", Max: 9}, func(x bitLine) Cell { return Text(x.bit.DiameterText) }},
		{Column{Key: "kept_for", Header: "kept for", Max: 8}, func(x bitLine) Cell { return Text(x.life.Keep) }},
		{Column{Key: "edge", Header: "edge", Kind: KindCount, SheetOnly: true}, func(x bitLine) Cell { return Count(x.life.Edge) }},
		{Column{Key: "cut", Header: "cut", Kind: KindNumber, Digits: NoDigits}, func(x bitLine) Cell { return holesCell(x.life.WearM) }},
		{Column{Key: "best", Header: "best", Kind: KindNumber, Digits: NoDigits}, func(x bitLine) Cell { return Maybe(x.verdict.RetireAtM, holesCell) }},
		{Column{Key: "left", Header: "left", Kind: KindCount, SheetOnly: true}, func(x bitLine) Cell { return Maybe(x.verdict.HolesLeft, Count) }},
		{Column{Key: "headstocks", Header: "heads", Kind: KindCount}, func(x bitLine) Cell { return Maybe(x.verdict.HeadstocksLeft, Count) }},
		{Column{Key: "chance", Header: "chance", Kind: KindChance}, func(x bitLine) Cell { return Maybe(x.verdict.Next.ChanceDull, Chance) }},
		{Column{Key: "low", Header: "low", Kind: KindChance, SheetOnly: true}, func(x bitLine) Cell { return Maybe(x.verdict.Next.Low, Chance) }},
		{Column{Key: "high", Header: "high", Kind: KindChance, SheetOnly: true}, func(x bitLine) Cell { return Maybe(x.verdict.Next.High, Chance) }},
		{Column{Key: "grade", Header: "grade", Kind: KindCount}, func(x bitLine) Cell { return Maybe(x.life.LastGrade, Count) }},
		{Column{Key: "verdict", Header: "verdict", Max: 15}, func(x bitLine) Cell { return Text(x.verdict.Label()).In(verdictTone(x.verdict.Verdict)) }},
	})
}

// particulars are what the register has no room for.
func (b BitBook) particulars() Table {
	t := Table{Name: "particulars", Wide: true, Title: "Particulars of the bits", Empty: "no bit has been added"}
	lines := b.lines(true)
	if len(lines) > 0 {
		t.Note("drilled: holes on the present edge; perhaps: reference holes of an unknown bit of its size that may be on it")
	}
	return Build(t, lines, []bitCol{
		{Column{Key: "bit", Header: "bit", Max: 10}, func(x bitLine) Cell { return Text(x.verdict.Bit) }},
		{Column{Key: "point", Header: "point", Max: 11}, func(x bitLine) Cell { return Text(x.bit.Point) }},
		{Column{Key: "material", Header: "material", Max: 12}, func(x bitLine) Cell { return Text(x.bit.Material) }},
		{Column{Key: "drilled", Header: "drilled", Kind: KindCount}, func(x bitLine) Cell { return Count(x.life.Holes) }},
		{Column{Key: "possible", Header: "perhaps", Kind: KindNumber, Digits: NoDigits}, func(x bitLine) Cell { return holesCell(x.life.PossibleM) }},
		{Column{Key: "rated", Header: "rated", Unit: "holes", Kind: KindNumber, Digits: NoDigits}, func(x bitLine) Cell { return ratedCell(x.life.RatedM) }},
		{Column{Key: "change", Header: "fresh edge", Unit: string(b.Shop.Currency), Kind: KindMoney}, func(x bitLine) Cell { return Money(x.verdict.Change) }},
		{Column{Key: "last_use", Header: "last use", Kind: KindDate}, func(x bitLine) Cell { return dayIn(x.life.LastUse, b.Shop) }},
		{Column{Key: "basis", Header: "basis of the verdict", SheetOnly: true, Width: 52}, func(x bitLine) Cell { return Text(x.verdict.Life.Basis) }},
	})
}

func ratedCell(m float64) Cell {
	if m <= 0 {
		return NotRecorded()
	}
	return holesCell(m)
}

func verdictTone(v string) Tone {
	switch v {
	case bitlife.VerdictReady:
		return Good
	case bitlife.VerdictRetire:
		return Bad
	}
	return Careful
}
