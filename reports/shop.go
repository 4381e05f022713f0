package reports

import (
	"cmp"
	"fmt"

	"bookmatch/jobs/workshop"
)

// ShopReady is the echo of a shop that was set up.
func ShopReady(r *workshop.ShopResult) Report {
	s := r.Shop
	return Report{Name: "shop", Headline: []string{fmt.Sprintf("SAVED %s: %s, %s, %s an hour and %s overhead.", cmp.Or(s.Name, "the shop"), s.Currency, s.Zone, s.Currency.Print(s.Labour), s.Currency.Print(s.Overhead))},
		Next: []string{"neck add N1 --nickname wren"}}
}

// ShopChanged is the echo of one setting that was changed.
func ShopChanged(r *workshop.ShopResult) Report {
	s := r.Settings[0]
	return Report{Name: "shop", Headline: []string{fmt.Sprintf("CHANGED %s: %s (was %s).", s.Key, cmp.Or(s.Value, "none"), cmp.Or(s.Was, "none"))}}
}

// ShopSettings lists every setting.
func ShopSettings(r *workshop.ShopResult) Report {
	out := Report{Name: "shop", Title: cmp.Or(r.Shop.Name, "The shop"), Currency: r.Shop.Currency, Zone: r.Shop.Location(), Made: r.Made, Next: []string{"shop set KEY VALUE"}}
	type s = workshop.Setting
	out.Headline = []string{fmt.Sprintf("%s: %d settings.", out.Title, len(r.Settings))}
	out.Add(Build(Table{Name: "shop"}, r.Settings, []Col[s]{
		{Column{Key: "key", Header: "key"}, func(x s) Cell { return Text(x.Key) }},
		{Column{Key: "value", Header: "value"}, func(x s) Cell { return Text(x.Value) }},
		{Column{Key: "help", Header: "what it is"}, func(x s) Cell { return Text(x.Help) }},
	}))
	return out
}
