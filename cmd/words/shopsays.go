package words

import (
	"fmt"
	"slices"
	"strings"

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
	return r.DateOrder()
}

// today gives the date in the shop, or at this machine where there is no shop yet.
func (e *Env) today(file string) jobs.Day {
	now, err := e.Clock()
	if err != nil {
		return ""
	}
	if r := e.shopSays(file); r != nil {
		return jobs.DayOf(now.In(r.Location()))
	}
	return jobs.DayOf(now.Local())
}

// units gives in which the shop reads lengths.
func (e *Env) units() string {
	if r := e.shopSays(fileIn(e.Args)); r != nil {
		return r.Units
	}
	return ""
}

// fileIn gives the workshop file that was named among what was typed, or "".
func fileIn(args []string) string {
	for i, a := range args {
		if name, ok := strings.CutPrefix(a, "--file="); ok {
			return name
		}
		if a == "--file" && i+1 < len(args) {
			return args[i+1]
		}
	}
	return ""
}

// whichUnit asks about a bare number for a length where the shop reads inches.
func (e *Env) whichUnit(file string, fields []workshop.Field, g Given) error {
	for _, f := range fields {
		if f.Unit != "mm" && f.Flag != "diameter" {
			continue
		}
		for _, s := range g.Flags[f.Flag] {
			if mm, ok := jobs.BareFraction(s); ok {
				return &jobs.Refusal{Code: "unit", Class: jobs.Invalid, Why: fmt.Sprintf("%s %s can be inches or millimetres", f.Name(), s), Word: s, Swap: []string{strings.ReplaceAll(s, " ", "-") + "in", mm}}
			}
			if !jobs.IsBare(s) {
				continue
			}
			if _, _, err := jobs.ParseDiameter(strings.TrimSpace(s) + "in"); f.Flag == "diameter" && err != nil {
				continue // no bit is so many inches
			}
			if r := e.shopSays(file); r != nil && r.Units == jobs.Inches {
				return &jobs.Refusal{Code: "unit", Class: jobs.Invalid, Why: fmt.Sprintf("%s %s can be inches or millimetres", f.Name(), s), Word: s, Swap: []string{s + "in", s + "mm"}}
			}
		}
	}
	return nil
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
