package main

import (
	"fmt"

	"bookmatch/costing/estimate"
	"bookmatch/costing/quote"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"

	"github.com/urfave/cli/v2"
)

func quoteCommand(e *env) *cli.Command {
	on := &cli.StringFlag{Name: "on", Usage: "`DATE`, today if not given"}
	why := &cli.StringFlag{Name: "why", Usage: "the reason"}
	revision := &cli.IntFlag{Name: "revision", Usage: "revision `N`, the newest if not given"}
	return &cli.Command{
		Name: "quote", Usage: "a price and a date for a build",
		Subcommands: []*cli.Command{
			{Name: "draft", Usage: "draw a quote up, or change one that is not sent yet", ArgsUsage: "QUOTE", Flags: append(askFlags(), &cli.BoolFlag{Name: "lines", Usage: "show every line with its basis"}), Action: e.quoteDraft},
			{Name: "show", Usage: "lines, hours, price and date of a quote", ArgsUsage: "QUOTE", Flags: append([]cli.Flag{revision, &cli.BoolFlag{Name: "customer", Usage: "what the customer gets"}, &cli.BoolFlag{Name: "lines", Usage: "every line with its basis"}}, outFlags()...), Action: e.quoteShow},
			{Name: "list", Usage: "all quotes", Action: e.quoteList},
			{Name: "send", Usage: "freeze a quote with every input it is computed from", ArgsUsage: "QUOTE", Flags: []cli.Flag{on}, Action: e.quoteSend},
			{Name: "accept", Usage: "the customer says yes: makes the neck with its steps", ArgsUsage: "QUOTE", Action: e.quoteAccept, Flags: []cli.Flag{
				on, revision,
				&cli.StringFlag{Name: "deposit-on", Usage: "`DATE` of the deposit, from which the time runs"},
				&cli.StringFlag{Name: "neck", Usage: "`CODE` of the neck; the next free one if not given"},
				&cli.StringFlag{Name: "nickname", Usage: "the short word for the bench"},
			}},
			{Name: "decline", Usage: "the customer says no", ArgsUsage: "QUOTE", Flags: []cli.Flag{on, why}, Action: e.quoteDecline},
			{Name: "revise", Usage: "a new revision with the figures of today beside the old ones", ArgsUsage: "QUOTE", Flags: askFlags(), Action: e.quoteRevise},
			{Name: "change", Usage: "a change to an accepted quote: price it, agree it, refuse it", ArgsUsage: "QUOTE", Action: e.quoteChange, Flags: []cli.Flag{
				on,
				&cli.StringFlag{Name: "ask", Usage: "`WHAT` is to be changed"},
				&cli.StringFlag{Name: "by", Usage: "who asked", Value: "customer"},
				&cli.StringSliceFlag{Name: "quantity", Usage: "new quantity for one neck, `WHAT=N`, repeatable"},
				&cli.StringSliceFlag{Name: "redo", Usage: "`OPERATION` of a step that has to be done again, repeatable"},
				&cli.StringFlag{Name: "undo", Usage: "`MINUTES` to undo what is done"},
				&cli.StringSliceFlag{Name: "part", Usage: "`NAME=PRICE` to buy for it, repeatable"},
				&cli.IntFlag{Name: "accept", Usage: "change `N` is agreed"},
				&cli.IntFlag{Name: "decline", Usage: "change `N` is refused"},
			}},
			{Name: "review", Usage: "quoted against actual and why; without a quote: how often quotes held", ArgsUsage: "[QUOTE]", Flags: outFlags(), Action: e.quoteReview},
		},
	}
}

// quoteView is a revision with its figures, live for a draft and frozen else.
type quoteView struct {
	quote    quote.Quote
	revision quote.Revision
	input    quote.Input
	result   quote.Quoted
	promised jobs.Day // of an accepted quote: when the last of its necks is due
}

// quoteOf reads one revision. A draft is computed from the records as they
// stand; what was sent is shown as it was.
func quoteOf(tx *workshop.Book, q quote.Quote, no int) (quoteView, error) {
	r, err := tx.Revision(q, no)
	if err != nil {
		return quoteView{}, err
	}
	v := quoteView{quote: q, revision: r}
	for _, code := range q.Necks {
		n, _, err := store.Get(tx.Tx, store.Necks, code)
		if err != nil {
			return v, err
		}
		v.promised = max(v.promised, n.Due)
	}
	if r.Result != nil && r.Input != nil {
		v.input, v.result = *r.Input, *r.Result
		return v, nil
	}
	v.input, err = tx.QuoteInput(q, r.Ask, r.Ask.Settings())
	if err != nil {
		return v, err
	}
	v.result, err = quote.PriceQuote(v.input)
	return v, err
}

