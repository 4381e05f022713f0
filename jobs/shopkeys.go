package jobs

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"bookmatch/costing/money"

	"github.com/shopspring/decimal"
)

var shopKeys = append([]ShopKey{
	{"name", "the name on papers", func(s *Shop) string { return s.Name }, func(s *Shop, v string) error {
		return setText("name", v, &s.Name)
	}},
	{"currency", "ISO 4217 code", func(s *Shop) string { return string(s.Currency) }, func(s *Shop, v string) error {
		c, err := money.ParseCurrency(v)
		if err != nil {
			return &FieldError{"currency", v, "a code of ISO 4217 such as EUR"}
		}
		if s.Currency != "" && s.Currency != c {
			return &ConflictError{fmt.Sprintf("this file counts in %s, and a file keeps its currency. Start another file for %s", s.Currency, c), ""}
		}
		s.Currency = c
		return nil
	}},
	{"zone", "IANA time zone", func(s *Shop) string { return s.Zone }, func(s *Shop, v string) error {
		zone, ok := FindZone(v)
		if !ok {
			return &FieldError{"zone", v, "a city or an IANA zone such as Europe/Berlin"}
		}
		s.Zone = zone
		return nil
	}},
	{"country", "ISO 3166 code, for the order of typed dates", func(s *Shop) string { return s.Country }, func(s *Shop, v string) error {
		v = strings.ToUpper(strings.TrimSpace(v))
		if v != "" && (len(v) != 2 || strings.Trim(v, "ABCDEFGHIJKLMNOPQRSTUVWXYZ") != "") {
			return &FieldError{"country", v, "two letters such as IE"}
		}
		s.Country = v
		return nil
	}},
	{"dates", "dmy or mdy: what 3/4/2027 means", func(s *Shop) string { return string(s.Dates) }, func(s *Shop, v string) error {
		if v == "" {
			s.Dates = ""
			return nil
		}
		return setOneOf("dates", v, (*string)(&s.Dates))
	}},
	{"units", "mm or in: how lengths are shown", func(s *Shop) string { return s.Units }, func(s *Shop, v string) error {
		return setOneOf("units", v, &s.Units)
	}},
	clockKey("day-ends", "an evening belongs to the day before until this hour", func(s *Shop) *Clock { return &s.DayEnds }),
	amountKey("labour", "pay per hour of work", func(s *Shop) *money.Amount { return &s.Labour }),
	amountKey("overhead", "overhead per logged bench hour", func(s *Shop) *money.Amount { return &s.Overhead }),
	amountKey("yearly-overhead", "rent, tools, insurance of a year", func(s *Shop) *money.Amount { return &s.YearlyOverhead }),
	floatKey("planned-hours", "bench hours you believe a year has", 1, 8784, func(s *Shop) *float64 { return &s.PlannedHours }),
	{"tax", "percent; 0 when not registered", func(s *Shop) string { return s.Tax.String() }, func(s *Shop, v string) error {
		d, err := money.ParseDecimal(strings.TrimSuffix(v, "%"))
		if err != nil || d.Sign() < 0 || d.GreaterThan(decimal.NewFromInt(100)) {
			return &FieldError{"tax", v, "a percentage such as 21"}
		}
		s.Tax = d
		return nil
	}},
	{"tax-rule", "where tax is rounded: per-line or per-total", func(s *Shop) string { return string(s.TaxRule) }, func(s *Shop, v string) error {
		return setOneOf("tax-rule", v, (*string)(&s.TaxRule))
	}},
	{"evening", "planned evenings, comma between: tue 19:30-22:00, thu 19:30-22:00", func(s *Shop) string {
		var out []string
		for _, e := range s.Evenings {
			out = append(out, e.String())
		}
		return strings.Join(out, ", ")
	}, func(s *Shop, v string) error { return s.SetEvenings(strings.Split(v, ",")) }},
	{"holidays", "days off, comma between: 2026-12-24..2027-01-06, 2027-05-01", func(s *Shop) string {
		var out []string
		for _, d := range s.Holidays {
			out = append(out, string(d))
		}
		return strings.Join(out, ", ")
	}, func(s *Shop, v string) error {
		var days []Day
		for _, f := range strings.Split(v, ",") {
			if strings.TrimSpace(f) == "" {
				continue
			}
			first, last, ranged := strings.Cut(f, "..")
			d, err := ReadDay("holidays", first, "", s.DateOrder())
			if err != nil {
				return err
			}
			end := d
			if ranged {
				if end, err = ReadDay("holidays", last, "", s.DateOrder()); err != nil {
					return err
				}
			}
			if n := d.DaysTo(end); n < 0 || n > 366 {
				return &FieldError{"holidays", f, "a first and a last day within a year, such as 2026-12-24..2027-01-06"}
			}
			for ; d <= end; d = d.Add(1) {
				days = append(days, d)
			}
		}
		slices.Sort(days)
		s.Holidays = slices.Compact(days)
		return nil
	}},
	{"paper", "a4 or letter", func(s *Shop) string { return s.Paper }, func(s *Shop, v string) error {
		return setOneOf("paper", strings.ToLower(v), &s.Paper)
	}},
	{"quiet-after", "no noisy machine after this hour; none where noise is fine", func(s *Shop) string {
		if s.QuietAfter == 0 {
			return "none"
		}
		return s.QuietAfter.String()
	}, func(s *Shop, v string) error {
		if strings.TrimSpace(v) == "none" {
			s.QuietAfter = 0
			return nil
		}
		c, err := ParseClock("quiet-after", v)
		if err != nil {
			return &FieldError{"quiet-after", v, "a time such as 21:00, or none"}
		}
		s.QuietAfter = c
		return nil
	}},
	{"clamps", "sets of clamps", func(s *Shop) string { return strconv.Itoa(s.Clamps) }, func(s *Shop, v string) error {
		return setInt("clamps", v, 0, 1000, &s.Clamps)
	}},
	{"dust-free-room", "yes when dust does not reach a wet film", func(s *Shop) string {
		if s.DustFree {
			return "yes"
		}
		return "no"
	}, func(s *Shop, v string) error {
		word := "no"
		if s.DustFree {
			word = "yes"
		}
		err := setOneOf("dust-free-room", v, &word)
		s.DustFree = word == "yes"
		return err
	}},
	floatKey("tired-after", "hours at the bench after which no machine is started; 0 never", 0, 24, func(s *Shop) *float64 { return &s.TiredAfterH }),
	floatKey("cold-below", "deg C under which a cure takes longer", -40, 60, func(s *Shop) *float64 { return &s.ColdBelowC }),
	floatKey("cold-factor", "by how much a cold cure is stretched", 1, 20, func(s *Shop) *float64 { return &s.ColdFactor }),
	{"hole-depth", "mm, where no plan says better", func(s *Shop) string { return trim(s.HoleDepthMM) }, func(s *Shop, v string) error {
		mm, _, err := parseLength("hole-depth", v, minDepthMM, 200)
		if err == nil {
			s.HoleDepthMM = mm
		}
		return err
	}},
	{"spindle", "speed steps of the drill press, per minute", func(s *Shop) string {
		var out []string
		for _, r := range s.SpindleRPM {
			out = append(out, strconv.Itoa(r))
		}
		return strings.Join(out, ", ")
	}, func(s *Shop, v string) error {
		var steps []int
		for _, f := range strings.FieldsFunc(v, func(r rune) bool { return r == ',' || r == ' ' }) {
			var n int
			if err := setInt("spindle", f, 50, 30000, &n); err != nil {
				return err
			}
			steps = append(steps, n)
		}
		slices.Sort(steps)
		s.SpindleRPM = slices.Compact(steps)
		return nil
	}},
	floatKey("bit-shape", "assumed Weibull shape of edge lives", 0.5, 10, func(s *Shop) *float64 { return &s.BitShape }),
	amountKey("test-hole-cost", "one test hole in offcut", func(s *Shop) *money.Amount { return &s.TestHoleCost }),
	floatKey("bit-fit", "mm that a bit may differ from the hole of a plan", 0, 2, func(s *Shop) *float64 { return &s.BitFitMM }),
	{"page-address", "where the page is at home, such as bench.home:4747, for codes on cards", func(s *Shop) string { return s.PageAddress }, func(s *Shop, v string) error {
		v = strings.ToLower(strings.TrimSpace(v))
		host, port, ok := strings.Cut(v, ":")
		if v != "" && (!ok || host == "" || strings.Trim(host, "abcdefghijklmnopqrstuvwxyz0123456789.-") != "" || port == "" || strings.Trim(port, "0123456789") != "") {
			return &FieldError{"page-address", v, "a name and a port such as bench.home:4747"}
		}
		s.PageAddress = v
		return nil
	}},
	floatKey("printer-x", "mm measured of a printed 100 mm bar across the sheet", 90, 110, func(s *Shop) *float64 { return &s.PrinterX }),
	floatKey("printer-y", "mm measured of a printed 100 mm bar along the feed", 90, 110, func(s *Shop) *float64 { return &s.PrinterY }),
	{"backup-keep", "dated copies kept next to the file, one an evening; 0 makes none", func(s *Shop) string { return strconv.Itoa(s.BackupKeep) }, func(s *Shop, v string) error {
		return setInt("backup-keep", v, 0, 10000, &s.BackupKeep)
	}},
}, letterKeys()...)

