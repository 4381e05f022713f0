package words

import (
	"fmt"
	"path/filepath"
	"reflect"
	"strconv"
	"strings"

	"bookmatch/costing/money"
	"bookmatch/jobs"
	"bookmatch/jobs/workshop"

	"github.com/shopspring/decimal"
)

// parsers read typed values by the type of their field. Kinds of numbers and
// plain strings are read by set.
var parsers = map[reflect.Type]func(f workshop.Field, s string, g Given) (any, error){
	reflect.TypeFor[jobs.Clock](): func(f workshop.Field, s string, _ Given) (any, error) { return jobs.ParseClock(f.Name(), s) },
	reflect.TypeFor[money.Amount](): func(f workshop.Field, s string, _ Given) (any, error) {
		number, _ := jobs.SplitAmount(s)
		a, err := money.Parse(number)
		if err != nil {
			return a, &jobs.FieldError{Field: f.Name(), Value: s, Want: "an amount such as 12.50"}
		}
		return a, nil
	},
	reflect.TypeFor[money.Qty](): func(f workshop.Field, s string, _ Given) (any, error) {
		q, err := money.ParseQty(strings.TrimSpace(s))
		if err != nil {
			return q, &jobs.FieldError{Field: f.Name(), Value: s, Want: "a quantity such as 2.5"}
		}
		return q, nil
	},
	reflect.TypeFor[decimal.Decimal](): func(f workshop.Field, s string, _ Given) (any, error) {
		d, err := money.ParseDecimal(strings.TrimSuffix(strings.TrimSpace(s), "%"))
		if err != nil {
			return d, &jobs.FieldError{Field: f.Name(), Value: s, Want: "a number such as 25"}
		}
		return d, nil
	},
	reflect.TypeFor[jobs.QuotePart](): func(f workshop.Field, s string, _ Given) (any, error) {
		name, v, ok := strings.Cut(s, "=")
		p := jobs.QuotePart{Name: strings.TrimSpace(name)}
		if !ok || p.Name == "" {
			return p, &jobs.FieldError{Field: f.Name(), Value: s, Want: "NAME=PRICE such as tuners=84.00"}
		}
		var err error
		p.Price, err = jobs.ParseAmount(f.Name()+" "+p.Name, v)
		return p, err
	},
	reflect.TypeFor[jobs.StageAsk](): func(f workshop.Field, s string, _ Given) (any, error) {
		when, v, ok := strings.Cut(s, "=")
		p := jobs.StageAsk{When: strings.TrimSpace(when)}
		pct, err := money.ParseDecimal(strings.TrimSuffix(strings.TrimSpace(v), "%"))
		if !ok || p.When == "" || err != nil || pct.IsNegative() || pct.GreaterThan(decimal.NewFromInt(100)) {
			return p, &jobs.FieldError{Field: f.Name(), Value: s, Want: "WHEN=PERCENT such as drilled=30"}
		}
		p.Percent = pct
		return p, nil
	},
	reflect.TypeFor[jobs.Arrival](): func(f workshop.Field, s string, g Given) (any, error) {
		likely, safe, both := strings.Cut(s, "..")
		var a jobs.Arrival
		var err error
		if a.Likely, err = jobs.ReadDay(f.Name(), likely, g.today(likely), g.Dates); err != nil {
			return a, err
		}
		a.Safe = a.Likely.Add(usualDelay)
		if both {
			a.Safe, err = jobs.ReadDay(f.Name(), safe, g.today(safe), g.Dates)
		}
		return a, err
	},
}

// usualDelay is how many days a delivery may be late when nothing else is said
// (our guess).
const usualDelay = 14

// whole reads a whole number.
func whole(name, s string) (int64, error) {
	n, err := strconv.ParseInt(strings.TrimSpace(s), 10, 64)
	if err != nil {
		return 0, &jobs.FieldError{Field: name, Value: s, Want: "a whole number such as 6"}
	}
	return n, nil
}

// number reads a number in the unit of its field.
func number(f workshop.Field, s string) (float64, error) {
	switch f.Unit {
	case "mm":
		if mm, _, ok := jobs.DrillSize(s); ok && f.Flag == "hole" {
			return mm, nil
		}
		return jobs.ParseLength(f.Name(), s)
	case "min":
		if minutes, ok := strings.CutSuffix(strings.TrimSpace(strings.TrimSuffix(s, "in")), "m"); ok {
			return jobs.ParseNumber(f.Name(), strings.TrimSpace(minutes), -1e9, 1e9)
		}
	case "c":
		return jobs.ReadTemperature(f.Name(), s)
	}
	return jobs.ParseNumber(f.Name(), s, -1e9, 1e9)
}

// quantities reads NAME=NUMBER words.
func quantities(name string, typed []string) (map[string]float64, error) {
	out := map[string]float64{}
	for _, s := range typed {
		key, v, ok := strings.Cut(s, "=")
		x, err := jobs.ParseNumber(name+" "+key, v, 0, 1e6)
		if !ok || key == "" {
			err = &jobs.FieldError{Field: name, Value: s, Want: "NAME=NUMBER such as inlay=14"}
		}
		if err != nil {
			return nil, err
		}
		out[strings.TrimSpace(key)] = x
	}
	return out, nil
}

// documentLimit is the most that is read of a file which a flag names, in bytes.
const documentLimit = 4 << 20

// document reads a file that was named. Its folder is not kept.
func document(f workshop.Field, path string, g Given) (workshop.Document, error) {
	if g.Read == nil {
		return workshop.Document{}, fmt.Errorf("%s: files cannot be read here", f.Name())
	}
	raw, err := g.Read(path, documentLimit)
	return workshop.Document{Name: filepath.Base(path), Path: path, Text: string(raw)}, err
}
