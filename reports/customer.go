package reports

import (
	"cmp"
	"fmt"

	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
)

// CustomerChanged is the echo of an address.
func CustomerChanged(r *workshop.CustomerResult) Report {
	return Report{Name: "customer", Headline: []string{fmt.Sprintf("CHANGED %s: %s.", r.Name, cmp.Or(r.Address, "no address"))}}
}

// CustomerList lists the customers of necks and quotes.
func CustomerList(r *workshop.CustomerListResult) Report {
	out := Of(r, "customers", "Customers")
	without := 0
	for _, c := range r.Customers {
		if c.Address == "" {
			without++
		}
	}
	out.Headline = []string{fmt.Sprintf("%s, %d without an address.", jobs.CountText(len(r.Customers), "customer"), without)}
	if len(r.Customers) == 0 {
		out.Headline = []string{"No neck and no quote is for a customer."}
		return out
	}
	type c = workshop.CustomerRow
	out.Add(Build(Table{Name: "customers"}, r.Customers, []Col[c]{
		{Column{Key: "customer", Header: "customer", Max: 24, Width: 30}, func(x c) Cell { return Text(x.Name) }},
		{Column{Key: "necks", Header: "necks", Kind: KindCount}, func(x c) Cell { return Count(x.Necks) }},
		{Column{Key: "quotes", Header: "quotes", Kind: KindCount}, func(x c) Cell { return Count(x.Quotes) }},
		{Column{Key: "address", Header: "address", Max: 36, Width: 50}, func(x c) Cell { return Text(x.Address) }},
		{Column{Key: "contact", Header: "contact", Max: 24, Width: 30}, func(x c) Cell { return Text(x.Contact) }},
	}))
	return out
}
