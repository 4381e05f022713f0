package page

import (
	"cmp"
	"errors"
	"fmt"
	"net/http"
	"reflect"
	"slices"
	"strings"

	"bookmatch/cmd/words"
	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"
	"bookmatch/reports/html"
)

// noShop leads to the set-up where there is no shop yet.
func (q *request) noShop(err error) error {
	r, ok := jobs.RefusalOf("NOT SHOWN", err)
	if !ok || r.Code != "no-file" && r.Code != "setup" {
		return err
	}
	if q.device.Kind == Desk {
		http.Redirect(q.w, q.r, "/do/shop/setup", http.StatusSeeOther)
		return nil
	}
	return q.show(http.StatusOK, html.Frame{Title: "no shop yet", Tab: "now", Screen: html.Now{Empty: true}})
}

// onDesk says that a command has a form: it is a verb of the shop, not on the
// file itself, and draws no file and no paper.
func onDesk(c words.Command) bool {
	return c.Act == nil && c.Draw == nil && !c.Paper && !c.Bench && !strings.HasPrefix(c.Path, "data ") && c.Verb.NewAsk != nil
}

func (q *request) command() (words.Command, bool) {
	path := q.r.PathValue("noun")
	if v := q.r.PathValue("verb"); v != "" {
		path += " " + v
	}
	i := slices.IndexFunc(q.Commands, func(c words.Command) bool { return c.Path == path && onDesk(c) })
	if i < 0 {
		return words.Command{}, false
	}
	return q.Commands[i], true
}

func pathOf(c words.Command) string { return "/do/" + strings.ReplaceAll(c.Path, " ", "/") }

func (q *request) verbsScreen() error {
	var x html.Verbs
	for _, g := range q.Groups {
		n := html.Noun{Name: g.Name, Help: g.Help}
		for _, c := range q.Commands {
			noun, _, _ := strings.Cut(c.Path, " ")
			if noun == g.Name && onDesk(c) {
				n.Verbs = append(n.Verbs, html.Link{Path: pathOf(c), Text: c.Path, About: c.Help})
			}
		}
		if len(n.Verbs) > 0 {
			x.Nouns = append(x.Nouns, n)
		}
	}
	return q.show(http.StatusOK, html.Frame{Title: "forms", Tab: "more", Screen: x})
}

// formScreen shows the form of a verb. One that reads and needs no word answers at
// once.
func (q *request) formScreen() error {
	c, ok := q.command()
	if !ok {
		return &jobs.NotFoundError{Noun: "form", Value: strings.TrimPrefix(q.r.URL.Path, "/do/")}
	}
	ask := c.Verb.NewAsk()
	fields := workshop.Fields(ask)
	needs := slices.ContainsFunc(fields, func(f workshop.Field) bool { return f.Word != "" && !f.Optional() })
	if !c.Verb.Writes() && !needs && q.r.URL.RawQuery == "" {
		return q.answer(c, ask)
	}
	given := map[string][]string{}
	for k, v := range q.r.URL.Query() {
		given[k] = v
	}
	return q.form1(http.StatusOK, c, given, nil)
}

// form1 shows a form with what was filled in, and a refusal next to its field.
func (q *request) form1(code int, c words.Command, given map[string][]string, refused error) error {
	ask := c.Verb.NewAsk()
	x := html.Form{Title: c.Path, Help: c.Help, Path: pathOf(c), Form: q.form(pathOf(c)), Button: "keep"}
	if !c.Verb.Writes() {
		x.Button = "show"
	}
	if first := strings.Fields(c.Path); len(first) == 2 && c.Verb.Writes() {
		x.Button = first[1]
	}
	field, wrong, typed := "", "", ""
	if refused != nil {
		r, _ := jobs.RefusalOf(c.Verb.Not, refused)
		if r != nil {
			wrong, typed = sentence(r.Why), strings.Join(r.Type, ", or ")
			if r.What != "" {
				wrong = r.What + ": " + wrong
			}
		} else {
			wrong = refused.Error()
		}
		var fe *jobs.FieldError
		if errors.As(refused, &fe) {
			field = fe.Field
		}
	}
	found := false
	for _, f := range workshop.Fields(ask) {
		in := control(f)
		in.Value = strings.Join(given[in.Name], "\n")
		if f.Switch() && in.Value != "" {
			in.Value = "true"
		}
		if field != "" && (f.Name() == field || strings.HasPrefix(field, f.Name()+" ")) {
			in.Wrong, in.Type, found = wrong, typed, true
		}
		x.Inputs = append(x.Inputs, in)
	}
	if !found {
		x.Wrong, x.WrongType = wrong, typed
	}
	return q.show(code, html.Frame{Title: c.Path, Tab: "more", Screen: x})
}

// control makes the control of a field: its words first, its flags behind "more"
// but for the first six.
func control(f workshop.Field) html.Control {
	in := html.Control{Name: f.Name(), Label: cmp.Or(f.Help, strings.ToLower(f.Name())), Kind: "text", Unit: f.Unit, Needed: f.Word != "" && !f.Optional()}
	if f.Word != "" && f.Help == "" {
		in.Label = strings.ToLower(strings.Trim(f.Word, "[]."))
	}
	t := f.Type
	if t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	switch {
	case f.Switch():
		in.Kind = "check"
	case t == reflect.TypeFor[workshop.Document](), t.Kind() == reflect.Slice && f.Read == "", t.Kind() == reflect.Map:
		in.Kind = "area"
		if t.Kind() != reflect.Struct {
			in.Label += " (one a line)"
		}
	}
	if f.Arg == "FILE" && f.Flag != "photo" {
		in.Kind, in.Label = "area", f.Help+" (its text)"
	}
	in.More = f.Flag != "" && f.Word == "" && (f.Flag == "at" || f.Flag == "anyway" || f.Flag == "seed" || f.Flag == "draws" || f.Flag == "note" || f.Flag == "by")
	return in
}

