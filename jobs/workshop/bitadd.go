package workshop

import (
	"fmt"
	"strings"

	"bookmatch/costing/money"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// BitAddAsk adds a bit.
type BitAddAsk struct {
	Asked
	Code     string        `json:"bit" word:"CODE"`
	Diameter string        `json:"diameter" flag:"diameter" arg:"SIZE" help:"SIZE: 10, 9.5mm, 25/64in"`
	Point    string        `json:"point" flag:"point" help:"brad, twist, forstner or countersink" of:"brad twist forstner countersink"`
	Material string        `json:"material,omitempty" flag:"material" help:"carbon-steel, hss or carbide; hss if left out" of:"carbon-steel hss carbide"`
	Keep     string        `json:"kept_for,omitempty" flag:"keep" help:"show (rims must not tear), general or scrap" of:"show general scrap"`
	Price    *money.Amount `json:"price,omitempty" flag:"price" arg:"PRICE" help:"PRICE of the bit"`
	NewEdge  *money.Amount `json:"new_edge_cost,omitempty" flag:"new-edge" arg:"COST" help:"COST of a sharpening; the price if left out"`
	Life     string        `json:"life,omitempty" flag:"life" arg:"HOLES" help:"life you expect in HOLES of wear, or 2.0m of cut"`
	PurchaseFields
	Label string `json:"label,omitempty" flag:"label" help:"the maker's label: bits of one label are compared as one"`
	LateAsk
	Note string `json:"note,omitempty" flag:"note" help:"a remark"`
}

// BitResult is one bit after a change of it.
type BitResult struct {
	Meta
	Bit   jobs.Bit `json:"record"`
	Class string   `json:"class"`
	Life  LifeRow  `json:"life"`
}

// BitAdd puts a bit on file.
var BitAdd = Define("bit add", "NOT ADDED", Writes, (*Book).bitAdd)

func (b *Book) bitAdd(ask *BitAddAsk, res *BitResult) error {
	bit := jobs.Bit{Code: ask.Code, Point: strings.ToLower(ask.Point), Material: ask.Material, Keep: ask.Keep, Note: ask.Note}
	ask.buy(&bit.Supplier, &bit.DeliveryDays)
	if bit.Material == "" {
		bit.Material = "hss"
	}
	if bit.Keep == "" {
		bit.Keep = jobs.KeepGeneral
	}
	if err := jobs.ValidCode("bit", bit.Code); err != nil {
		return err
	}
	var lacks, such []string
	for _, need := range []struct{ flag, value, such string }{{"diameter", ask.Diameter, "10"}, {"point", ask.Point, "brad"}} {
		if need.value == "" {
			lacks, such = append(lacks, "--"+need.flag), append(such, "--"+need.flag+" "+need.such)
		}
	}
	if len(lacks) > 0 {
		return &jobs.Refusal{Code: "usage", Class: jobs.Invalid, Why: strings.Join(lacks, " and ") + map[bool]string{true: " is", false: " are"}[len(lacks) == 1] + " needed", Type: []string{"bit add " + typedOf(ask) + " " + strings.Join(such, " ")}}
	}
	var err error
	if bit.DiameterMM, bit.DiameterText, err = jobs.ParseDiameter(ask.Diameter); err != nil {
		return err
	}
	if bit.Price, err = amountOf("price", ask.Price); err != nil {
		return err
	}
	if bit.NewEdgeCost, err = amountOf("new-edge", ask.NewEdge); err != nil {
		return err
	}
	if ask.Life != "" {
		if bit.ExpectedM, err = jobs.ParseLife("life", ask.Life); err != nil {
			return err
		}
	}
	if bit.MakersLabel, err = labelOf(ask.Label); err != nil {
		return err
	}
	if bit.Added, err = b.stamp(ask.On, false); err != nil {
		return err
	}
	if err := b.AddBit(bit); err != nil {
		return err
	}
	b.warnBit(bit)
	return b.bitResult(bit, res)
}

// warnBit warns when a bit lacks what its verdicts are made of.
func (b *Book) warnBit(bit jobs.Bit) {
	if bit.ExpectedM == 0 {
		b.Warn(jobs.Warning{Code: "no-life", Text: "No expected life. That of its class is taken, if it is known.", Hint: fmt.Sprintf("bit set %s --life 133", bit.Code)})
	}
	if bit.ChangeCost().Sign() == 0 {
		b.Warn(jobs.Warning{Code: "no-price", Text: "No price. That of its class is taken, else its expected life is the limit.", Hint: fmt.Sprintf("bit set %s --price 14.00", bit.Code)})
	}
}

// bitResult gives a bit as it is now.
func (b *Book) bitResult(bit jobs.Bit, res *BitResult) error {
	life, err := b.bitLife(bit.Code)
	res.Bit, res.Class, res.Life = bit, bit.Class().String(), lifeRow(life)
	return err
}

// amountOf gives an amount of zero or more that may be missing.
func amountOf(field string, a *money.Amount) (money.Amount, error) {
	if a == nil {
		return money.Zero, nil
	}
	if a.Sign() < 0 || a.Cmp(money.New(1, 12)) > 0 {
		return money.Zero, &jobs.FieldError{Field: field, Value: a.String(), Want: "an amount of zero or more such as 12.50"}
	}
	return *a, nil
}

// bitLife derives the present life of a bit. It is empty for an unknown one.
func (b *Book) bitLife(code string) (jobs.EdgeLife, error) {
	if code == "" {
		return jobs.EdgeLife{}, nil
	}
	book, err := b.BitBook(code)
	if err != nil {
		return jobs.EdgeLife{}, err
	}
	l, _ := book.Life(code)
	return l, nil
}

// woodTable reads the woods, once a transaction.
func (b *Book) woodTable() (jobs.WoodTable, error) {
	if b.woods == nil {
		woods, err := store.All(b.Tx, store.Woods)
		if err != nil {
			return nil, err
		}
		b.woods = jobs.NewWoodTable(woods)
	}
	return b.woods, nil
}