// SetEvenings replaces the planned evenings, in the week's order from Monday.
func (s *Shop) SetEvenings(texts []string) error {
	var slots []Slot
	for _, t := range texts {
		if strings.TrimSpace(t) == "" {
			continue
		}
		slot, err := ParseSlot(t)
		if err != nil {
			return err
		}
		for _, have := range slots {
			if have.Day == slot.Day {
				return &FieldError{"evening", t, "each weekday once"}
			}
		}
		slots = append(slots, slot)
	}
	slices.SortFunc(slots, func(a, b Slot) int { return (int(a.Day)+6)%7 - (int(b.Day)+6)%7 })
	s.Evenings = slots
	return nil
}

func clockKey(key, help string, field func(*Shop) *Clock) ShopKey {
	return ShopKey{key, help, func(s *Shop) string { return field(s).String() }, func(s *Shop, v string) error {
		c, err := ParseClock(key, v)
		if err == nil {
			*field(s) = c
		}
		return err
	}}
}

func amountKey(key, help string, field func(*Shop) *money.Amount) ShopKey {
	return ShopKey{key, help, func(s *Shop) string { return s.Currency.Print(*field(s)) }, func(s *Shop, v string) error {
		a, err := ParseAmount(key, v)
		if err == nil {
			*field(s) = a
		}
		return err
	}}
}

