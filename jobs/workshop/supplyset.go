package workshop

import (
	"fmt"
	"strings"

	"bookmatch/costing/money"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// SupplyFields are the fields of a supply that can be typed. Nil leaves one as
// it is. Quantities are in the supply's own unit.
type SupplyFields struct {
	Title   *string    `json:"title,omitempty" flag:"title" help:"what the label calls it"`
	Reorder *money.Qty `json:"reorder,omitempty" flag:"reorder" arg:"QUANTITY" help:"order at this QUANTITY; else its use decides"`
	Safety  *money.Qty `json:"safety,omitempty" flag:"safety" arg:"QUANTITY" help:"QUANTITY kept back for a late delivery"`
	Pack    *money.Qty `json:"pack,omitempty" flag:"pack" arg:"QUANTITY" help:"QUANTITY usually bought"`
	PurchaseFields
	OpenLifeDays *int          `json:"open_life_days,omitempty" flag:"open-life-days" arg:"DAYS" help:"DAYS it keeps once opened"`
	Replacement  *money.Amount `json:"replacement,omitempty" flag:"replacement" arg:"PRICE" help:"PRICE of one unit today, before the first lot"`
	Label        *string       `json:"label,omitempty" flag:"label" help:"what the label asks for, in your words"`
	Note         *string       `json:"note,omitempty" flag:"note" help:"a remark"`
}

// PurchaseFields say where something is bought, for supplies, parts and bits.
type PurchaseFields struct {
	Supplier     *string `json:"supplier,omitempty" flag:"supplier" arg:"NAME" help:"the NAME of where you buy it"`
	DeliveryDays *int    `json:"delivery_days,omitempty" flag:"delivery-days" arg:"DAYS" help:"DAYS from order to delivery"`
}

// buy sets the fields that were typed.
func (f PurchaseFields) buy(supplier *string, days *int) {
	if f.Supplier != nil {
		*supplier = strings.TrimSpace(*f.Supplier)
	}
	if f.DeliveryDays != nil {
		*days = *f.DeliveryDays
	}
}

// SupplyAddAsk adds a supply.
type SupplyAddAsk struct {
	Asked
	Supply string `json:"supply" word:"NAME"`
	Unit   string `json:"unit" flag:"unit" help:"g, ml, sheet, cm2, m or pc" of:"g ml sheet cm2 m pc"`
	SupplyFields
}

// SupplySetAsk changes what is known of a supply.
type SupplySetAsk struct {
	Asked
	Supply string `json:"supply" word:"NAME"`
	SupplyFields
}

// SupplyChanged is a supply as it is now. Set names what was typed.
type SupplyChanged struct {
	Meta
	jobs.Supply
	Set []SupplySetting `json:"set"`
}

// SupplySetting is a field of a supply as it is now.
type SupplySetting struct {
	Name  string `json:"name"`
	Value string `json:"value"`
}

// SupplyAdd adds a supply, SupplySet changes one.
var (
	SupplyAdd = Define("supply add", "NOT ADDED", Writes, (*Book).supplyAdd)
	SupplySet = Define("supply set", "NOT CHANGED", Writes, (*Book).supplySet)
)

func (b *Book) supplyAdd(ask *SupplyAddAsk, res *SupplyChanged) (err error) {
	s := jobs.Supply{Name: ask.Supply, Unit: jobs.Unit(ask.Unit)}
	if unit, ok := jobs.UnitNamed(ask.Unit); ok { // ounces are kept in grams
		s.Unit = unit
	}
	if ask.Unit == "" {
		return &jobs.Refusal{Code: "usage", Class: jobs.Invalid, Why: "the unit is missing", Type: []string{"supply add " + ask.Supply + " --unit ml"}}
	}
	res.Set = ask.apply(&s)
	res.Supply = s
	return b.AddSupply(s)
}

func (b *Book) supplySet(ask *SupplySetAsk, res *SupplyChanged) error {
	s, err := b.FindSupply(ask.Supply)
	if err != nil {
		return err
	}
	if res.Set = ask.apply(&s); len(res.Set) == 0 {
		return &jobs.Refusal{Code: "usage", Class: jobs.Invalid, Why: "nothing to change was typed", Type: []string{"supply set " + s.Name + " --reorder 100"}}
	}
	if err := s.Validate(); err != nil {
		return err
	}
	res.Supply = s
	return store.Put(b.Tx, store.Supplies, s)
}

// apply sets the fields that were typed and names them.
func (f *SupplyFields) apply(s *jobs.Supply) []SupplySetting {
	set := []SupplySetting{}
	say := func(name string, value any) { set = append(set, SupplySetting{name, fmt.Sprint(value)}) }
	for _, x := range []struct {
		name      string
		typed, to *string
	}{{"title", f.Title, &s.Title}, {"supplier", f.Supplier, &s.Supplier}, {"label", f.Label, &s.Label}, {"note", f.Note, &s.Note}} {
		if x.typed != nil {
			*x.to = strings.TrimSpace(*x.typed)
			say(x.name, *x.to)
		}
	}
	for _, x := range []struct {
		name      string
		typed, to *money.Qty
	}{{"reorder", f.Reorder, &s.Reorder}, {"safety", f.Safety, &s.Safety}, {"pack", f.Pack, &s.Pack}} {
		if x.typed != nil {
			*x.to = *x.typed
			say(x.name, x.to.String()+" "+string(s.Unit))
		}
	}
	for _, x := range []struct {
		name      string
		typed, to *int
	}{{"delivery-days", f.DeliveryDays, &s.DeliveryDays}, {"open-life-days", f.OpenLifeDays, &s.OpenLifeDays}} {
		if x.typed != nil {
			*x.to = *x.typed
			say(x.name, *x.to)
		}
	}
	if f.Replacement != nil {
		s.Replacement = *f.Replacement
		say("replacement", s.Replacement)
	}
	return set
}
