package words

import (
	"fmt"
	"slices"

	"bookmatch/costing/money"
	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
)

// shopSays reads the settings of the shop, for what was typed in its own way. Nil
// where there is no shop yet.
func (e *Env) shopSays(file string) *jobs.Shop {
	shop, err := e.Open(file)
	if err != nil {
		return nil
	}
	res, err := shop.Do(workshop.ShopShow, workshop.ShopShow.NewAsk())
	if err != nil {
		return nil
	}
	return &res.(*workshop.ShopResult).Shop
}

// dateOrder gives what the shop says of dates of numbers, else its country.
func (e *Env) dateOrder(file string) jobs.DateOrder {
	r := e.shopSays(file)
	if r == nil {
		return ""
	}
	if r.Dates != "" {
		return r.Dates
	}
	return jobs.OrderOf(r.Country)
}

// rightCurrency refuses an amount whose sign is of another currency than the
// shop's.
func (e *Env) rightCurrency(file string, g Given) error {
	var typed []string
	for _, list := range g.Flags {
		typed = append(typed, list...)
	}
	slices.Sort(typed)
	for _, s := range append(typed, g.Words...) {
		number, sign := jobs.SplitAmount(s)
		if sign == "" {
			continue
		}
		if _, err := money.Parse(number); err != nil {
			continue // words with a sign in them
		}
		currency := money.Currency("")
		if c := g.Flags["currency"]; len(c) == 1 {
			currency = money.Currency(c[0])
		} else if r := e.shopSays(file); r != nil {
			currency = r.Currency
		}
		if currency != "" && !jobs.SignFits(sign, currency) {
			return &jobs.Refusal{Code: "currency", Class: jobs.Invalid, Why: fmt.Sprintf("%q is not in %s, in which the shop counts", s, currency), Word: s, Swap: []string{number}}
		}
	}
	return nil
}
