package page

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"bookmatch/cmd/words"
	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"
	"bookmatch/reports/html"
)

func (q *request) quotesScreen() error {
	list, err := do[*workshop.QuoteListResult](q, workshop.QuoteList, &workshop.QuoteListAsk{})
	if err != nil {
		return q.noShop(err)
	}
	var x html.Quotes
	for _, r := range list.Quotes {
		x.Quotes = append(x.Quotes, html.QuoteLine{Code: r.Quote, About: strings.Join(nonempty(string(r.Status), r.Customer, r.Title), ", "), Price: reports.Price(list.Currency, r.Gross), Date: shortDay(r.Date, list.Made)})
	}
	return q.show(http.StatusOK, html.Frame{Title: "quotes", Tab: "more", Screen: x})
}

// quoteScreen shows a quote with its wishes as sliders. What is moved is in the
// address; nothing is kept until it is.
func (q *request) quoteScreen() error {
	ask := &workshop.QuoteTryAsk{}
	given := words.Given{Words: []string{q.r.PathValue("quote")}, Flags: map[string][]string{}}
	query := q.r.URL.Query()
	for _, name := range []string{"margin", "deposit", "necks"} {
		if v := strings.TrimSpace(query.Get(name)); v != "" {
			given.Flags[name] = []string{v}
		}
	}
	for name := range query {
		if what, ok := strings.CutPrefix(name, "q-"); ok && query.Get(name) != "" {
			given.Flags["quantity"] = append(given.Flags["quantity"], what+"="+query.Get(name))
		}
	}
	slices.Sort(given.Flags["quantity"])
	c := words.Command{Path: "quote try", Verb: workshop.QuoteTry}
	if err := words.Bind(c, ask, given); err != nil {
		return err
	}
	ask.About = query.Get("about") != ""
	res, err := do[*workshop.QuoteResult](q, workshop.QuoteTry, ask)
	if err != nil {
		return err
	}
	f := res.QuoteFigures
	x := html.Quote{Code: f.Quote, Status: string(f.Status), Who: f.Customer, About: ask.About, Locked: f.Status != jobs.QuoteDraft, Form: q.form("/quote/" + f.Quote), Seen: res.Change,
		Gross: reports.Price(res.Currency, f.Price.Gross), Net: reports.Fixed(res.Currency, f.Price.Net), Tax: reports.Fixed(res.Currency, f.Price.Tax), Cost: reports.Fixed(res.Currency, f.Price.Cost), Deposit: reports.Fixed(res.Currency, f.Price.Deposit),
		Likely: shortDay(f.Promise.Likely, res.Made), Safe: shortDay(f.Promise.Safe, res.Made),
		Hours: fmt.Sprintf("%.1f to %.1f h", f.Hours.P50, f.Hours.P80), Loss: reports.ChanceText(f.LossChance)}
	x.Curve = reports.HoursCurve(f, "")
	if x.Kept, err = q.keptPrice(f, len(given.Flags) > 0, ask.About, res.Currency); err != nil {
		return err
	}
	for _, g := range f.Summary {
		x.Lines = append(x.Lines, html.Field{Name: g.Group, Value: reports.Fixed(res.Currency, g.Amount)})
	}
	for _, m := range f.Promise.Moves {
		when := fmt.Sprintf("%d days later", m.Days)
		if m.Days < 0 {
			when = fmt.Sprintf("%d days sooner", -m.Days)
		}
		x.Moves = append(x.Moves, m.What+": "+when)
	}
	gross := f.Price.Gross.Float()
	if gross > 0 {
		x.Bar = reports.Bar{Done: f.Price.Cost.Float() / gross, Next: f.Price.Net.Sub(f.Price.Cost).Float() / gross}
	}
	margin, _ := f.Price.MarginPercent.Round(0).Float64()
	x.Sliders = append(x.Sliders, html.Slider{Name: "margin", Flag: "margin", Label: "margin, % of the price", Value: margin, Most: 60, Step: 1})
	for _, name := range jobs.SortedKeys(f.Ask.Quantities) {
		v := f.Ask.Quantities[name]
		if name == "inlay" || name == "coats" || name == "holes" {
			x.Sliders = append(x.Sliders, html.Slider{Name: "q-" + name, Label: name, Value: v, Most: max(24, v), Step: 1})
		}
	}
	return q.show(http.StatusOK, html.Frame{Title: "quote " + f.Quote, Tab: "more", Screen: x})
}

// keptPrice is the price of a draft as it is kept, whatever was moved. While a slider
// moves it is on the screen already.
func (q *request) keptPrice(f *workshop.QuoteFigures, moved, about bool, currency string) (string, error) {
	if f.Status != jobs.QuoteDraft || about {
		return "", nil
	}
	if moved {
		kept, err := do[*workshop.QuoteResult](q, workshop.QuoteShow, &workshop.QuoteShowAsk{Quote: f.Quote})
		if err != nil {
			return "", err
		}
		f = kept.QuoteFigures
	}
	return reports.Price(currency, f.Price.Gross), nil
}

// quoteKeep keeps a draft with its wishes as they were moved.
func (q *request) quoteKeep() error {
	ask := &workshop.QuoteDraftAsk{}
	given := words.Given{Words: []string{q.r.PathValue("quote")}, Flags: map[string][]string{}}
	if v := q.value("margin"); v != "" {
		given.Flags["margin"] = []string{v}
	}
	for _, name := range sortedKeys(q.r.PostForm) {
		if what, ok := strings.CutPrefix(name, "q-"); ok && q.value(name) != "" {
			given.Flags["quantity"] = append(given.Flags["quantity"], what+"="+q.value(name))
		}
	}
	if err := words.Bind(words.Command{Path: "quote draft", Verb: workshop.QuoteDraft}, ask, given); err != nil {
		return err
	}
	if seen, err := q.number("seen"); err != nil {
		return err
	} else if seen != nil {
		ask.Seen = *seen
	}
	return q.change(workshop.QuoteDraft, ask, "/quote/"+url.PathEscape(ask.Quote))
}
