package workshop

import (
	"fmt"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
	"bookmatch/layout"
)

// Letter is what papers that leave the shop say of both sides, as far as it is on
// record.
type Letter struct {
	Address   []string `json:"address,omitempty"`
	Contact   []string `json:"contact,omitempty"`
	TaxNumber string   `json:"tax_number,omitempty"`
	Bank      string   `json:"bank,omitempty"`
	Logo      string   `json:"logo,omitempty"` // path of a picture that is there
	Exemption string   `json:"exemption,omitempty"`
	Care      []string `json:"care,omitempty"`
	To        []string `json:"to,omitempty"` // address of the customer
}

// letterTo gives the letterhead and a customer's address.
func (b *Book) letterTo(customer string) (*Letter, error) {
	s := b.Shop
	l := &Letter{Address: jobs.Lines(s.Address), Contact: jobs.Lines(s.Contact), TaxNumber: s.TaxNumber, Bank: s.Bank, Exemption: s.Exemption}
	for _, line := range s.Care {
		if line != "" {
			l.Care = append(l.Care, line)
		}
	}
	if fileThere(s.Logo) {
		l.Logo = s.Logo
	}
	c, _, err := store.Get(b.Tx, store.Customers, customer)
	l.To = jobs.Lines(c.Address)
	return l, err
}

// letterLacks warns of what a letter leaves out because it is not on record.
func (b *Book) letterLacks(l *Letter, customer string, bank bool) {
	say := func(lacking bool, what, hint string) {
		if lacking {
			b.Warn(jobs.Warning{Code: "left-out", Text: "No " + what + " on record: left out.", Hint: hint})
		}
	}
	say(b.Shop.Name == "", "name of the shop", `shop set name "Lime Tree Lane"`)
	if b.Shop.Logo != "" && l.Logo == "" {
		b.Warn(jobs.Warning{Code: "left-out", Text: "The logo " + b.Shop.Logo + " is not there: left out.", Hint: "shop set logo FILE.png"})
	}
	say(len(l.Address) == 0, "address of the shop", `shop set address "Lime Tree Lane 3, 04999 Fernfeld"`)
	say(len(l.To) == 0 && customer != "", "address of "+customer, `customer set "`+customer+`" --address "Alder Court 14, 04998 Lower Marsh"`)
	say(bank && l.Bank == "", "bank of the shop", `shop set bank "IBAN ..."`)
}

// planByCode finds the plan that a quote was made from. Nil when none has the code.
func (b *Book) planByCode(code string) (*layout.Plan, error) {
	if code == "" {
		return nil, nil
	}
	for p, err := range store.Each(b.Tx, store.Plans) {
		if err != nil {
			return nil, err
		}
		if p.Code == code {
			solved, err := SolvedOf(p)
			return &solved, err
		}
	}
	return nil, nil
}

// quotePlan is the plan of what is quoted: that of its first neck, else the one its
// holes were taken from.
func (b *Book) quotePlan(q jobs.Quote, ask jobs.QuoteAsk) (*layout.Plan, error) {
	if len(q.Necks) == 0 {
		return b.planByCode(ask.Layout)
	}
	rec, ok, err := b.CurrentPlan(q.Necks[0])
	if err != nil || !ok {
		return nil, err
	}
	p, err := SolvedOf(rec)
	return &p, err
}

// customers gives the names of all customers of necks and quotes with how many they
// have of each.
func (b *Book) customers() (map[string]*CustomerRow, error) {
	rows := map[string]*CustomerRow{}
	row := func(name string) *CustomerRow {
		if name == "" {
			return new(CustomerRow)
		}
		if rows[name] == nil {
			rows[name] = &CustomerRow{Customer: jobs.Customer{Name: name}}
		}
		return rows[name]
	}
	for n, err := range store.Each(b.Tx, store.Necks) {
		if err != nil {
			return nil, err
		}
		row(n.Customer).Necks++
	}
	for q, err := range store.Each(b.Tx, store.Quotes) {
		if err != nil {
			return nil, err
		}
		row(q.Customer).Quotes++
	}
	for c, err := range store.Each(b.Tx, store.Customers) {
		if err != nil {
			return nil, err
		}
		row(c.Name).Customer = c
	}
	return rows, nil
}

// CustomerRow is a customer in a list.
type CustomerRow struct {
	jobs.Customer
	Necks  int `json:"necks"`
	Quotes int `json:"quotes"`
}

// CustomerSetAsk enters what a letter to a customer needs.
type CustomerSetAsk struct {
	Asked
	Name    string  `json:"customer" word:"NAME..."`
	Address *string `json:"address,omitempty" flag:"address" arg:"LINES" help:"street and town, lines parted by commas"`
	Contact *string `json:"contact,omitempty" flag:"contact" arg:"WORDS" help:"mail or telephone, for yourself"`
}

// CustomerListAsk asks for all customers.
type CustomerListAsk struct{ Asked }

// CustomerListResult is every customer of a neck or a quote.
type CustomerListResult struct {
	Meta
	Customers []CustomerRow `json:"customers"`
}

// CustomerResult is one customer as it is now.
type CustomerResult struct {
	Meta
	CustomerRow
}

// CustomerSet enters an address, CustomerList lists them.
var (
	CustomerSet  = Define("customer set", "NOT CHANGED", Writes, (*Book).customerSet)
	CustomerList = Define("customer list", "", Long, (*Book).customerList)
)

func (b *Book) customerSet(ask *CustomerSetAsk, res *CustomerResult) error {
	all, err := b.customers()
	if err != nil {
		return err
	}
	names := jobs.SortedKeys(all)
	row, ok := all[ask.Name]
	if !ok {
		switch hits := jobs.Candidates(ask.Name, names); len(hits) {
		case 0:
			return &jobs.NotFoundError{Noun: "customer", Value: ask.Name, Near: jobs.Nearest(ask.Name, names)}
		case 1:
			row = all[hits[0]]
		default:
			return jobs.Ambiguous("customer", ask.Name, hits)
		}
	}
	if ask.Address == nil && ask.Contact == nil {
		return &jobs.Refusal{Code: "usage", Class: jobs.Invalid, Why: "no address and no contact was given", Type: []string{fmt.Sprintf(`customer set "%s" --address "Alder Court 14, 04998 Lower Marsh"`, row.Name)}}
	}
	for _, f := range []struct {
		said *string
		set  func(string) error
	}{{ask.Address, row.SetAddress}, {ask.Contact, row.SetContact}} {
		if f.said != nil {
			if err := f.set(*f.said); err != nil {
				return err
			}
		}
	}
	res.CustomerRow = *row
	return store.Put(b.Tx, store.Customers, row.Customer)
}

func (b *Book) customerList(_ *CustomerListAsk, res *CustomerListResult) error {
	all, err := b.customers()
	res.Customers = []CustomerRow{}
	for _, name := range jobs.SortedKeys(all) {
		res.Customers = append(res.Customers, *all[name])
	}
	return err
}
