package main

import (
	"fmt"
	"strings"

	"bookmatch/costing/money"
	"bookmatch/costing/quote"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"

	"github.com/urfave/cli/v2"
)

func overheadCommand(e *env) *cli.Command {
	return &cli.Command{
		Name: "overhead", Usage: "what the shop costs a year, and what a logged hour has to carry of it",
		Subcommands: []*cli.Command{
			{Name: "add", Usage: "a yearly cost, or a machine that wears out", ArgsUsage: "NAME --yearly AMOUNT | --price P --life YEARS", Action: e.overheadAdd, Flags: []cli.Flag{
				&cli.StringFlag{Name: "yearly", Usage: "`AMOUNT` a year"}, &cli.StringFlag{Name: "price", Usage: "`PRICE` of a machine"}, &cli.IntFlag{Name: "life", Usage: "`YEARS` it lasts"},
				&cli.StringFlag{Name: "residual", Usage: "what it will still be worth then"}, &cli.StringFlag{Name: "note", Usage: "a remark"}}},
			{Name: "drop", Usage: "take one away", ArgsUsage: "NAME", Action: e.overheadDrop},
			{Name: "show", Usage: "the sum, by logged hours and by planned hours", Action: e.overheadShow, Flags: []cli.Flag{
				&cli.StringFlag{Name: "job", Usage: "`HOURS` of a job on which the difference is shown", Value: "40"}}},
		},
	}
}

func (e *env) overheadAdd(c *cli.Context) error {
	w, err := typedWords(c, 1, 1)
	if err != nil {
		return err
	}
	return e.deskWord(c, func(b *desk) error {
		o := jobs.OverheadItem{Name: w[0], LifeYears: c.Int("life"), Note: c.String("note")}
		for _, f := range []struct {
			flag string
			to   *money.Amount
		}{{"yearly", &o.Yearly}, {"price", &o.Price}, {"residual", &o.Residual}} {
			if c.IsSet(f.flag) {
				if *f.to, err = jobs.ParseAmount(f.flag, c.String(f.flag)); err != nil {
					return err
				}
			}
		}
		if o.Yearly.IsZero() && o.Price.IsZero() {
			return usagef("overhead add rent --yearly 1200, or overhead add sander --price 1800 --life 12", "overhead %s: what does it cost?", o.Name)
		}
		if err := o.Validate(); err != nil {
			return err
		}
		if _, ok, err := store.Get(b.Tx, store.Overheads, o.Name); err != nil || ok {
			if ok {
				err = &jobs.ConflictError{What: fmt.Sprintf("there is an overhead %q already", o.Name), How: "drop it first: overhead drop " + o.Name}
			}
			return err
		}
		b.Data = o
		b.Say("%s: %s a year", o.Name, b.Shop.Currency.Print(o.PerYear()))
		return store.Put(b.Tx, store.Overheads, o)
	})
}

func (e *env) overheadDrop(c *cli.Context) error {
	w, err := typedWords(c, 1, 1)
	if err != nil {
		return err
	}
	return e.deskWord(c, func(b *desk) error {
		all, err := store.All(b.Tx, store.Overheads)
		if err != nil {
			return err
		}
		var names []string
		for _, o := range all {
			if o.Name == w[0] {
				b.Data = o
				b.Say("%s dropped: %s a year", o.Name, b.Shop.Currency.Print(o.PerYear()))
				return store.Delete(b.Tx, store.Overheads, o)
			}
			names = append(names, o.Name)
		}
		return &jobs.NotFoundError{Noun: "overhead", Value: w[0], Near: jobs.Nearest(w[0], names)}
	})
}

