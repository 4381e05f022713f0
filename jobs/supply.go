package jobs

import (
	"errors"
	"slices"
	"strconv"
	"time"

	"bookmatch/costing/money"
)

// Unit is what a supply is counted in.
type Unit string

// The units of supplies. Sheet goods are bought and used by area, cm2.
const (
	UnitGram  Unit = "g"
	UnitML    Unit = "ml"
	UnitSheet Unit = "sheet"
	UnitCM2   Unit = "cm2"
	UnitMetre Unit = "m"
	UnitPiece Unit = "pc"
)

// Units lists the units a supply may have.
func Units() []string { return []string{"g", "ml", "sheet", "cm2", "m", "pc"} }

// Supply is a consumable of the shop. What is on hand and what it is worth is
// derived from its lots and uses, never stored.
type Supply struct {
	Name  string `json:"name"`
	Title string `json:"title,omitempty"`
	Unit  Unit   `json:"unit"`
	// Reorder is the level at which the builder orders; zero lets the usage
	// rate decide.
	Reorder money.Qty `json:"reorder,omitzero"`
	// Safety is kept back for a late delivery.
	Safety money.Qty `json:"safety,omitzero"`
	// Pack is the quantity usually bought; zero means as last time.
	Pack money.Qty `json:"pack,omitzero"`
	// Supplier is where it is bought, DeliveryDays how long it takes to come.
	Supplier     string `json:"supplier,omitempty"`
	DeliveryDays int    `json:"delivery_days,omitempty"`
	// OnOrder is what was ordered of it and has not come.
	OnOrder *OnOrder `json:"on_order,omitempty"`
	// OpenLifeDays is the life after opening; zero means that only the printed
	// date counts.
	OpenLifeDays int `json:"open_life_days,omitempty"`
	// Replacement is the price of one unit today, for quoting what came as a
	// gift and for pricing a use before anything was ever bought.
	Replacement money.Amount `json:"replacement,omitzero"`
	// Label is what the maker's label asks for, in the builder's words.
	Label string `json:"label,omitempty"`
	Note  string `json:"note,omitempty"`
}

// IsSheet says that the supply is goods by area, whose offcuts may come back.
func (s Supply) IsSheet() bool { return s.Unit == UnitCM2 }

// Validate finds every field that cannot be used; each is a *FieldError.
func (s Supply) Validate() error {
	errs := []error{ValidName("supply", s.Name)}
	if !slices.Contains(Units(), string(s.Unit)) {
		errs = append(errs, &FieldError{"unit", string(s.Unit), "g, ml, sheet, cm2, m or pc, such as ml"})
	}
	errs = append(errs, notNegative("reorder", s.Reorder), notNegative("safety", s.Safety), notNegative("pack", s.Pack))
	errs = append(errs, wholeDays("delivery-days", s.DeliveryDays), wholeDays("open-life-days", s.OpenLifeDays))
	if s.Replacement.Sign() < 0 {
		errs = append(errs, &FieldError{"replacement", s.Replacement.String(), "an amount of zero or more, such as 12.50"})
	}
	return errors.Join(errs...)
}

// Source says how a lot came into the shop.
type Source string

// The sources of lots. An offcut or a salvaged piece comes back from a neck at
// a chosen value, which the neck is credited with.
const (
	SourceBought  Source = "bought"
	SourceGift    Source = "gift"
	SourceOffcut  Source = "offcut"
	SourceSalvage Source = "salvage"
)

// Returns says that the lot came back from a neck.
func (s Source) Returns() bool { return s == SourceOffcut || s == SourceSalvage }

// Lot is one purchase of a supply. Price is for the whole quantity. A gift
// costs nothing and keeps what it would cost to replace.
type Lot struct {
	ID          uint64       `json:"id"`
	Supply      string       `json:"supply"`
	Source      Source       `json:"source"`
	Received    time.Time    `json:"received"`
	Quantity    money.Qty    `json:"quantity"`
	Price       money.Amount `json:"price"`
	Replacement money.Amount `json:"replacement,omitzero"` // of the whole quantity
	Opened      time.Time    `json:"opened,omitzero"`
	// LabelExpires is the printed date; the lot is good through that day.
	LabelExpires Day    `json:"label_expires,omitempty"`
	Neck         string `json:"neck,omitempty"` // from which an offcut came
	Note         string `json:"note,omitempty"`
}

