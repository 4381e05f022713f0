package reports

import (
	"bookmatch/costing/money"
	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
)

// Of begins the report of a result: the shop's currency, zone and paper, and
// when the figures were made.
func Of(r workshop.Result, name, title string) Report {
	m := workshop.MetaOf(r)
	return Report{Name: name, Title: title, Currency: money.Currency(m.Currency), Zone: m.Location(), Paper: Paper(m.Paper), Made: m.Made, Shop: m.ShopName, Font: m.Font}
}

// View makes a view of one result type fit for every result. A result of another
// type is a fault of the program and panics.
func View[R workshop.Result](f func(R) Report) func(workshop.Result) Report {
	return func(r workshop.Result) Report {
		out := f(r.(R))
		if workshop.MetaOf(r).Units == jobs.Inches {
			out.own, out.inches = OwnWords(r), planTexts(r)
		}
		return out
	}
}
