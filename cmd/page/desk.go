package page

import (
	"cmp"
	"errors"
	"net/http"
	"reflect"
	"regexp"
	"slices"
	"strings"

	"bookmatch/cmd/words"
	"bookmatch/costing/money"
	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
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

// onDesk says that a command has a form: it is a verb of the shop that writes no file
// but one that a browser can show or keep.
func onDesk(c words.Command) bool {
	return c.Act == nil && (c.Draw == nil || c.Then != nil || c.Form.File != nil) && !c.Bench && !c.Form.None && c.Verb.NewAsk != nil
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
	single := html.Noun{Name: "in one word", Help: "what belongs to no noun"}
	for _, c := range q.Commands {
		if onDesk(c) && !slices.ContainsFunc(q.Groups, func(g words.Group) bool { return strings.HasPrefix(c.Path, g.Name+" ") }) {
			single.Verbs = append(single.Verbs, html.Link{Path: pathOf(c), Text: c.Path, About: c.Help})
		}
	}
	if len(single.Verbs) > 0 {
		x.Nouns = append(x.Nouns, single)
	}
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

// formScreen shows the form of a verb. One that reads answers at once when its
// needed words are in the address.
func (q *request) formScreen() error {
	c, ok := q.command()
	if !ok {
		return &jobs.NotFoundError{Noun: "form", Value: strings.TrimPrefix(q.r.URL.Path, "/do/")}
	}
	query := q.r.URL.Query()
	given := map[string][]string{}
	for k, v := range query {
		given[k] = v
	}
	lacks := slices.ContainsFunc(workshop.Fields(c.Verb.NewAsk()), func(f workshop.Field) bool { return f.Word != "" && !f.Optional() && query.Get(f.Name()) == "" })
	bare := c.Then != nil && !slices.ContainsFunc(fieldsOf(c, c.Verb.NewAsk()), func(f workshop.Field) bool { return f.Flag != "" && query.Get(f.Flag) != "" })
	if c.Sent() || lacks || bare || query.Get("form") != "" {
		return q.form1(http.StatusOK, c, given, nil)
	}
	ask, filled, err := q.filled(c, query.Get)
	if err == nil {
		err = q.answer(c, ask)
	}
	if err != nil {
		return q.form1(statusOf(err), c, filled, err)
	}
	return nil
}

// form1 shows a form with what was filled in, and a refusal next to its field.
func (q *request) form1(code int, c words.Command, given map[string][]string, refused error) error {
	ask := c.Verb.NewAsk()
	x := html.Form{Seen: q.journal(), Title: c.Path, Help: c.Help, Path: pathOf(c), Form: q.form(pathOf(c)), Button: "keep"}
	if !c.Sent() {
		x.Button, x.Form = "show", ""
	}
	if c.Then != nil {
		x.Button = "go on"
	}
	if first := strings.Fields(c.Path); len(first) == 2 && c.Sent() {
		x.Button = first[1]
	}
	field, wrong := "", ""
	var ways []html.Link
	if refused != nil {
		wrong = refused.Error()
		if r, ok := jobs.RefusalOf(c.Verb.Not, refused); ok {
			wrong = strings.TrimPrefix(r.What+": ", ": ") + sentence(r.Why)
			for _, line := range r.Type {
				if l, ok := q.link(line); ok && !strings.HasPrefix(l.Path, x.Path) {
					ways = append(ways, l)
				}
			}
		}
		wrong = inLabels(c, ask, wrong)
		var fe *jobs.FieldError
		if errors.As(refused, &fe) {
			field = fe.Field
		}
	}
	found := false
	for _, f := range fieldsOf(c, ask) {
		in := control(f)
		in.Needed = in.Needed || slices.Contains(c.Form.Needs, f.Flag)
		in.Value = strings.Join(given[in.Name], "\n")
		in.Near = q.namesFor(c, f)
		if f.Switch() && in.Value != "" {
			in.Value = "true"
		}
		if field != "" && (f.Name() == field || strings.HasPrefix(field, f.Name()+" ")) {
			in.Wrong, found = wrong, true
		}
		x.Inputs = append(x.Inputs, in)
	}
	if !found {
		x.Wrong, x.Ways = wrong, ways
	}
	return q.show(code, html.Frame{Title: c.Path, Tab: "more", Screen: x})
}

// setupFirst are the settings that a new shop is asked for. The others have values
// that serve.
var setupFirst = strings.Fields("name currency zone country units labour overhead tax evening")

// inLabels is a refusal with a form's labels where the terminal has flags. A flag
// that the form does not have is left out.
func inLabels(c words.Command, ask workshop.Ask, text string) string {
	here := fieldsOf(c, ask)
	for _, f := range workshop.Fields(ask) {
		if f.Flag == "" {
			continue
		}
		label := ""
		if slices.ContainsFunc(here, func(h workshop.Field) bool { return h.Flag == f.Flag }) {
			label, _, _ = strings.Cut(f.Help, ",")
		}
		flag := regexp.MustCompile(`( or)?( |^)--` + regexp.QuoteMeta(f.Flag) + `\b`)
		text = flag.ReplaceAllStringFunc(text, func(m string) string {
			if label == "" {
				return ""
			}
			return strings.Replace(m, "--"+f.Flag, label, 1)
		})
	}
	return text
}

// control makes the control of a field: its words first, its flags behind "more"
// but for the first six.
func control(f workshop.Field) html.Control {
	in := html.Control{Name: f.Name(), Label: cmp.Or(f.Help, strings.ToLower(f.Name())), Kind: "text", Unit: f.Unit, Needed: f.Word != "" && !f.Optional()}
	if f.Word != "" && f.Help == "" {
		in.Label = strings.ToLower(strings.Trim(f.Word, "[]."))
	}
	if f.Key != "" {
		in.Label = f.Key + ": " + in.Label
	}
	t := f.Type
	if t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	switch {
	case f.Switch():
		in.Kind = "check"
	case len(f.Of) > 0:
		in.Choices = f.Of
	case t == reflect.TypeFor[jobs.Day]():
		in.Kind = "date"
	case t == reflect.TypeFor[money.Amount](), t.Kind() == reflect.Int, t.Kind() == reflect.Int64, t.Kind() == reflect.Uint64, t.Kind() == reflect.Float64 && f.Unit != "mm":
		in.Kind = "number"
	case f.Key != "" && f.Key != "evening": // one line
	case t == reflect.TypeFor[workshop.Document](), t.Kind() == reflect.Slice && f.Read == "", t.Kind() == reflect.Map:
		in.Kind = "area"
		if t.Kind() != reflect.Struct {
			in.Label += " (one a line)"
		}
	}
	if f.Arg == "FILE" && f.Flag != "photo" {
		in.Kind, in.Label = "area", f.Help+" (its text)"
	}
	if f.Word == "FILE" {
		in.Kind, in.Label = "area", "the list (its text)"
	}
	in.More = f.Key != "" && !slices.Contains(setupFirst, f.Key) || f.Flag != "" && f.Word == "" && (f.Flag == "at" || f.Flag == "anyway" || f.Flag == "seed" || f.Flag == "draws" || f.Flag == "note" || f.Flag == "by")
	return in
}

// fieldsOf are the fields that a form has: none that the command says itself, that
// names a file to write, or a drawing that goes with one.
func fieldsOf(c words.Command, ask workshop.Ask) []workshop.Field {
	return slices.DeleteFunc(slices.Clone(workshop.Fields(ask)), func(f workshop.Field) bool {
		return f.Flag != "" && (slices.Contains(c.Without, f.Flag) || slices.Contains(c.Form.Without, f.Flag)) || c.Draw != nil && (f.Flag == "out" || f.Flag == "force" || f.Arg == "FILE")
	})
}

// filled is the Ask of a verb with what a form or an address holds, read by the
// parsers of the typed words, and what that was.
func (q *request) filled(c words.Command, get func(string) string) (workshop.Ask, map[string][]string, error) {
	ask := c.Verb.NewAsk()
	given := words.Given{Flags: map[string][]string{}}
	texts := map[string]string{}
	filled := map[string][]string{}
	for _, f := range fieldsOf(c, ask) {
		in := control(f)
		v := strings.TrimSpace(strings.ReplaceAll(get(in.Name), "\r\n", "\n"))
		if v == "" && f.Flag != "" && slices.Contains(c.Form.Needs, f.Flag) {
			return nil, filled, &jobs.FieldError{Field: f.Name(), Want: f.Help}
		}
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
			given.Words = append(given.Words, list...)
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
	if err == nil && c.Before != nil {
		err = c.Before(&words.Env{}, q.shop, ask)
	}
	return ask, filled, err
}

// formTap runs a verb from its form and answers with the view of what came out.
func (q *request) formTap() error {
	c, ok := q.command()
	if !ok {
		return &jobs.NotFoundError{Noun: "form", Value: strings.TrimPrefix(q.r.URL.Path, "/do/")}
	}
	ask, filled, err := q.filled(c, q.r.PostFormValue)
	if seen, bad := q.number("seen"); bad == nil && seen != nil && err == nil {
		workshop.AskedOf(ask).Seen = *seen
	}
	if err == nil {
		err = q.answer(c, ask)
	}
	if err != nil {
		return q.form1(statusOf(err), c, filled, err)
	}
	return nil
}

// statusOf is the status of a form that was refused.
func statusOf(err error) int {
	if errors.Is(err, jobs.ErrConflict) {
		return http.StatusConflict
	}
	return http.StatusUnprocessableEntity
}

func (q *request) devicesScreen() error {
	var x html.Devices
	for _, d := range q.keys().Devices {
		x.Devices = append(x.Devices, html.Device{Name: d.Name, Kind: string(d.Kind), Seen: cmp.Or(string(d.Seen), "never")})
	}
	return q.show(http.StatusOK, html.Frame{Title: "devices", Tab: "more", Screen: x})
}
