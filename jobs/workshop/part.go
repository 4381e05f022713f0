package workshop

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"bookmatch/costing/money"
	"bookmatch/costing/quote"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// PartFacts are the flags that tell about a part. A flag that was not given stays
// nil and changes nothing. A date of "none" is taken away.
type PartFacts struct {
	Quantity    *int          `json:"quantity,omitempty" flag:"quantity" arg:"N" help:"how many"`
	Price       *money.Amount `json:"price,omitempty" flag:"price" arg:"PRICE" help:"the PRICE of all of them, without tax"`
	Freight     *money.Amount `json:"freight,omitempty" flag:"freight" arg:"AMOUNT" help:"its part of the freight"`
	Tax         *string       `json:"tax,omitempty" flag:"tax" arg:"TAX" help:"tax paid: an amount, or a rate such as 21%"`
	Reclaimable *bool         `json:"reclaimable,omitempty" flag:"reclaimable" help:"the tax comes back"`
	Delivery    *string       `json:"delivery,omitempty" flag:"delivery" arg:"NAME" help:"the delivery it came with"`
	PurchaseFields
	Ordered    *string `json:"ordered,omitempty" flag:"ordered" arg:"DATE" help:"the DATE of the order"`
	Arrives    *string `json:"arrives,omitempty" flag:"arrives" arg:"DATE" help:"the DATE it is expected"`
	Arrived    *string `json:"arrived,omitempty" flag:"arrived" arg:"DATE" help:"the DATE it came"`
	Here       bool    `json:"here,omitempty" flag:"here" help:"it is in the shop"`
	Returnable *string `json:"returnable_until,omitempty" flag:"returnable-until" arg:"DATE" help:"the last DATE it can go back"`
	Returned   *string `json:"returned,omitempty" flag:"returned" arg:"DATE" help:"the DATE it went back; its freight stays a cost"`
	Note       *string `json:"note,omitempty" flag:"note" help:"a remark"`
}

// PartAddAsk adds a part to a neck.
type PartAddAsk struct {
	Asked
	Neck string `json:"neck" word:"NECK"`
	Name string `json:"name" word:"WHAT..."`
	PartFacts
}

// PartSetAsk changes a part by its number.
type PartSetAsk struct {
	Asked
	Part uint64  `json:"part" word:"PART"`
	Name *string `json:"name,omitempty" flag:"name" help:"what it is"`
	PartFacts
}

// PartDropAsk removes a part.
type PartDropAsk struct {
	Asked
	Part uint64 `json:"part" word:"PART"`
}

// PartResult is one part as it is now.
type PartResult struct {
	Meta
	PartRow
}

// PartRow is a part as results show it.
type PartRow struct {
	jobs.Part
	For         string         `json:"for"` // what its neck is called
	State       jobs.PartState `json:"state"`
	Where       string         `json:"where"` // "to order", "overdue 7 days", "expected 2027-03-04", "here"
	Cost        money.Amount   `json:"cost"`
	Returnable  bool           `json:"returnable"`
	OverdueDays int            `json:"overdue_days,omitempty"`
}

// The verbs of parts.
var (
	PartAdd     = Define("part add", "NOT ADDED", Writes, (*Book).partAdd)
	PartSet     = Define("part set", "NOT CHANGED", Writes, (*Book).partSet)
	PartDrop    = Define("part drop", "NOT CHANGED", Writes, (*Book).partDrop)
	PartFreight = Define("part freight", "NOT CHANGED", Writes, (*Book).partFreight)
	PartList    = Define("part list", "", Reads, (*Book).partList)
)

func (b *Book) partRow(p jobs.Part, n jobs.Neck) PartRow {
	today, cur := b.today(), b.Shop.Currency
	p.Price, p.Freight, p.Tax = cur.Line(p.Price), cur.Line(p.Freight), cur.Line(p.Tax)
	r := PartRow{Part: p, For: n.Name(), State: p.State(today), Where: p.Where(today), Cost: cur.Line(p.Cost()), Returnable: p.Returnable(today)}
	if r.State == jobs.PartOverdue {
		r.OverdueDays = p.Arrives.DaysTo(today)
	}
	return r
}

