package page

import (
	"bookmatch/cmd/words"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"
	"bookmatch/reports/html"
	"bookmatch/reports/paper"
	"bookmatch/reports/workbook"
	"bytes"
	"fmt"
	"net/http"
	"slices"
	"strings"
)

// answer runs a verb and shows the view of its result.
func (q *request) answer(c words.Command, ask workshop.Ask) error {
	a := workshop.AskedOf(ask)
	if c.Sent() {
		a.By, a.Token = q.device.Name, q.nonce
	}
	res, err := q.shop.Do(c.Verb, ask)
	if err != nil {
		return err
	}
	if c.Then != nil {
		then, given := c.Then(res)
		if i := slices.IndexFunc(q.Commands, func(c words.Command) bool { return c.Path == then }); i >= 0 {
			return q.form1(http.StatusOK, q.Commands[i], given, nil)
		}
	}
	r := reports.Report{Title: c.Path, Headline: []string{"Done: " + c.Path + "."}}
	if c.View != nil {
		r = c.View(res).At(reports.Full)
		if c.Sent() {
			r = c.View(res).At(reports.First)
		}
	}
	as := q.r.URL.Query().Get("as")
	if c.Paper || c.Out && as == "pdf" {
		return q.paper(r.In(workshop.MetaOf(res).Units))
	}
	if c.Out && as == "xlsx" {
		return q.workbook(r)
	}
	if c.Form.File != nil && as == "file" {
		var b bytes.Buffer
		if err := c.Form.File(&b, res); err != nil {
			return err
		}
		return q.file(c.Form.Kind, "attachment", strings.ReplaceAll(c.Path, " ", "-")+c.Form.Ending, b.Bytes())
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
	switch {
	case c.Form.File != nil:
		x.Links = append(x.Links, html.Link{Path: q.with("as", "file"), Text: "as a file (" + c.Form.Ending + ")"})
	case c.Sent():
		x.Links = append(x.Links, html.Link{Path: pathOf(c), Text: "another"}, html.Link{Path: "/now", Text: "now"})
		defer q.shop.Copy()
	case c.Out:
		x.Links = append(x.Links, html.Link{Path: q.with("as", "pdf"), Text: "on paper"}, html.Link{Path: q.with("as", "xlsx"), Text: "as a workbook"}, html.Link{Path: q.with("form", "1"), Text: "other choices"})
	default:
		x.Links = append(x.Links, html.Link{Path: q.with("form", "1"), Text: "other choices"})
	}
	return q.show(http.StatusOK, html.Frame{Title: c.Path, Tab: "more", Screen: x})
}

// with is the address of this screen with one thing more.
func (q *request) with(name, value string) string {
	query := q.r.URL.Query()
	query.Set(name, value)
	return q.r.URL.Path + "?" + query.Encode()
}

// paper answers with a report as PDF.
func (q *request) paper(r reports.Report) error {
	var b bytes.Buffer
	if _, _, err := paper.WriteReport(&b, r); err != nil {
		return err
	}
	return q.file("application/pdf", "inline", r.Name+".pdf", b.Bytes())
}

// workbook answers with a report as a workbook.
func (q *request) workbook(r reports.Report) error {
	var b bytes.Buffer
	if err := workbook.Write(&b, r); err != nil {
		return err
	}
	return q.file("application/vnd.openxmlformats-officedocument.spreadsheetml.sheet", "attachment", r.Name+".xlsx", b.Bytes())
}

// file answers with a file that the browser shows or keeps.
func (q *request) file(kind, how, name string, body []byte) error {
	q.w.Header().Set("Content-Type", kind)
	q.w.Header().Set("Content-Disposition", fmt.Sprintf("%s; filename=%q", how, name))
	_, err := q.w.Write(body)
	return err
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
