package page

import (
	"bookmatch/cmd/words"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"
	"bookmatch/reports/html"
	"cmp"
	"slices"
	"strings"
)

// echo is what a change said, for the screens that show it.
type echo struct {
	change uint64
	text   string
}

// echoed keeps what a change said, as the terminal would say it, with its warnings and
// without what would be typed next.
func (s *Server) echoed(v workshop.Verb, res workshop.Result) {
	i := slices.IndexFunc(s.Commands, func(c words.Command) bool { return c.Verb.Name == v.Name && c.View != nil })
	m := workshop.MetaOf(res)
	if i < 0 || m.Change == 0 {
		return
	}
	r := s.Commands[i].View(res).At(reports.First).In(m.Units)
	var said []string
	for _, line := range r.Headline {
		line, _, _ = strings.Cut(line, " Type: ")
		if !strings.Contains(line, "Type: ") && !strings.HasSuffix(line, "?") && !strings.HasPrefix(line, "Next: ") {
			said = append(said, line)
		}
	}
	for _, w := range m.Warnings {
		said = append(said, w.Text)
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.echo = echo{m.Change, strings.Join(said, " ")}
}

// said gives the newest change and its number.
func (q *request) said() (*html.Said, uint64) {
	last := 1
	res, err := q.shop.Do(workshop.DataHistory, &workshop.DataHistoryAsk{Last: &last})
	if err != nil {
		return &html.Said{Text: "no shop yet"}, 0
	}
	changes := res.(*workshop.HistoryResult).Changes
	if len(changes) == 0 {
		return &html.Said{}, 0
	}
	c := changes[0]
	zone := workshop.MetaOf(res).Location()
	q.zone = zone
	words, _, _ := strings.Cut(workshop.WordsOf(c.Verb, c.Ask), " --")
	x := &html.Said{At: c.At.In(zone).Format("15:04"), Text: words, Change: c.Seq}
	q.mu.Lock()
	if q.echo.change == c.Seq && !c.Undone {
		x.Text = strings.TrimPrefix(q.echo.text, x.At+" ")
	}
	q.mu.Unlock()
	if by := cmp.Or(c.By, "terminal"); by != q.device.Name {
		x.Text += " (" + by + ")"
	}
	if c.Undone {
		x.Text += ", taken back"
	} else {
		x.Form = q.form("/oops")
	}
	switch {
	case q.device.Kind == Desk || benchVerb(c.Verb):
	case c.By == q.device.Name: // its own, without money
		x.Text = words
	default:
		x.Text, x.Form = "a change at the desk", ""
	}
	return x, c.Seq
}

// benchVerb says that the words of a change hold no money and no customer.
func benchVerb(verb string) bool {
	return slices.Contains(strings.Fields("on off done away back go oops spent"), verb) || slices.Contains([]string{"neck note", "bit test", "bit move", "entry amend"}, verb)
}
