package workshop

import "bookmatch/jobs"

// BitShowAsk asks for one bit.
type BitShowAsk struct {
	Asked
	Bit string `json:"bit" word:"BIT"`
}

// BitShowResult is one bit: the verdict on a plain face, each life, its holes, its
// rims and its moves.
type BitShowResult struct {
	Meta
	Bit      string         `json:"bit"`
	Record   jobs.Bit       `json:"record"`
	Verdict  BitRow         `json:"verdict"`
	Lives    []LifeRow      `json:"lives"`
	Uses     []UseRow       `json:"uses"`
	Moves    []jobs.BitMove `json:"moves"`
	Survival *Survival      `json:"survival,omitempty"`
}

// BitShow gives one bit.
var BitShow = Define("bit show", "", Long, (*Book).bitShow)

func (b *Book) bitShow(ask *BitShowAsk, res *BitShowResult) error {
	bit, err := b.FindBit(ask.Bit)
	if err != nil {
		return err
	}
	a, err := b.Advisor(false, bit.Code)
	if err != nil {
		return err
	}
	job, err := b.PlainJob()
	if err != nil {
		return err
	}
	v, err := a.Verdict(bit.Code, job)
	if err != nil {
		return err
	}
	own, err := b.BitBook(bit.Code)
	if err != nil {
		return err
	}
	life, _ := a.Life(bit.Code)
	res.Bit, res.Record, res.Verdict = bit.Code, bit, b.bitRow(bit, life, v)
	res.Lives, res.Uses, res.Moves = lifeRows(own, own.Lives(), bit.Code), useRows(own, bit.Code), []jobs.BitMove{}
	res.Moves = append(res.Moves, own.Moves...)
	if s, ok := survivalOf(a, bit); ok {
		res.Survival = &s
	}
	return nil
}
