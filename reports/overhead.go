package reports

import (
	"fmt"

	"bookmatch/costing/money"
	"bookmatch/jobs/workshop"
)

// Overhead is what a logged hour has to carry of the yearly costs.
func Overhead(r *workshop.OverheadResult) Report {
	cur := money.Currency(r.Currency)
	out := Report{Name: "overhead", Title: "Overhead", Currency: cur, Made: r.Made}
	type row struct {
		by    string
		hours Cell
		per   Cell
	}
	logged, planned := NotRecorded(), NotRecorded()
	if r.Rate.Known {
		logged = Money(r.Rate.PerHour)
		out.Headline = []string{fmt.Sprintf("Each logged hour has to carry %s %s of the %s a year.", cur, cur.Print(r.Rate.PerHour), cur.Print(r.Rate.Yearly))}
	} else {
		out.Headline = []string{fmt.Sprintf("%s %s a year, and too few hours logged to divide by.", cur, cur.Print(r.Rate.Yearly))}
	}
	if r.Rate.PlannedHours.Sign() > 0 {
		planned = Money(r.Rate.PlannedPerHour)
	}
	rows := []row{
		{"hours logged in the last year", HoursOf(r.Rate.LoggedHours.InexactFloat64()), logged},
		{"hours you believe a year has", HoursOf(r.Rate.PlannedHours.InexactFloat64()), planned},
		{"what cost sheets use (shop set overhead)", Empty(), Money(r.UsedPerH)},
	}
	out.Add(Build(Table{Name: "rate"}, rows, []Col[row]{
		{Column{Key: "by", Header: "divided by", Max: 40}, func(x row) Cell { return Text(x.by) }},
		{Column{Key: "hours", Header: "hours", Kind: KindHours}, func(x row) Cell { return x.hours }},
		{Column{Key: "per_h", Header: "an hour", Unit: r.Currency, Kind: KindMoney}, func(x row) Cell { return x.per }},
	}))
	if r.Rate.Known && r.Rate.Missing.Sign() > 0 {
		out.Notes = append(out.Notes, fmt.Sprintf("Dividing by hours that are not worked leaves %s of a %s h job uncovered.", cur.Print(r.Rate.Missing), r.Rate.JobHours))
	}
	out.Notes = append(out.Notes, r.Rate.Warnings...)
	if r.Rate.Known && r.Rate.PerHour.Cmp(r.UsedPerH) != 0 {
		out.Next = []string{"shop set overhead " + cur.Print(r.Rate.PerHour)}
	} else if r.Rate.Yearly.IsZero() {
		out.Next = []string{"shop set yearly-overhead 2400"}
	}
	return out
}