// quoteJSON is `quote show --json`.
type quoteJSON struct {
	Quote    string       `json:"quote"`
	Revision int          `json:"revision"`
	Status   quote.Status `json:"status"`
	Customer string       `json:"for"`
	Title    string       `json:"title,omitempty"`
	Currency string       `json:"currency"`
	Sent     jobs.Day     `json:"sent,omitempty"`
	Until    jobs.Day     `json:"valid_until,omitempty"`
	Guess    float64      `json:"guess_hours,omitempty"`
	Necks    []string     `json:"necks,omitempty"`
	Promised jobs.Day     `json:"promised,omitempty"`
	quote.Quoted
	Unlogged estimate.Unlogged   `json:"unlogged"`
	Steps    []quote.Step        `json:"steps"`
	Changes  []quote.ChangeOrder `json:"changes,omitempty"`
}

func (v quoteView) json() quoteJSON {
	return quoteJSON{Quote: v.quote.Code, Revision: v.revision.No, Status: v.revision.Status, Customer: v.quote.Customer, Title: v.quote.Title, Currency: string(v.input.Rates.Currency),
		Sent: v.revision.Sent, Until: v.revision.Until, Guess: v.quote.GuessHours, Necks: v.quote.Necks, Promised: v.promised, Quoted: v.result, Unlogged: v.input.Unlogged, Steps: v.input.Steps, Changes: v.quote.Changes}
}

func (v quoteView) sheet() reports.QuoteSheet {
	return reports.QuoteSheet{Quote: v.quote, Revision: v.revision, Input: v.input, Result: v.result, Promised: v.promised}
}

// readQuote opens the file and reads a quote.
func (e *env) readQuote(c *cli.Context, word string, no int) (quoteView, jobs.Shop, error) {
	var v quoteView
	var shop jobs.Shop
	err := e.view(c, func(tx *workshop.Book) error {
		q, err := tx.FindQuote(word)
		if err != nil {
			return err
		}
		if shop, err = tx.Shop, nil; err != nil {
			return err
		}
		v, err = quoteOf(tx, q, no)
		return err
	})
	return v, shop, err
}

func (e *env) quoteShow(c *cli.Context) error {
	w, err := typedWords(c, 1, 1)
	if err != nil {
		return err
	}
	v, shop, err := e.readQuote(c, w[0], c.Int("revision"))
	if err != nil {
		return err
	}
	return e.showQuote(c, v, shop)
}

func (e *env) showQuote(c *cli.Context, v quoteView, shop jobs.Shop) error {
	if c.Bool("customer") {
		sheet := quote.Customer(v.quote, v.revision, v.input, v.result)
		if wantJSON(c) && c.String("out") == "" {
			return e.PrintJSON(sheet)
		}
		return e.hand(c, paper{report: reports.QuoteCustomer(sheet, shop)})
	}
	if wantJSON(c) && c.String("out") == "" {
		return e.PrintJSON(v.json())
	}
	for _, w := range v.result.Warnings {
		e.Warn("%s", w)
	}
	curve := reports.QuoteCurve(v.sheet())
	return e.hand(c, paper{report: reports.QuoteShow(v.sheet(), shop, c.Bool("lines")), picture: curve, below: true})
}

func (e *env) quoteList(c *cli.Context) error {
	if _, err := typedWords(c, 0, 0); err != nil {
		return err
	}
	rows := []reports.QuoteRow{}
	var shop jobs.Shop
	err := e.view(c, func(tx *workshop.Book) (err error) {
		if shop, err = tx.Shop, nil; err != nil {
			return err
		}
		today := jobs.DayOf(tx.Now.In(shop.Location()))
		for q, err := range store.Each(tx.Tx, store.Quotes) {
			if err != nil {
				return err
			}
			v, err := quoteOf(tx, q, 0)
			if err != nil {
				return err
			}
			rows = append(rows, reports.QuoteRow{Quote: q.Code, Revision: v.revision.No, Status: q.Status, Customer: q.Customer, Title: q.Title, Net: v.result.Price.Net, Gross: v.result.Price.Gross,
				Safe: v.result.Promise.Safe, Until: v.revision.Until, Necks: q.Necks, Promised: v.promised, Expired: q.Status == quote.Sent && v.revision.Until < today})
		}
		return nil
	})
	if err != nil {
		return err
	}
	if wantJSON(c) {
		return e.PrintJSON(map[string]any{"currency": shop.Currency, "quotes": rows})
	}
	return e.print(reports.QuoteList(rows, shop))
}

// toAgree is the next command on the way of a quote to being agreed.
func toAgree(code string, status quote.Status) string {
	switch status {
	case quote.Draft:
		return "bookmatch quote send " + code
	case quote.Sent:
		return "bookmatch quote accept " + code + " --deposit-on DATE"
	}
	return "bookmatch quote revise " + code
}

// quoteStatusError refuses what a quote's status does not allow.
func quoteStatusError(q quote.Quote, what, how string) error {
	return &jobs.ConflictError{What: fmt.Sprintf("quote %s is %s: %s", q.Code, q.Status, what), How: how}
}

// onDay reads --on, today in the shop's zone if it is not given.
func onDay(c *cli.Context, tx *workshop.Book, shop jobs.Shop) (jobs.Day, error) {
	day := jobs.DayOf(tx.Now.In(shop.Location()))
	err := dayFlag(c, "on", &day)
	return day, err
}
