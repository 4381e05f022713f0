package reports

import (
	"fmt"

	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
)

// Found lists where a text was found, one line a hit, with the command that shows
// it.
func Found(r *workshop.FindResult) Report {
	out := Of(r, "find", fmt.Sprintf("%q", r.Text))
	if len(r.Hits) == 0 {
		out.Headline = []string{fmt.Sprintf("%q is in no note, title, customer, reason or quote.", r.Text)}
		return out
	}
	out.Headline = []string{fmt.Sprintf("%q: %s.", r.Text, jobs.CountText(len(r.Hits), "hit"))}
	type h = workshop.Hit
	out.Add(Build(Table{Name: "hits"}, r.Hits, []Col[h]{
		{Column{Key: "what", Header: "what"}, func(x h) Cell { return Text(x.What) }},
		{Column{Key: "code", Header: "code", SheetOnly: true}, func(x h) Cell { return Text(x.Code) }},
		{Column{Key: "neck", Header: "neck"}, func(x h) Cell { return Text(x.Neck) }},
		{Column{Key: "text", Header: "text", Max: 34}, func(x h) Cell { return Text(x.Text) }},
		{Column{Key: "type", Header: "type this to see it"}, func(x h) Cell { return Text(x.Type) }},
	}))
	return out
}
