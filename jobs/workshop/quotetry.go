package workshop

import (
	"bookmatch/costing/quote"
	"bookmatch/jobs"
)

// QuoteTryAsk asks what a quote would be with other wishes. Nothing is written.
type QuoteTryAsk struct {
	Asked
	Quote string `json:"quote" word:"QUOTE"`
	QuoteWishes
	// About asks for fewer draws: an answer while a slider moves.
	About bool `json:"about,omitempty"`
}

// aboutDraws is how many draws an answer in passing gets.
const aboutDraws = 200

// QuoteTry answers with the figures of a draft that is not kept. What was sent
// does not change: it shows its own figures.
var QuoteTry = Define("quote try", "NOT SHOWN", Reads, (*Book).quoteTry)

func (b *Book) quoteTry(ask *QuoteTryAsk, res *QuoteResult) error {
	q, err := b.FindQuote(ask.Quote)
	if err != nil {
		return err
	}
	o, err := b.offerOf(q, 0)
	if err != nil {
		return err
	}
	if o.revision.Status != jobs.QuoteDraft {
		res.shown(o)
		return nil
	}
	if err := b.wishes(ask.QuoteWishes, &o.quote, &o.revision.Ask); err != nil {
		return err
	}
	set := quote.SettingsOf(o.revision.Ask)
	if ask.About {
		set.Draws = aboutDraws
	}
	if o.input, err = b.QuoteInput(o.quote, o.revision.Ask, set); err != nil {
		return err
	}
	if o.result, err = quote.PriceQuote(o.input); err != nil {
		return err
	}
	res.shown(o)
	return nil
}