// formTap fills the Ask of a verb from its form, with the parsers of the typed
// words, and answers with the view of what came out.
func (q *request) formTap() error {
	c, ok := q.command()
	if !ok {
		return &jobs.NotFoundError{Noun: "form", Value: strings.TrimPrefix(q.r.URL.Path, "/do/")}
	}
	ask := c.Verb.NewAsk()
	given := words.Given{Flags: map[string][]string{}}
	texts := map[string]string{}
	filled := map[string][]string{}
	for _, f := range workshop.Fields(ask) {
		in := control(f)
		v := strings.TrimSpace(strings.ReplaceAll(q.r.PostFormValue(in.Name), "\r\n", "\n"))
		if v == "" {
			continue
		}
		filled[in.Name] = []string{v}
		list := []string{v}
		switch {
		case in.Kind == "area" && (f.List() || f.Key != ""):
			list = strings.Split(v, "\n")
		case in.Kind == "area": // the text of a file
			name := in.Name + ".txt"
			texts[name], list = v+"\n", []string{name}
		}
		switch {
		case f.Word != "" && f.Rest():
			given.Words = append(given.Words, strings.Fields(v)...)
		case f.Word != "":
			given.Words = append(given.Words, v)
		default:
			given.Flags[f.Flag] = list
		}
	}
	given.Read = func(path string, _ int64) ([]byte, error) {
		if t, ok := texts[path]; ok {
			return []byte(t), nil
		}
		return nil, &jobs.NotFoundError{Noun: "file", Value: path}
	}
	err := words.Bind(c, ask, given)
	if l, ok := ask.(interface{ Load(workshop.Loader) error }); ok && err == nil {
		err = l.Load(workshop.Loader{File: given.Read})
	}
	if err == nil {
		err = q.answer(c, ask)
	}
	if err != nil {
		code := http.StatusUnprocessableEntity
		if errors.Is(err, jobs.ErrConflict) {
			code = http.StatusConflict
		}
		return q.form1(code, c, filled, err)
	}
	return nil
}

// answer runs a verb and shows the view of its result.
func (q *request) answer(c words.Command, ask workshop.Ask) error {
	a := workshop.AskedOf(ask)
	if c.Verb.Writes() {
		a.By, a.Token = q.device.Name, q.nonce
	}
	res, err := q.shop.Do(c.Verb, ask)
	if err != nil {
		return err
	}
	r := reports.Report{Title: c.Path, Headline: []string{"Done: " + c.Path + "."}}
	if c.View != nil {
		r = c.View(res).At(reports.Full)
		if c.Verb.Writes() {
			r = c.View(res).At(reports.First)
		}
	}
	for _, w := range workshop.MetaOf(res).Warnings {
		r.Notes = append(r.Notes, w.Text)
	}
	q.units = workshop.MetaOf(res).Units
	body, err := html.Report(r.In(q.units))
	if err != nil {
		return err
	}
	x := html.Page{Report: body, Back: "/do"}
	for _, next := range r.Next {
		if l, ok := q.link(next); ok {
			x.Links = append(x.Links, l)
		}
	}
	if c.Verb.Writes() {
		x.Links = append(x.Links, html.Link{Path: pathOf(c), Text: "another"}, html.Link{Path: "/now", Text: "now"})
		defer q.shop.Copy()
	}
	return q.show(http.StatusOK, html.Frame{Title: c.Path, Tab: "more", Screen: x})
}

// link makes a form of a line that could be typed, with its words filled in.
func (q *request) link(line string) (html.Link, bool) {
	f := strings.Fields(line)
	for n := min(2, len(f)); n > 0; n-- {
		path := strings.Join(f[:n], " ")
		i := slices.IndexFunc(q.Commands, func(c words.Command) bool { return c.Path == path && onDesk(c) })
		if i < 0 {
			continue
		}
		c := q.Commands[i]
		rest := f[n:]
		var query []string
		for _, w := range workshop.Fields(c.Verb.NewAsk()) {
			if w.Word != "" && len(rest) > 0 && !strings.HasPrefix(rest[0], "-") {
				query = append(query, w.Name()+"="+rest[0])
				rest = rest[1:]
			}
		}
		to := pathOf(c)
		if len(query) > 0 {
			to += "?" + strings.Join(query, "&")
		}
		return html.Link{Path: to, Text: path}, true
	}
	return html.Link{}, false
}

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
	x := html.Quote{Code: f.Quote, Status: string(f.Status), Who: f.Customer, About: ask.About, Locked: f.Status != jobs.QuoteDraft, Form: q.form("/do/quote/draft"),
		Gross: reports.Price(res.Currency, f.Price.Gross), Net: reports.Fixed(res.Currency, f.Price.Net), Tax: reports.Fixed(res.Currency, f.Price.Tax), Cost: reports.Fixed(res.Currency, f.Price.Cost), Deposit: reports.Fixed(res.Currency, f.Price.Deposit),
		Likely: shortDay(f.Promise.Likely, res.Made), Safe: shortDay(f.Promise.Safe, res.Made),
		Hours: fmt.Sprintf("%.1f to %.1f h", f.Hours.P50, f.Hours.P80), Loss: reports.ChanceText(f.LossChance)}
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

func (q *request) devicesScreen() error {
	var x html.Devices
	for _, d := range q.keys().Devices {
		x.Devices = append(x.Devices, html.Device{Name: d.Name, Kind: string(d.Kind), Seen: cmp.Or(string(d.Seen), "never")})
	}
	return q.show(http.StatusOK, html.Frame{Title: "devices", Tab: "more", Screen: x})
}
