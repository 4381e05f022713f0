package main

import (
	"strconv"

	"bookmatch/costing/money"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"

	"github.com/urfave/cli/v2"
)

func (e *env) partList(c *cli.Context) error {
	w, err := typedWords(c, 0, 1)
	if err != nil {
		return err
	}
	var b *desk
	var parts []jobs.Part
	names := map[string]string{}
	err = e.view(c, func(tx *workshop.Book) error {
		if b, err = deskBench(tx); err != nil {
			return err
		}
		if len(w) == 1 {
			n, err := tx.FindNeck(w[0])
			if err != nil {
				return err
			}
			names[n.Code] = n.Name()
			parts, err = store.By(tx.Tx, store.Parts, store.PartsByNeck, n.Code)
			return err
		}
		all, err := store.All(tx.Tx, store.Parts)
		if err != nil {
			return err
		}
		for _, p := range all {
			n, ok, err := store.Get(tx.Tx, store.Necks, p.Neck)
			if err != nil {
				return err
			}
			if ok && !n.IsClosed() {
				names[p.Neck] = n.Name()
				parts = append(parts, p)
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	total := b.Shop.Currency.Line(money.Zero)
	data := []partJSON{}
	for _, p := range parts {
		d := b.partData(p)
		data, total = append(data, d), total.Add(d.Cost)
	}
	if wantJSON(c) {
		return e.PrintJSON(map[string]any{"parts": data, "total": total, "currency": b.Shop.Currency})
	}
	return e.print(partReport(b, data, names))
}

func partReport(b *desk, parts []partJSON, names map[string]string) reports.Report {
	cur := b.Shop.Currency
	t := reports.Table{Name: "parts", Title: "Bought-in parts", Empty: "no part has been added", Columns: []reports.Column{
		{Key: "part", Header: "no"}, {Key: "neck", Header: "for", Max: 12}, {Key: "name", Header: "what", Max: 20}, {Key: "quantity", Header: "pc", Kind: reports.KindCount},
		{Key: "cost", Header: "cost", Unit: string(cur), Kind: reports.KindMoney, Sum: true}, {Key: "arrives", Header: "arrives", Kind: reports.KindDate},
		{Key: "returnable_until", Header: "back until", Kind: reports.KindDate},
	}}
	var plain []jobs.Part
	for _, p := range parts {
		arrives, back := reports.Empty(), reports.Empty()
		switch {
		case p.Arrived != "":
			arrives = reports.Text("here")
		case p.Arrives != "":
			arrives = reports.Day(string(p.Arrives))
		}
		switch {
		case p.Returned != "":
			back = reports.Text("sent back")
		case p.ReturnableUntil != "":
			back = reports.Day(string(p.ReturnableUntil))
		}
		t.Add(reports.Text(strconv.FormatUint(p.ID, 10)), reports.Text(names[p.Neck]), reports.Text(p.Name), reports.Count(p.Quantity), reports.Money(p.Cost), arrives, back)
		plain = append(plain, p.Part)
	}
	for _, p := range jobs.DueBack(plain, jobs.DayOf(b.Now.In(b.Shop.Location())), 14) {
		t.Note("%s (part %d) can go back until %s", p.Name, p.ID, p.ReturnableUntil)
	}
	return reports.Report{Name: "parts", Title: "Bought-in parts", Currency: cur, Zone: b.Shop.Location(), Sections: reports.Sections(t)}
}
