package main

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"bookmatch/costing/money"
	"bookmatch/costing/quote"
	"bookmatch/jobs"
	"bookmatch/jobs/store"

	"github.com/urfave/cli/v2"
)

func partCommand(e *env) *cli.Command {
	about := []cli.Flag{
		&cli.IntFlag{Name: "quantity", Usage: "how many", Value: 1},
		&cli.StringFlag{Name: "price", Usage: "`PRICE` of all of them without tax"},
		&cli.StringFlag{Name: "freight", Usage: "this part's `SHARE` of the freight"},
		&cli.StringFlag{Name: "tax", Usage: "tax paid: an `AMOUNT`, or a rate such as 21%"},
		&cli.BoolFlag{Name: "reclaimable", Usage: "the tax comes back"},
		&cli.StringFlag{Name: "delivery", Usage: "`NAME` of the delivery it came with"},
		&cli.StringFlag{Name: "ordered", Usage: "`DATE`"},
		&cli.StringFlag{Name: "arrives", Usage: "expected `DATE`"},
		&cli.StringFlag{Name: "arrived", Usage: "`DATE` it came"},
		&cli.StringFlag{Name: "returnable-until", Usage: "last `DATE` on which it can go back"},
		&cli.StringFlag{Name: "returned", Usage: "`DATE` it was sent back: only its freight stays a cost"},
		&cli.StringFlag{Name: "note", Usage: "a remark"},
	}
	return &cli.Command{
		Name: "part", Usage: "bought-in parts of a neck: cost, freight, tax, arrival, return",
		Subcommands: []*cli.Command{
			{Name: "add", Usage: "a part for a neck", ArgsUsage: "NECK WHAT --price PRICE", Flags: about, Action: e.partAdd},
			{Name: "set", Usage: "change a part by its number", ArgsUsage: "N", Flags: append([]cli.Flag{&cli.StringFlag{Name: "name", Usage: "what it is"}}, about...), Action: e.partSet},
			{Name: "freight", Usage: "share the freight of a delivery over its parts by price", ArgsUsage: "AMOUNT N,N,...", Action: e.partFreight},
			{Name: "drop", Usage: "take a part back by its number", ArgsUsage: "N", Action: e.partDrop},
			{Name: "list", Usage: "parts of a neck, or of all open necks", ArgsUsage: "[NECK]", Action: e.partList},
		},
	}
}

// aboutPart reads the flags that were given.
func (b *desk) aboutPart(c *cli.Context, p *jobs.Part) error {
	if c.IsSet("name") {
		p.Name = strings.TrimSpace(c.String("name"))
	}
	if c.IsSet("quantity") || p.Quantity == 0 {
		p.Quantity = c.Int("quantity")
	}
	for _, f := range []struct {
		flag string
		to   *money.Amount
	}{{"price", &p.Price}, {"freight", &p.Freight}} {
		if c.IsSet(f.flag) {
			a, err := jobs.ParseAmount(f.flag, c.String(f.flag))
			if err != nil {
				return err
			}
			*f.to = a
		}
	}
	if v := strings.TrimSpace(c.String("tax")); c.IsSet("tax") {
		rate, percent := strings.CutSuffix(v, "%")
		a, err := jobs.ParseAmount("tax", strings.TrimSpace(rate))
		if err != nil {
			return err
		}
		if percent {
			a = b.Shop.Currency.Line(quote.TaxOn(p.Price.Add(p.Freight), a.Decimal()))
		}
		p.Tax = a
	}
	if c.IsSet("reclaimable") {
		p.Reclaimable = c.Bool("reclaimable")
	}
	for flag, to := range map[string]*string{"delivery": &p.Delivery, "note": &p.Note} {
		if c.IsSet(flag) {
			*to = strings.TrimSpace(c.String(flag))
		}
	}
	for _, f := range []struct {
		flag string
		to   *jobs.Day
	}{{"ordered", &p.Ordered}, {"arrives", &p.Arrives}, {"arrived", &p.Arrived}, {"returnable-until", &p.ReturnableUntil}, {"returned", &p.Returned}} {
		if !c.IsSet(f.flag) {
			continue
		}
		if v := c.String(f.flag); v == "" || v == "none" {
			*f.to = ""
			continue
		}
		d, err := jobs.ParseDay(f.flag, c.String(f.flag))
		if err != nil {
			return err
		}
		if f.flag == "arrived" && d > jobs.DayOf(b.Now.In(b.Shop.Location())) {
			return &jobs.FieldError{Field: f.flag, Value: string(d), Want: "a day that has been"}
		}
		*f.to = d
	}
	return p.Validate()
}

func (b *desk) sayPart(p jobs.Part) {
	b.Data = b.partData(p)
	line := fmt.Sprintf("part %d: %d x %s for %s, %s", p.ID, p.Quantity, p.Name, b.neckName(p.Neck), b.Shop.Currency.Print(p.Cost()))
	switch {
	case p.Arrived != "":
		line += ", came on " + string(p.Arrived)
	case p.Arrives != "":
		line += ", due on " + string(p.Arrives)
	}
	switch {
	case p.Returned != "":
		line += ", sent back on " + string(p.Returned)
	case p.ReturnableUntil != "":
		line += ", can go back until " + string(p.ReturnableUntil)
	}
	b.Say("%s", line)
}

