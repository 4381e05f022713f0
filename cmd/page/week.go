package page

import (
	"fmt"
	"net/http"
	"strconv"
	"strings"
	"time"

	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"
	"bookmatch/reports/html"
)

// amendReasons are the reasons for amending an entry that a tap gives.
var amendReasons = []string{"read off the wall clock", "counted again", "typed wrongly"}

// weekScreen shows the seven evenings of a week, and the log of one of them.
func (q *request) weekScreen() error {
	now, err := do[*workshop.NowResult](q, workshop.Now, &workshop.NowAsk{})
	if err != nil {
		return q.noShop(err)
	}
	list, err := do[*workshop.NeckListResult](q, workshop.NeckList, &workshop.NeckListAsk{})
	if err != nil {
		return err
	}
	coming, err := do[*workshop.ShoppingResult](q, workshop.Shopping, &workshop.ShoppingAsk{})
	if err != nil {
		return err
	}
	today := jobs.DayOf(now.Made.In(now.Location()))
	opened := jobs.Day(q.r.URL.Query().Get("evening"))
	shown := today
	if opened != "" {
		if d, err := jobs.ParseDay("evening", string(opened)); err != nil || d != opened {
			return &jobs.NotFoundError{Noun: "evening", Value: string(opened)}
		}
		shown = opened
	}
	first := shown.Add(-(int(shown.Noon().Weekday()) + 6) % 7)
	x := html.Week{Before: weekPath(first.Add(-7)), After: weekPath(first.Add(7))}
	for i := range 7 {
		day := first.Add(i)
		d := q.weekDay(now, day, day == opened)
		d.Flags = append(d.Flags, weekFlags(now, list.Necks, coming, day)...)
		x.Days = append(x.Days, d)
	}
	return q.show(http.StatusOK, html.Frame{Title: "week", Tab: "more", Screen: x})
}

// weekDay draws an evening of the week, with its log where it is open.
func (q *request) weekDay(now *workshop.NowResult, day jobs.Day, open bool) html.WeekDay {
	zone := now.Location()
	today := jobs.DayOf(now.Made.In(zone))
	d := html.WeekDay{Day: day.Noon().Format("Mon 2 Jan"), Today: day == today, Path: weekPath(day)}
	show, err := do[*workshop.EveningResult](q, workshop.EveningShow, &workshop.EveningAsk{Evening: day})
	if err != nil {
		return d
	}
	y, m, dd := day.Noon().Date()
	from := time.Date(y, m, dd, 17, 0, 0, 0, zone)
	until := from.Add(6 * time.Hour)
	for _, e := range show.Entries {
		if e.Spent {
			continue
		}
		if e.From.Before(from) {
			from = e.From.In(zone)
		}
		if e.To != nil && e.To.After(until) {
			until = e.To.In(zone)
		}
	}
	rule := ruleOf(show.Entries, from, until, now.Made.In(zone))
	if day != today {
		rule.Now = -1
	}
	for _, c := range now.Cures {
		if c.Since.Before(until) && c.Until.After(from) {
			rule.Cures = append(rule.Cures, reports.EveningSpan{From: c.Since.Sub(from).Minutes(), To: c.Until.Sub(from).Minutes(), Word: c.Name})
		}
	}
	d.Rule = rule
	if n := len(show.Entries); n > 0 {
		d.Text = fmt.Sprintf("%d entries", n)
		if n == 1 {
			d.Text = "1 entry"
		}
	} else if show.Planned != "" {
		_, hours, _ := strings.Cut(show.Planned, " ")
		d.Text = "planned " + hours
	}
	if open {
		d.Open, d.Log = true, q.log(show)
	}
	return d
}

// weekFlags are what a day holds besides its evening: cures that go on or end, necks
// that are due, and deliveries that are expected.
func weekFlags(now *workshop.NowResult, necks []workshop.NeckRow, coming *workshop.ShoppingResult, day jobs.Day) (out []string) {
	for _, c := range now.Cures {
		switch from, until := jobs.DayOf(c.Since), jobs.DayOf(c.Until); {
		case until == day:
			out = append(out, fmt.Sprintf("%s %s cured %s", c.Operation, c.Name, c.Until.Format("15:04")))
		case from <= day && day < until:
			out = append(out, fmt.Sprintf("%s %s cures until %s", c.Operation, c.Name, c.Until.Format("Mon 15:04")))
		}
	}
	for _, n := range necks {
		if n.Due == day {
			out = append(out, n.Name()+" is due")
		}
	}
	for _, it := range coming.Items {
		if it.Arrives == day {
			out = append(out, strings.Join(nonempty("delivery:", it.What, forWhom(it.For)), " "))
		}
	}
	return out
}

func weekPath(day jobs.Day) string { return "/week?evening=" + string(day) }

// log gives the entries of an evening with what can be amended about them.
func (q *request) log(show *workshop.EveningResult) (out []html.Logged) {
	for _, e := range show.Entries {
		l := html.Logged{ID: e.ID, Operation: e.Operation, Names: namesOf(e.Necks), From: e.From.Format("15:04"), Evening: string(show.Evening), Seen: show.Change, Count: countsOf(e.Necks), Note: e.Note}
		l.About = strings.Join(nonempty(whole(e.ElapsedMin)+" min", e.Bit, e.Note), ", ")
		if q.device.Kind == Desk {
			l.Desk = fmt.Sprintf("/do/entry/amend?id=%d", e.ID)
		}
		switch {
		case e.Spent:
			l.From = "no clock"
		case e.To == nil:
			l.From = "since " + l.From
		default:
			l.To = e.To.Format("15:04")
			l.Form, l.Reasons = q.form(fmt.Sprintf("/entry/%d", e.ID)), amendReasons
		}
		out = append(out, l)
	}
	return out
}

// countsOf gives the counts of an entry as they are typed: "6", or "ada 6, bo 8".
func countsOf(necks []workshop.EntryNeck) string {
	if len(necks) == 1 {
		return jobs.NumberText(necks[0].Count)
	}
	var out []string
	for _, n := range necks {
		out = append(out, n.Name+" "+jobs.NumberText(n.Count))
	}
	return strings.Join(out, ", ")
}

// amendTap corrects an entry of the week: what the form leaves as it was is not
// touched.
func (q *request) amendTap() error {
	id, err := strconv.ParseUint(q.r.PathValue("id"), 10, 64)
	if err != nil {
		return &jobs.NotFoundError{Noun: "entry", Value: q.r.PathValue("id")}
	}
	seen, err := q.number("seen")
	if err != nil {
		return err
	}
	evening := jobs.Day(q.value("evening"))
	show, err := do[*workshop.EveningResult](q, workshop.EveningShow, &workshop.EveningAsk{Evening: evening})
	if err != nil {
		return err
	}
	ask := &workshop.EntryAmendAsk{ID: id}
	ask.Why = q.value("why")
	if seen != nil {
		ask.Seen = *seen
	}
	ask.From, ask.To, ask.Count = q.value("from"), q.value("to"), q.value("count")
	note := strings.Join(strings.Fields(q.value("note")), " ")
	for _, l := range q.log(show) {
		if l.ID != id {
			continue
		}
		ask.From, ask.To, ask.Count = unless(ask.From, l.From), unless(ask.To, l.To), unless(ask.Count, l.Count)
		if note != l.Note {
			if note == "" {
				note = "-"
			}
			ask.Note = &note
		}
	}
	return q.change(workshop.EntryAmend, ask, weekPath(evening))
}

// unless gives a value that is not what it was.
func unless(is, was string) string {
	if is == was {
		return ""
	}
	return is
}