// Validate finds every field that cannot be used; each is a *FieldError.
func (l Lot) Validate() error {
	var errs []error
	bad := func(field, value, want string) { errs = append(errs, &FieldError{field, value, want}) }
	if l.Quantity.Sign() <= 0 {
		bad("quantity", l.Quantity.String(), "more than zero, such as 12.5")
	}
	if l.Price.Sign() < 0 {
		bad("price", l.Price.String(), "an amount of zero or more, such as 12.50")
	}
	if l.Replacement.Sign() < 0 {
		bad("replacement", l.Replacement.String(), "an amount of zero or more, such as 12.50")
	}
	switch {
	case !slices.Contains([]Source{SourceBought, SourceGift, SourceOffcut, SourceSalvage}, l.Source):
		bad("source", string(l.Source), "bought, gift, offcut or salvage")
	case l.Source == SourceGift && !l.Price.IsZero():
		bad("price", l.Price.String(), "no price for a gift: --replacement keeps what it would cost")
	case l.Source.Returns() && l.Neck == "":
		bad("neck", "", "the neck from which it comes back")
	}
	if l.Received.IsZero() {
		bad("received", "", "a date such as 2026-01-05")
	}
	if !l.Opened.IsZero() && l.Opened.Before(l.Received) {
		bad("opened", l.Opened.Format(time.DateOnly), "a date not before "+l.Received.Format(time.DateOnly)+", when the lot came")
	}
	return errors.Join(errs...)
}

// Expires gives the last good day of the lot and why: the earlier of the
// printed date and opening + life. The empty Day means that nothing is known
// to end it. zone is the shop's.
func (l Lot) Expires(openLifeDays int, zone *time.Location) (Day, string) {
	last, why := l.LabelExpires, "printed date"
	if last == "" {
		why = ""
	}
	if openLifeDays > 0 && !l.Opened.IsZero() {
		if d := DayOf(l.Opened.In(zone)).Add(openLifeDays); last == "" || d < last {
			last, why = d, "opened "+string(DayOf(l.Opened.In(zone)))
		}
	}
	return last, why
}

// UseKind says what a record against the stock means.
type UseKind string

// The kinds of use.
const (
	UseIssue    UseKind = "use"
	UseCount    UseKind = "count"
	UseWriteOff UseKind = "write-off"
)

// SupplyUse is a record against the stock of a supply: a quantity used, a
// stock count (Quantity is what was found on hand) or a write-off. Without a
// neck the value goes to overhead.
type SupplyUse struct {
	ID       uint64    `json:"id"`
	Supply   string    `json:"supply"`
	Kind     UseKind   `json:"kind"`
	Quantity money.Qty `json:"quantity"`
	On       time.Time `json:"on"`
	// Written is when the record was made, which may be long after On.
	Written time.Time `json:"written"`
	Lot     uint64    `json:"lot,omitempty"` // 0: first in, first out
	Neck    string    `json:"neck,omitempty"`
	Step    int       `json:"step,omitempty"`  // of the neck's route, 1 the first
	Entry   uint64    `json:"entry,omitempty"` // the work it was used in
	Cause   string    `json:"cause,omitempty"` // of rework; empty in a first pass
	Recipe  bool      `json:"recipe,omitempty"`
	Reason  string    `json:"reason,omitempty"`
	Note    string    `json:"note,omitempty"`
}

// Validate finds every field that cannot be used; each is a *FieldError.
func (u SupplyUse) Validate() error {
	var errs []error
	switch u.Kind {
	case UseIssue, UseWriteOff:
		if u.Quantity.Sign() <= 0 {
			errs = append(errs, &FieldError{"quantity", u.Quantity.String(), "more than zero, such as 12.5"})
		}
	case UseCount:
		errs = append(errs, notNegative("quantity", u.Quantity))
	default:
		errs = append(errs, &FieldError{"kind", string(u.Kind), "use, count or write-off"})
	}
	if u.Kind != UseIssue && u.Neck != "" {
		errs = append(errs, &FieldError{"neck", u.Neck, "no neck: a count or a write-off belongs to overhead"})
	}
	if u.On.IsZero() {
		errs = append(errs, &FieldError{"on", "", "a date such as 2026-03-01"})
	}
	return errors.Join(errs...)
}

// ParseQuantity reads a quantity of a supply: zero or more, in its own unit.
func ParseQuantity(field, v string) (money.Qty, error) {
	q, err := money.ParseQty(v)
	if err != nil || q.Sign() < 0 || q.GreaterThan(money.QtyOf(1_000_000_000).Decimal) {
		return money.Qty{}, &FieldError{field, v, "a quantity of zero or more such as 12.5"}
	}
	return q, nil
}

func notNegative(field string, q money.Qty) error {
	if q.Sign() < 0 {
		return &FieldError{field, q.String(), "zero or more, such as 12.5"}
	}
	return nil
}

func wholeDays(field string, n int) error {
	if n < 0 || n > 3660 {
		return &FieldError{field, strconv.Itoa(n), "days from 0 to 3660, such as 7"}
	}
	return nil
}
