package reports

import (
	"fmt"
	"strings"

	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
)

// NeckList is one line a neck.
func NeckList(r *workshop.NeckListResult) Report {
	out := Of(r, "necks", "Necks")
	type n = workshop.NeckRow
	count := map[jobs.Status]int{}
	for _, x := range r.Necks {
		count[x.Status]++
	}
	var words []string
	for _, s := range []jobs.Status{jobs.Open, jobs.Held, jobs.Finished, jobs.Scrapped} {
		if count[s] > 0 {
			words = append(words, fmt.Sprintf("%d %s", count[s], statusWord(s)))
		}
	}
	out.Headline = []string{"There is no open neck."}
	out.Next = []string{"neck add N1 --nickname wren"}
	if len(words) > 0 {
		out.Headline = []string{strings.Join(words, ", ") + "."}
		out.Next = []string{"neck show " + r.Necks[0].Name()}
	}
	if r.Closed > 0 {
		out.Next = append(out.Next, "neck list --all")
	}
	if len(r.Necks) == 0 {
		return out
	}
	out.Add(Build(Table{Name: "necks"}, r.Necks, []Col[n]{
		{Column{Key: "neck", Header: "neck"}, func(x n) Cell { return Text(x.Neck) }},
		{Column{Key: "nickname", Header: "name"}, func(x n) Cell { return Text(x.Nickname) }},
		{Column{Key: "title", Header: "title", Max: 24}, func(x n) Cell { return Text(x.Title) }},
		{Column{Key: "status", Header: "status"}, func(x n) Cell { return Text(statusWord(x.Status)) }},
		{Column{Key: "steps", Header: "steps"}, func(x n) Cell {
			if x.IsClosed() {
				return Text(fmt.Sprint(x.Steps))
			}
			return Text(fmt.Sprintf("%d/%d", x.Done, x.Steps))
		}},
		{Column{Key: "next", Header: "next", Max: 22}, func(x n) Cell {
			switch {
			case x.ReadyAt != nil:
				return Text(x.Next + " from " + when0(*x.ReadyAt, r.Made))
			case x.State == jobs.On:
				return Text(x.Next + " (running)")
			}
			return Text(x.Next)
		}},
		{Column{Key: "due", Header: "promised", Kind: KindDate}, func(x n) Cell { return dayOrNone(x.Due) }},
	}))
	return out
}
