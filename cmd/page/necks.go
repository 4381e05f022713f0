package page

import (
	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"
	"bookmatch/reports/html"
	"cmp"
	"net/http"
	"slices"
	"strings"
	"time"
)

func (q *request) necksScreen() error {
	list, err := do[*workshop.NeckListResult](q, workshop.NeckList, &workshop.NeckListAsk{})
	if err != nil {
		return q.noShop(err)
	}
	return q.listNecks(list)
}

// necksOf lists the necks of a batch, also those that are finished.
func (q *request) necksOf(codes []string) error {
	list, err := do[*workshop.NeckListResult](q, workshop.NeckList, &workshop.NeckListAsk{All: true})
	if err != nil {
		return q.noShop(err)
	}
	for _, c := range codes {
		if !slices.ContainsFunc(list.Necks, func(n workshop.NeckRow) bool { return strings.EqualFold(n.Neck, c) || n.Name() == strings.ToLower(c) }) {
			return &jobs.NotFoundError{Noun: "neck", Value: c}
		}
	}
	list.Necks = slices.DeleteFunc(list.Necks, func(n workshop.NeckRow) bool {
		return !slices.ContainsFunc(codes, func(c string) bool { return strings.EqualFold(n.Neck, c) || n.Name() == strings.ToLower(c) })
	})
	return q.listNecks(list)
}

func (q *request) listNecks(list *workshop.NeckListResult) error {
	var x html.Necks
	rank := func(n workshop.NeckRow) int {
		if n.State == jobs.Ready || n.State == jobs.On {
			return 0
		}
		return 1
	}
	slices.SortStableFunc(list.Necks, func(a, b workshop.NeckRow) int {
		return cmp.Or(rank(a)-rank(b), strings.Compare(string(cmp.Or(a.Due, "9999")), string(cmp.Or(b.Due, "9999"))))
	})
	for _, n := range list.Necks {
		l := html.NeckLine{Code: n.Neck, Name: n.Name(), Next: n.Next, State: string(n.State), Due: shortDay(n.Due, list.Made)}
		switch n.Status {
		case jobs.Open:
		case jobs.Held:
			l.State = "on hold"
		default:
			l.State = string(n.Status)
		}
		if n.ReadyAt != nil && n.ReadyAt.After(list.Made) {
			l.State = "waits until " + clockOf(*n.ReadyAt, list.Made)
		}
		if show, err := do[*workshop.NeckShowResult](q, workshop.NeckShow, &workshop.NeckShowAsk{Neck: n.Neck, Undated: true}); err == nil {
			l.Strip = reports.StripOf(show)
		}
		x.Necks = append(x.Necks, l)
	}
	if len(x.Necks) == 0 {
		x.Empty = "No neck on the bench."
	}
	return q.show(http.StatusOK, html.Frame{Title: "necks", Tab: "necks", Screen: x})
}

// shortDay gives "15 Mar", with the year where it is not this year.
func shortDay(d jobs.Day, now time.Time) string {
	if d == "" {
		return ""
	}
	t := d.Noon()
	if t.Year() != now.Year() {
		return t.Format("2 Jan 2006")
	}
	return t.Format("2 Jan")
}

// layoutsScreen leads to the layout of each open neck.
func (q *request) layoutsScreen() error {
	list, err := do[*workshop.NeckListResult](q, workshop.NeckList, &workshop.NeckListAsk{})
	if err != nil {
		return q.noShop(err)
	}
	body, err := html.Report(reports.Report{Title: "layouts", Headline: []string{"Post positions, checks and template of a neck."}})
	if err != nil {
		return err
	}
	x := html.Page{Report: body, Back: "/more"}
	for _, n := range list.Necks {
		text := n.Name()
		if show, err := do[*workshop.NeckShowResult](q, workshop.NeckShow, &workshop.NeckShowAsk{Neck: n.Neck, Undated: true}); err == nil && show.Layout != nil {
			text = strings.Join(nonempty(text+": "+show.Layout.Code, planState(show.Layout)), ", ")
		}
		x.Links = append(x.Links, html.Link{Path: layoutPath(n.Name()), Text: text})
	}
	return q.show(http.StatusOK, html.Frame{Title: "layouts", Tab: "more", Screen: x})
}
