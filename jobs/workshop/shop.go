package workshop

import (
	"strings"
	"time"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// ShopSetupAsk starts a shop, or changes several settings at once.
type ShopSetupAsk struct {
	Asked
	// Settings are the values typed for keys of jobs.ShopKeys.
	Settings map[string][]string `json:"settings" flags:"shop"`
}

// ShopResult is the shop with all its settings, in the order of jobs.ShopKeys.
type ShopResult struct {
	Meta
	Shop     jobs.Shop `json:"shop"`
	Settings []Setting `json:"settings"`
}

// Setting is one setting of the shop in words.
type Setting struct {
	Key   string `json:"key"`
	Value string `json:"value"`
	Was   string `json:"was,omitempty"`
	Help  string `json:"help"`
}

// ShopSetAsk changes one setting.
type ShopSetAsk struct {
	Asked
	Key   string   `json:"key" word:"KEY"`
	Value string   `json:"value" word:"VALUE..."`
	From  jobs.Day `json:"from,omitempty" flag:"from" arg:"DATE" help:"zone: valid from DATE; from now on if not given"`
}

// ShopShowAsk asks for all settings.
type ShopShowAsk struct{ Asked }

// ShopSetup makes the shop, ShopSet changes one setting, ShopShow lists them.
var (
	ShopSetup = Define("shop setup", "NOT SAVED", Writes|Creates, (*Book).shopSetup)
	ShopSet   = Define("shop set", "NOT CHANGED", Writes, (*Book).shopSet)
	ShopShow  = Define("shop show", "", Reads, (*Book).shopShow)
)

// Try makes the changes on a fresh shop, so that bad values leave no file
// behind.
func (a *ShopSetupAsk) Try() error {
	shop := jobs.DefaultShop()
	return a.change(&shop)
}

func (a *ShopSetupAsk) change(shop *jobs.Shop) error {
	for _, k := range jobs.ShopKeys() {
		typed, ok := a.Settings[k.Key]
		if !ok || len(typed) == 0 {
			continue
		}
		var err error
		if k.Key == "evening" {
			err = shop.SetEvenings(typed)
		} else {
			var value string
			if value, err = fileOf(k.Key, typed[len(typed)-1]); err == nil {
				err = k.Set(shop, value)
			}
		}
		if err != nil {
			return err
		}
	}
	if shop.Currency == "" {
		return &jobs.Refusal{Code: "currency", Class: jobs.Invalid, Why: "a shop needs a currency", Type: []string{"shop setup --currency EUR --zone Europe/Berlin"}}
	}
	return nil
}

func (b *Book) shopSetup(ask *ShopSetupAsk, res *ShopResult) error {
	if err := ask.change(&b.Shop); err != nil {
		return err
	}
	b.settings(res, "")
	return store.Put(b.Tx, store.Shops, b.Shop)
}

func (b *Book) shopSet(ask *ShopSetAsk, res *ShopResult) error {
	was := b.Shop
	value, err := fileOf(ask.Key, ask.Value)
	if err != nil {
		return err
	}
	if err := jobs.SetShop(&b.Shop, ask.Key, value); err != nil {
		return err
	}
	if ask.Key == "zone" {
		if err := b.move(was, ask.From); err != nil {
			return err
		}
	} else if ask.From != "" {
		return &jobs.FieldError{Field: "from", Value: string(ask.From), Want: "zone as the setting: the others have no date"}
	}
	b.settings(res, ask.Key)
	for i, k := range jobs.ShopKeys() {
		if k.Key == ask.Key {
			res.Settings[0].Was = jobs.ShopKeys()[i].Get(&was)
		}
	}
	return store.Put(b.Tx, store.Shops, b.Shop)
}

// move gives the shop its new zone from a date on. What was logged before keeps the
// hours it had.
func (b *Book) move(was jobs.Shop, from jobs.Day) error {
	zone := b.Shop.Zone
	b.Shop.Zone = was.Zone
	entries, err := b.LatestEntries(1)
	if err != nil {
		return err
	}
	at := b.Now
	switch {
	case from != "":
		if at, err = jobs.WallTime(from, b.Shop.DayEnds, jobs.Shop{Zone: zone}.Location(), ""); err != nil {
			return err
		}
	case len(entries) == 0:
		at = time.Time{}
	}
	b.Shop.Move(zone, at)
	if from == "" && len(entries) > 0 && zone != was.Zone {
		first := entries[0]
		for e, err := range store.Each(b.Tx, store.Entries) {
			if err != nil {
				return err
			}
			first = e
			break
		}
		b.Warn(jobs.Warning{Code: "moved", Text: "What was logged before keeps its hours in " + was.Zone + ". Was the zone wrong all along?", Hint: "shop set zone " + zone + " --from " + string(b.Shop.Evening(first.From))})
	}
	return nil
}

func (b *Book) shopShow(_ *ShopShowAsk, res *ShopResult) error {
	b.settings(res, "")
	return nil
}

// settings fills a result with one setting, or with all.
func (b *Book) settings(res *ShopResult, only string) {
	res.Shop = b.Shop
	res.Currency, res.Zone, res.ZonesBefore = string(b.Shop.Currency), b.Shop.Zone, b.Shop.ZonesBefore
	for _, k := range jobs.ShopKeys() {
		if only == "" || k.Key == only {
			res.Settings = append(res.Settings, Setting{Key: k.Key, Value: strings.TrimSpace(k.Get(&b.Shop)), Help: k.Help})
		}
	}
}
