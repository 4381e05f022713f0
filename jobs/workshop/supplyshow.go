package workshop

import (
	"fmt"
	"slices"
	"time"

	"bookmatch/costing/money"
	"bookmatch/costing/stock"
	"bookmatch/jobs"
)

// SupplyListAsk asks for all supplies.
type SupplyListAsk struct{ Asked }

// SupplyListResult is every supply by name, and what all of it is worth.
type SupplyListResult struct {
	Meta
	Supplies []SupplyReading `json:"supplies"`
	Value    money.Amount    `json:"value"`
}

// SupplyShowAsk asks for one supply.
type SupplyShowAsk struct {
	Asked
	Supply string `json:"supply" word:"NAME"`
	All    bool   `json:"all,omitempty" flag:"all" help:"also lots used up and uses of long ago"`
}

// SupplyShowResult is one supply with its uses in the order of time. All says
// that the view leaves none out.
type SupplyShowResult struct {
	Meta
	SupplyReading
	Uses []UseReading `json:"uses"`
	All  bool         `json:"all,omitempty"`
}

// SupplyLotAsk asks which necks used a lot.
type SupplyLotAsk struct {
	Asked
	Lot uint64 `json:"lot" word:"LOT"`
}

// SupplyLotResult is a lot with who used it. Necks are codes.
type SupplyLotResult struct {
	Meta
	Lot      uint64    `json:"lot"`
	Supply   string    `json:"supply"`
	Unit     jobs.Unit `json:"unit"`
	Received time.Time `json:"received"`
	Left     money.Qty `json:"left"`
	Necks    []string  `json:"necks"`
	Uses     []LotUser `json:"uses"`
}

// LotUser is one use of a lot. For says who is charged.
type LotUser struct {
	stock.LotUse
	For string `json:"for"`
}

// SupplyList lists the supplies, SupplyShow shows one, SupplyLot shows who used a
// lot.
var (
	SupplyList = Define("supply list", "", Long, (*Book).supplyList)
	SupplyShow = Define("supply show", "", Long, (*Book).supplyShow)
	SupplyLot  = Define("supply lot", "", Long, (*Book).supplyLot)
)

func (b *Book) supplyList(_ *SupplyListAsk, res *SupplyListResult) error {
	ledgers, err := b.SupplyLedgers()
	if err != nil {
		return err
	}
	planned, err := b.PlannedUses()
	if err != nil {
		return err
	}
	res.Supplies, res.Value = []SupplyReading{}, b.Shop.Currency.Line(money.Zero)
	for _, l := range ledgers {
		r := b.supplyReading(l, planned[l.Supply.Name])
		res.Supplies = append(res.Supplies, r)
		res.Value = res.Value.Add(r.Value)
	}
	return nil
}

func (b *Book) supplyShow(ask *SupplyShowAsk, res *SupplyShowResult) error {
	s, err := b.FindSupply(ask.Supply)
	if err != nil {
		return err
	}
	l, err := b.SupplyLedger(s)
	if err != nil {
		return err
	}
	planned, err := b.PlannedUses()
	if err != nil {
		return err
	}
	res.SupplyReading, res.Uses, res.All = b.supplyReading(l, planned[s.Name]), []UseReading{}, ask.All
	for _, is := range l.Issues {
		res.Uses = append(res.Uses, b.useReading(is))
	}
	return nil
}

func (b *Book) supplyLot(ask *SupplyLotAsk, res *SupplyLotResult) error {
	lot, err := b.LotOf("", ask.Lot)
	if err != nil {
		return err
	}
	s, err := b.FindSupply(lot.Supply)
	if err != nil {
		return err
	}
	l, err := b.SupplyLedger(s)
	if err != nil {
		return err
	}
	i := slices.IndexFunc(l.Lots, func(x stock.LotState) bool { return x.ID == ask.Lot })
	if i < 0 {
		return fmt.Errorf("lot %d is not in the account of %s", ask.Lot, s.Name)
	}
	res.Lot, res.Supply, res.Unit, res.Received, res.Left = lot.ID, s.Name, s.Unit, b.Wall(lot.Received), l.Lots[i].Left
	res.Necks, res.Uses = []string{}, []LotUser{}
	for _, u := range l.UsersOf(lot.ID) {
		is, _ := l.Find(u.Use)
		u.Value, u.On = b.Shop.Currency.Line(u.Value), b.Wall(u.On)
		res.Uses = append(res.Uses, LotUser{u, b.chargedTo(is.Use)})
		if u.Neck != "" && !slices.Contains(res.Necks, u.Neck) {
			res.Necks = append(res.Necks, u.Neck)
		}
	}
	return nil
}
