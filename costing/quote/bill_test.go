package quote

import (
	"testing"

	"bookmatch/costing/money"
	"bookmatch/jobs"

	"github.com/shopspring/decimal"
)

// The tax of each paper stands as it was agreed: 10.13, 20.17 and 5.99 at 19 %
// round to 1.92, 3.83 and 1.14 line by line, 6.89 together, where 19 % of 36.29
// would be 6.90 (own arithmetic; per-line rounding is one of the two ways HMRC's
// VAT Notice 700 and the CJEU's C-484/06 leave open).
func TestBillAddsThePapersUp(t *testing.T) {
	eur := money.MustParse
	change := func(no int, status jobs.OrderStatus, net, tax, gross string) jobs.ChangeOrder {
		return jobs.ChangeOrder{No: no, Status: status, What: "more inlay", Net: eur(net), Tax: eur(tax), Gross: eur(gross)}
	}
	q := jobs.Quote{Code: "Q1", Customer: "a customer", DepositOn: "2027-01-15", Changes: []jobs.ChangeOrder{
		change(1, jobs.OrderAccepted, "20.17", "3.83", "24.00"), change(2, jobs.OrderOpen, "100.00", "19.00", "119.00"),
		change(3, jobs.OrderDeclined, "50.00", "9.50", "59.50"), change(4, jobs.OrderAccepted, "5.99", "1.14", "7.13")}}
	var out Quoted
	out.Price = Price{Net: eur("10.13"), Tax: eur("1.92"), Gross: eur("12.05"), Deposit: eur("5.00"), TaxPercent: decimal.NewFromInt(19)}
	b := BillOf(q, Input{}, out, "2027-03-01")
	eq(t, "net", b.Net, "36.29")
	eq(t, "tax", b.Tax, "6.89")
	eq(t, "gross", b.Gross, "43.18")
	eq(t, "received", b.Received, "5.00")
	eq(t, "due", b.Due, "38.18")
	if len(b.Lines) != 3 {
		t.Errorf("%d lines; changes that were not agreed are no part of it", len(b.Lines))
	}
	early := BillOf(q, Input{}, out, "2027-01-14")
	eq(t, "received before its day", early.Received, "0")
	eq(t, "due before the deposit", early.Due, "43.18")
}