func (e *env) overheadShow(c *cli.Context) error {
	if _, err := typedWords(c, 0, 0); err != nil {
		return err
	}
	job, err := jobs.ParseNumber("job", c.String("job"), 0.1, 10000)
	if err != nil {
		return err
	}
	var b *desk
	var rate quote.OverheadRate
	var items []jobs.OverheadItem
	err = e.view(c, func(tx *workshop.Book) error {
		if b, err = deskBench(tx); err != nil {
			return err
		}
		rate, items, err = tx.OverheadRate(job)
		return err
	})
	if err != nil {
		return err
	}
	cur := b.Shop.Currency
	if wantJSON(c) {
		type item struct {
			Name  string       `json:"name"`
			Year  money.Amount `json:"per_year"`
			Wear  bool         `json:"wear"`
			Notes string       `json:"note,omitempty"`
		}
		rows := []item{}
		for _, o := range items {
			rows = append(rows, item{o.Name, cur.Line(o.PerYear()), o.IsWear(), o.Note})
		}
		rate.Yearly, rate.Wear, rate.Missing = cur.Line(rate.Yearly), cur.Line(rate.Wear), cur.Line(rate.Missing)
		rate.PerHour, rate.PlannedPerHour = cur.Line(rate.PerHour), cur.Line(rate.PlannedPerHour)
		return e.PrintJSON(map[string]any{"items": rows, "rate": rate, "used_per_h": cur.Line(b.Shop.Overhead), "currency": cur})
	}
	return e.print(overheadReport(b.Shop, rate, items))
}

func overheadReport(shop jobs.Shop, rate quote.OverheadRate, items []jobs.OverheadItem) reports.Report {
	cur := string(shop.Currency)
	year := reports.Table{Name: "overhead", Title: "A year of the shop", Empty: "nothing yet: overhead add rent --yearly 1200", Columns: []reports.Column{
		{Key: "name", Header: "what", Max: 30}, {Key: "per_year", Header: "a year", Unit: cur, Kind: reports.KindMoney, Sum: true}, {Key: "how", Header: "how", Max: 34}}}
	for _, o := range items {
		how := o.Note
		if o.IsWear() {
			how = strings.TrimSpace(fmt.Sprintf("wear: %s less %s over %d years %s", shop.Currency.Print(o.Price), shop.Currency.Print(o.Residual), o.LifeYears, o.Note))
		}
		year.Add(reports.Text(o.Name), reports.Money(o.PerYear()), reports.Text(how))
	}
	per := reports.Table{Name: "rate", Title: "What an hour has to carry", Columns: []reports.Column{
		{Key: "by", Header: "divided by", Max: 34}, {Key: "hours", Header: "hours", Kind: reports.KindHours}, {Key: "per_h", Header: "per hour", Unit: cur, Kind: reports.KindMoney}}}
	logged := reports.NotRecorded()
	if rate.Known {
		logged = reports.Money(rate.PerHour)
	}
	per.Add(reports.Text("hours logged in the last year"), reports.Hours(rate.Logged), logged)
	planned := reports.NotRecorded()
	if rate.PlannedHours.Sign() > 0 {
		planned = reports.Money(rate.PlannedPerHour)
	}
	per.Add(reports.Text("hours you believe a year has"), reports.HoursOf(rate.PlannedHours.InexactFloat64()), planned)
	per.Add(reports.Text("what the cost sheets use (shop setting overhead)"), reports.Empty(), reports.Money(shop.Overhead))
	if rate.Known && rate.Missing.Sign() > 0 {
		per.Note("dividing by hours that are not worked leaves %s of a %s h job uncovered", shop.Currency.Print(rate.Missing), rate.JobHours)
	}
	if rate.Known && shop.Currency.Line(rate.PerHour).Cmp(shop.Currency.Line(shop.Overhead)) != 0 {
		per.Note("to use the true figure: shop set overhead %s", shop.Currency.Print(rate.PerHour))
	}
	for _, w := range rate.Warnings {
		per.Note("%s", w)
	}
	return reports.Report{Name: "overhead", Title: "Overhead", Currency: shop.Currency, Zone: shop.Location(), Sections: reports.Sections(year, per)}
}
