package main

import (
	"cmp"

	"bookmatch/cmd/bench"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
	"bookmatch/reports"

	"github.com/urfave/cli/v2"
)

func shopCommand(e *env) *cli.Command {
	setup := &cli.Command{
		Name: "setup", Usage: "start the workshop's file, or change several settings at once",
		Action: e.shopSetup,
	}
	for _, k := range jobs.ShopKeys() {
		if k.Key == "evening" {
			setup.Flags = append(setup.Flags, &cli.StringSliceFlag{Name: k.Key, Usage: `planned evening such as "tue 19:30-22:00", repeatable`})
			continue
		}
		setup.Flags = append(setup.Flags, &cli.StringFlag{Name: k.Key, Usage: k.Help})
	}
	return &cli.Command{
		Name: "shop", Usage: "the workshop: currency, zone, rates, evenings, settings of the models",
		Subcommands: []*cli.Command{
			setup,
			{Name: "show", Usage: "every setting", Action: e.shopShow},
			{Name: "set", Usage: "change one setting", ArgsUsage: "KEY VALUE", Action: e.shopSet},
		},
	}
}

func (e *env) shopSetup(c *cli.Context) error {
	if _, err := words(c, 0, 0); err != nil {
		return err
	}
	change := func(shop *jobs.Shop) error {
		for _, k := range jobs.ShopKeys() {
			if !c.IsSet(k.Key) {
				continue
			}
			var err error
			if k.Key == "evening" {
				err = shop.SetEvenings(c.StringSlice("evening"))
			} else {
				err = k.Set(shop, c.String(k.Key))
			}
			if err != nil {
				return err
			}
		}
		if shop.Currency == "" {
			return bench.Usagef("add --currency EUR", "a shop needs a currency")
		}
		return nil
	}
	// Bad values must leave no file behind, so they are tried on a fresh shop
	// before one is created.
	trial := jobs.DefaultShop()
	path, err := e.path(c)
	if err != nil {
		return err
	}
	if !store.Exists(path) {
		if err := change(&trial); err != nil {
			return err
		}
	}
	s, err := e.open(c, store.Options{Create: true})
	if err != nil {
		return err
	}
	defer s.Close()
	var shop jobs.Shop
	err = s.Update(func(tx *store.Tx) error {
		if shop, err = tx.SeedOrShop(); err != nil {
			return err
		}
		if err := change(&shop); err != nil {
			return err
		}
		return store.Put(tx, store.Shops, shop)
	})
	if err != nil {
		return err
	}
	e.Say("%s: %s, %s, %s per hour + %s overhead", cmp.Or(shop.Name, "the shop"), shop.Currency, shop.Zone, shop.Currency.Print(shop.Labour), shop.Currency.Print(shop.Overhead))
	e.Say("file %s", path)
	return nil
}

func (e *env) shopShow(c *cli.Context) error {
	var shop jobs.Shop
	err := e.view(c, func(tx *store.Tx) (err error) { shop, err = tx.Shop(); return err })
	if err != nil {
		return err
	}
	if wantJSON(c) {
		return e.PrintJSON(shop)
	}
	t := reports.Table{Name: "shop", Columns: []reports.Column{{Key: "key", Header: "key"}, {Key: "value", Header: "value"}, {Key: "help", Header: "what it is"}}}
	for _, k := range jobs.ShopKeys() {
		t.Add(reports.Text(k.Key), reports.Text(k.Get(&shop)), reports.Text(k.Help))
	}
	t.Note("change one with: bookmatch shop set KEY VALUE")
	return e.print(reports.Report{Name: "shop", Title: shop.Name, Currency: shop.Currency, Zone: shop.Location(), Sections: reports.Sections(t)})
}

func (e *env) shopSet(c *cli.Context) error {
	w, err := words(c, 2, 2)
	if err != nil {
		return err
	}
	var was, is string
	err = e.update(c, func(tx *store.Tx) error {
		shop, err := tx.Shop()
		if err != nil {
			return err
		}
		for _, k := range jobs.ShopKeys() {
			if k.Key == w[0] {
				was = k.Get(&shop)
			}
		}
		if err := jobs.SetShop(&shop, w[0], w[1]); err != nil {
			return err
		}
		for _, k := range jobs.ShopKeys() {
			if k.Key == w[0] {
				is = k.Get(&shop)
			}
		}
		return store.Put(tx, store.Shops, shop)
	})
	if err != nil {
		return err
	}
	e.Say("%s: %s (was %s)", w[0], orNone(is), orNone(was))
	return nil
}

func orNone(s string) string {
	if s == "" {
		return "none"
	}
	return s
}