func (b *desk) neckName(code string) string {
	if n, ok, err := store.Get(b.Tx, store.Necks, code); err == nil && ok {
		return n.Name()
	}
	return code
}

// partJSON is a part with what it costs.
type partJSON struct {
	jobs.Part
	Cost       money.Amount `json:"cost"`
	Returnable bool         `json:"returnable"`
	Missing    bool         `json:"missing"`
}

func (b *desk) partData(p jobs.Part) partJSON {
	today, cur := jobs.DayOf(b.Now.In(b.Shop.Location())), b.Shop.Currency
	out := partJSON{Part: p, Cost: cur.Line(p.Cost()), Returnable: p.Returnable(today), Missing: p.Missing(today)}
	out.Price, out.Freight, out.Tax = cur.Line(p.Price), cur.Line(p.Freight), cur.Line(p.Tax)
	return out
}

func (e *env) partAdd(c *cli.Context) error {
	w, err := typedWords(c, 2, -1)
	if err != nil {
		return err
	}
	return e.deskWord(c, func(b *desk) error {
		n, err := b.FindNeck(w[0])
		if err != nil {
			return err
		}
		if !c.IsSet("price") {
			return usagef("add --price, without tax", "part %s: what does it cost?", w[1])
		}
		p := jobs.Part{Neck: n.Code, Name: strings.Join(w[1:], " ")}
		if err := b.aboutPart(c, &p); err != nil {
			return err
		}
		if p.ID, err = store.NextID(b.Tx, store.Parts); err != nil {
			return err
		}
		if n.IsClosed() {
			b.Warn("%s is %s: its cost changes after closing", n.Name(), n.Status)
		}
		b.sayPart(p)
		return store.Put(b.Tx, store.Parts, p)
	})
}

func (b *desk) part(word string) (jobs.Part, error) {
	id, err := strconv.ParseUint(strings.TrimSpace(word), 10, 63)
	if err != nil {
		return jobs.Part{}, &jobs.FieldError{Field: "part", Value: word, Want: "its number; part list shows it"}
	}
	p, ok, err := store.GetID(b.Tx, store.Parts, id)
	if err == nil && !ok {
		err = &jobs.NotFoundError{Noun: "part", Value: word}
	}
	return p, err
}

func (e *env) partSet(c *cli.Context) error {
	w, err := typedWords(c, 1, 1)
	if err != nil {
		return err
	}
	return e.deskWord(c, func(b *desk) error {
		p, err := b.part(w[0])
		if err != nil {
			return err
		}
		if err := b.aboutPart(c, &p); err != nil {
			return err
		}
		b.sayPart(p)
		return store.Put(b.Tx, store.Parts, p)
	})
}

func (e *env) partDrop(c *cli.Context) error {
	w, err := typedWords(c, 1, 1)
	if err != nil {
		return err
	}
	return e.deskWord(c, func(b *desk) error {
		p, err := b.part(w[0])
		if err != nil {
			return err
		}
		b.Say("part %d dropped: %s for %s", p.ID, p.Name, b.neckName(p.Neck))
		b.Data = b.partData(p)
		return store.Delete(b.Tx, store.Parts, p)
	})
}

func (e *env) partFreight(c *cli.Context) error {
	w, err := typedWords(c, 2, -1)
	if err != nil {
		return err
	}
	return e.deskWord(c, func(b *desk) error {
		freight, err := jobs.ParseAmount("freight", w[0])
		if err != nil {
			return err
		}
		var parts []jobs.Part
		for _, f := range strings.FieldsFunc(strings.Join(w[1:], ","), func(r rune) bool { return r == ',' || r == ' ' }) {
			p, err := b.part(f)
			if err != nil {
				return err
			}
			if slices.ContainsFunc(parts, func(q jobs.Part) bool { return q.ID == p.ID }) {
				return &jobs.FieldError{Field: "part", Value: f, Want: "each number once"}
			}
			parts = append(parts, p)
		}
		if len(parts) == 0 {
			return usagef("part freight 9.90 3,4,5", "freight %s: over which parts?", w[0])
		}
		var data []partJSON
		for i, share := range jobs.ShareFreight(b.Shop.Currency.Line(freight), parts, b.Shop.Currency.Scale()) {
			parts[i].Freight = share
			if err := store.Put(b.Tx, store.Parts, parts[i]); err != nil {
				return err
			}
			data = append(data, b.partData(parts[i]))
			b.Say("part %d: %s bears %s of the freight", parts[i].ID, parts[i].Name, b.Shop.Currency.Print(share))
		}
		b.Data = map[string]any{"freight": b.Shop.Currency.Line(freight), "parts": data, "currency": b.Shop.Currency}
		return nil
	})
}