// tell changes a part by what was said of it.
func (b *Book) tell(f PartFacts, p *jobs.Part) error {
	if f.Quantity != nil {
		p.Quantity = *f.Quantity
	}
	if f.Price != nil {
		p.Price = *f.Price
	}
	if f.Freight != nil {
		p.Freight = *f.Freight
	}
	if f.Tax != nil {
		tax, err := b.taxOn(*f.Tax, p.Price.Add(p.Freight))
		if err != nil {
			return err
		}
		p.Tax = tax
	}
	if f.Reclaimable != nil {
		p.Reclaimable = *f.Reclaimable
	}
	if f.Delivery != nil {
		p.Delivery = strings.TrimSpace(*f.Delivery)
	}
	f.buy(&p.Supplier, &p.DeliveryDays)
	if f.Note != nil {
		p.Note = strings.TrimSpace(*f.Note)
	}
	if f.Here {
		p.Arrived = b.today()
	}
	for _, d := range []struct {
		field string
		said  *string
		to    *jobs.Day
	}{{"ordered", f.Ordered, &p.Ordered}, {"arrives", f.Arrives, &p.Arrives}, {"arrived", f.Arrived, &p.Arrived}, {"returnable-until", f.Returnable, &p.ReturnableUntil}, {"returned", f.Returned, &p.Returned}} {
		if d.said == nil {
			continue
		}
		v := strings.TrimSpace(*d.said)
		switch v {
		case "", "none":
			*d.to = ""
			continue
		}
		read := b.day
		if d.field == "ordered" || d.field == "arrived" || d.field == "returned" {
			read = b.pastDay
		}
		day, err := read(d.field, v)
		if err == nil && d.field == "arrived" {
			_, err = b.dayUpToNow(d.field, day)
		}
		if err != nil {
			return err
		}
		*d.to = day
	}
	return p.Validate()
}

// taxOn reads a tax: an amount, or a rate of what it is paid on.
func (b *Book) taxOn(said string, on money.Amount) (money.Amount, error) {
	rate, percent := strings.CutSuffix(strings.TrimSpace(said), "%")
	a, err := jobs.ParseAmount("tax", strings.TrimSpace(rate))
	if err == nil && percent {
		a = b.Shop.Currency.Line(quote.TaxOn(on, a.Decimal()))
	}
	return a, err
}

func (b *Book) partAdd(ask *PartAddAsk, res *PartResult) error {
	n, err := b.FindNeck(ask.Neck)
	if err != nil {
		return err
	}
	if ask.Price == nil {
		return &jobs.Refusal{Code: "price", Class: jobs.Invalid, Why: "the price of " + ask.Name + " is missing", Type: []string{fmt.Sprintf("part add %s %s --price 84.00", n.Name(), ask.Name)}}
	}
	p := jobs.Part{Neck: n.Code, Name: ask.Name, Quantity: 1}
	if err := b.tell(ask.PartFacts, &p); err != nil {
		return err
	}
	if p.ID, err = store.NextID(b.Tx, store.Parts); err != nil {
		return err
	}
	b.lateCost(n)
	res.PartRow = b.partRow(p, n)
	return store.Put(b.Tx, store.Parts, p)
}

// lateCost warns that the cost of a closed neck changes.
func (b *Book) lateCost(n jobs.Neck) {
	if n.IsClosed() {
		b.Warnf("closed", "%s is %s. Its cost changes after closing.", n.Name(), n.Status)
	}
}

func (b *Book) part(id uint64) (jobs.Part, jobs.Neck, error) {
	p, ok, err := store.GetID(b.Tx, store.Parts, id)
	if err == nil && !ok {
		err = &jobs.Refusal{Code: "missing", Class: jobs.Missing, Why: fmt.Sprintf("there is no part %d", id), Type: []string{"part list"}}
	}
	if err != nil {
		return p, jobs.Neck{}, err
	}
	n, err := b.Neck(p.Neck)
	return p, n, err
}