func floatKey(key, help string, low, high float64, field func(*Shop) *float64) ShopKey {
	return ShopKey{key, help, func(s *Shop) string { return strconv.FormatFloat(*field(s), 'f', -1, 64) }, func(s *Shop, v string) error {
		f, err := ParseNumber(key, v, low, high)
		if err == nil {
			*field(s) = f
		}
		return err
	}}
}

// ParseAmount reads an amount of zero or more.
func ParseAmount(field, v string) (money.Amount, error) {
	number, _ := SplitAmount(v)
	a, err := money.Parse(number)
	if err != nil || a.Sign() < 0 || a.Cmp(money.New(1, 12)) > 0 {
		return money.Zero, &FieldError{field, v, "an amount of zero or more such as 12.50"}
	}
	return a, nil
}

// ParseNumber reads a plain number from low to high, decimal comma allowed
// where it reads one way only.
func ParseNumber(field, v string, low, high float64) (float64, error) {
	d, err := money.ParseDecimal(v)
	f, _ := d.Float64()
	if err != nil || f < low || f > high {
		return 0, &FieldError{field, v, fmt.Sprintf("a number from %s to %s", trim(low), trim(high))}
	}
	return f, nil
}

// ParseLife reads a life in cut metres: "133" counts holes of wear, "2.0m" is
// metres of cut. The error is a *FieldError.
func ParseLife(field, v string) (float64, error) {
	if m, ok := strings.CutSuffix(strings.TrimSpace(v), "m"); ok {
		return ParseNumber(field, m, 0.001, 10000)
	}
	holes, err := ParseNumber(field, v, 0.1, 600000)
	return holes * RefHoleM, err
}

func setText(field, v string, to *string) error {
	if strings.TrimSpace(v) == "" || len(v) > 500 {
		return &FieldError{field, v, "some words"}
	}
	*to = strings.TrimSpace(v)
	return nil
}

// ShopChoices are the values of a setting that takes one of a few, nil for others.
func ShopChoices(key string) []string {
	switch key {
	case "dates":
		return []string{"dmy", "mdy"}
	case "units":
		return []string{Millimetres, Inches}
	case "tax-rule":
		return []string{string(TaxPerLine), string(TaxPerTotal)}
	case "paper":
		return []string{"a4", "letter"}
	case "dust-free-room":
		return []string{"yes", "no"}
	}
	return nil
}

func setOneOf(field, v string, to *string) error {
	options := ShopChoices(field)
	if !slices.Contains(options, v) {
		return &FieldError{field, v, strings.Join(options, " or ")}
	}
	*to = v
	return nil
}

func setInt(field, v string, low, high int, to *int) error {
	n, err := strconv.Atoi(strings.TrimSpace(v))
	if err != nil || n < low || n > high {
		return &FieldError{field, v, fmt.Sprintf("a whole number from %d to %d", low, high)}
	}
	*to = n
	return nil
}