func (b *Book) partSet(ask *PartSetAsk, res *PartResult) error {
	p, n, err := b.part(ask.Part)
	if err != nil {
		return err
	}
	if ask.Name != nil {
		p.Name = strings.TrimSpace(*ask.Name)
	}
	if err := b.tell(ask.PartFacts, &p); err != nil {
		return err
	}
	b.lateCost(n)
	res.PartRow = b.partRow(p, n)
	return store.Put(b.Tx, store.Parts, p)
}

func (b *Book) partDrop(ask *PartDropAsk, res *PartResult) error {
	p, n, err := b.part(ask.Part)
	if err != nil {
		return err
	}
	b.lateCost(n)
	res.PartRow = b.partRow(p, n)
	return store.Delete(b.Tx, store.Parts, p)
}

// PartFreightAsk shares the freight of a delivery over its parts, by price.
type PartFreightAsk struct {
	Asked
	Freight money.Amount `json:"freight" word:"AMOUNT"`
	Parts   string       `json:"parts" word:"PARTS..."`
}

// PartFreightResult is the freight of a delivery and the parts that share it.
type PartFreightResult struct {
	Meta
	Freight money.Amount `json:"freight"`
	Parts   []PartRow    `json:"parts"`
}

func (b *Book) partFreight(ask *PartFreightAsk, res *PartFreightResult) error {
	if ask.Freight.Sign() < 0 {
		return &jobs.FieldError{Field: "amount", Value: ask.Freight.String(), Want: "an amount of zero or more such as 9.90"}
	}
	var parts []jobs.Part
	var necks []jobs.Neck
	for _, f := range strings.FieldsFunc(ask.Parts, func(r rune) bool { return r == ',' || r == ' ' }) {
		id, err := strconv.ParseUint(f, 10, 63)
		if err != nil {
			return &jobs.FieldError{Field: "part", Value: f, Want: "the numbers of parts such as 1,2"}
		}
		p, n, err := b.part(id)
		if err != nil {
			return err
		}
		if slices.ContainsFunc(parts, func(q jobs.Part) bool { return q.ID == p.ID }) {
			return &jobs.FieldError{Field: "part", Value: f, Want: "each number once"}
		}
		parts, necks = append(parts, p), append(necks, n)
	}
	cur := b.Shop.Currency
	res.Freight = cur.Line(ask.Freight)
	for i, share := range jobs.ShareFreight(res.Freight, parts, cur.Scale()) {
		parts[i].Freight = share
		if err := store.Put(b.Tx, store.Parts, parts[i]); err != nil {
			return err
		}
		res.Parts = append(res.Parts, b.partRow(parts[i], necks[i]))
	}
	return nil
}

// PartListAsk asks for the parts of a neck, or of all that are not closed.
type PartListAsk struct {
	Asked
	Neck string `json:"neck,omitempty" word:"[NECK]"`
}

// PartListResult lists parts. GoBack are those that can go back for two weeks at
// most, the soonest first.
type PartListResult struct {
	Meta
	Parts  []PartRow    `json:"parts"`
	Total  money.Amount `json:"total"`
	GoBack []PartRow    `json:"go_back,omitempty"`
}

// backDays is how long before its last day a part is listed as one that can go
// back.
const backDays = 14

func (b *Book) partList(ask *PartListAsk, res *PartListResult) error {
	var only string
	if ask.Neck != "" {
		n, err := b.FindNeck(ask.Neck)
		if err != nil {
			return err
		}
		only = n.Code
	}
	res.Parts, res.Total = []PartRow{}, b.Shop.Currency.Line(money.Zero)
	var plain []jobs.Part
	for p, err := range store.Each(b.Tx, store.Parts) {
		if err != nil {
			return err
		}
		n, err := b.Neck(p.Neck)
		if err != nil {
			return err
		}
		if only != "" && p.Neck != only || only == "" && n.IsClosed() {
			continue
		}
		r := b.partRow(p, n)
		res.Parts, res.Total, plain = append(res.Parts, r), res.Total.Add(r.Cost), append(plain, p)
	}
	for _, p := range jobs.DueBack(plain, b.today(), backDays) {
		n, err := b.Neck(p.Neck)
		if err != nil {
			return err
		}
		res.GoBack = append(res.GoBack, b.partRow(p, n))
	}
	return nil
}
