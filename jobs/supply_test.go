package jobs

import (
	"errors"
	"testing"
	"time"

	"bookmatch/costing/money"
)

func testQty(s string) money.Qty {
	q, err := money.ParseQty(s)
	if err != nil {
		panic(err)
	}
	return q
}

func TestSupplyValidate(t *testing.T) {
	good := Supply{Name: "wood-glue", Unit: UnitML}
	lot := Lot{Supply: "wood-glue", Source: SourceBought, Received: time.Unix(0, 0), Quantity: testQty("200"), Price: money.New(18, 0)}
	use := SupplyUse{Supply: "wood-glue", Kind: UseIssue, Quantity: testQty("1"), On: time.Unix(0, 0)}
	piece := Piece{Code: "V1", Kind: PieceVeneer, Wood: "walnut", ThicknessMM: 0.6}
	part := Part{Neck: "N1", Name: "tuners", Quantity: 6}
	for _, ok := range []interface{ Validate() error }{good, lot, use, piece, part} {
		if err := ok.Validate(); err != nil {
			t.Errorf("%T: %v", ok, err)
		}
	}
	change := func(f func(*Supply, *Lot, *SupplyUse, *Piece, *Part)) []interface{ Validate() error } {
		s, l, u, p, q := good, lot, use, piece, part
		f(&s, &l, &u, &p, &q)
		return []interface{ Validate() error }{s, l, u, p, q}
	}
	for name, f := range map[string]func(*Supply, *Lot, *SupplyUse, *Piece, *Part){
		"unit":                  func(s *Supply, _ *Lot, _ *SupplyUse, _ *Piece, _ *Part) { s.Unit = "litre" },
		"name":                  func(s *Supply, _ *Lot, _ *SupplyUse, _ *Piece, _ *Part) { s.Name = "Wood glue" },
		"negative level":        func(s *Supply, _ *Lot, _ *SupplyUse, _ *Piece, _ *Part) { s.Reorder = testQty("-1") },
		"lead":                  func(s *Supply, _ *Lot, _ *SupplyUse, _ *Piece, _ *Part) { s.DeliveryDays = -1 },
		"nothing received":      func(_ *Supply, l *Lot, _ *SupplyUse, _ *Piece, _ *Part) { l.Quantity = testQty("0") },
		"negative price":        func(_ *Supply, l *Lot, _ *SupplyUse, _ *Piece, _ *Part) { l.Price = money.New(-1, 0) },
		"gift with a price":     func(_ *Supply, l *Lot, _ *SupplyUse, _ *Piece, _ *Part) { l.Source = SourceGift },
		"offcut of no neck":     func(_ *Supply, l *Lot, _ *SupplyUse, _ *Piece, _ *Part) { l.Source = SourceOffcut },
		"opened before it came": func(_ *Supply, l *Lot, _ *SupplyUse, _ *Piece, _ *Part) { l.Opened = time.Unix(-9e5, 0) },
		"no date":               func(_ *Supply, l *Lot, _ *SupplyUse, _ *Piece, _ *Part) { l.Received = time.Time{} },
		"nothing used":          func(_ *Supply, _ *Lot, u *SupplyUse, _ *Piece, _ *Part) { u.Quantity = testQty("0") },
		"negative use":          func(_ *Supply, _ *Lot, u *SupplyUse, _ *Piece, _ *Part) { u.Quantity = testQty("-3") },
		"count for a neck":      func(_ *Supply, _ *Lot, u *SupplyUse, _ *Piece, _ *Part) { u.Kind, u.Neck = UseCount, "N1" },
		"unknown kind of use":   func(_ *Supply, _ *Lot, u *SupplyUse, _ *Piece, _ *Part) { u.Kind = "loan" },
		"thickness":             func(_ *Supply, _ *Lot, _ *SupplyUse, p *Piece, _ *Part) { p.ThicknessMM = -0.6 },
		"piece kind":            func(_ *Supply, _ *Lot, _ *SupplyUse, p *Piece, _ *Part) { p.Kind = "plank" },
		"part without number":   func(_ *Supply, _ *Lot, _ *SupplyUse, _ *Piece, q *Part) { q.Quantity = 0 },
		"negative freight":      func(_ *Supply, _ *Lot, _ *SupplyUse, _ *Piece, q *Part) { q.Freight = money.New(-1, 0) },
	} {
		var got []error
		for _, v := range change(f) {
			if err := v.Validate(); err != nil {
				got = append(got, err)
			}
		}
		if len(got) != 1 || !errors.Is(got[0], ErrInvalid) {
			t.Errorf("%s: got %v, want one error of class invalid", name, got)
		}
	}
	// A count may find nothing.
	if err := (SupplyUse{Kind: UseCount, On: time.Unix(0, 0)}).Validate(); err != nil {
		t.Errorf("an empty shelf: %v", err)
	}
}

// The last good day is the earlier of the printed date and opening + life; in
// a zone, the day of opening is the shop's.
func TestLotExpires(t *testing.T) {
	berlin, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		t.Fatal(err)
	}
	late := time.Date(2026, 3, 10, 23, 30, 0, 0, time.UTC) // 11 March in Berlin
	for _, c := range []struct {
		label  Day
		opened time.Time
		life   int
		want   Day
		why    string
	}{
		{"", time.Time{}, 0, "", ""},
		{"2027-01-10", time.Time{}, 30, "2027-01-10", "printed date"},
		{"2027-01-10", late, 30, "2026-04-10", "opened 2026-03-11"},
		{"2026-04-01", late, 30, "2026-04-01", "printed date"},
		{"", late, 30, "2026-04-10", "opened 2026-03-11"},
		{"", late, 0, "", ""},
	} {
		got, why := Lot{LabelExpires: c.label, Opened: c.opened}.Expires(c.life, berlin)
		if got != c.want || why != c.why {
			t.Errorf("label %s, opened %s, life %d: got %q by %q, want %q by %q", c.label, c.opened, c.life, got, why, c.want, c.why)
		}
	}
}

// Mass = area x spread x sides: 180 cm2 at 0.02 ml per cm2 with 2 ml left in
// the cup is 5.6 ml (own figures; no spread rate is claimed).
func TestRecipe(t *testing.T) {
	r := RecipeLine{Supply: "wood-glue", PerUnit: testQty("0.02"), Waste: testQty("2")}
	if got := r.Quantity(testQty("180")); got.String() != "5.6" {
		t.Errorf("got %s", got)
	}
	parts := r.Shares([]money.Qty{testQty("180"), testQty("90")})
	if parts[0].String() != "4.933" || parts[1].String() != "2.467" || parts[0].Plus(parts[1]).String() != "7.4" {
		t.Errorf("over two necks: %v", parts)
	}
	if err := (RecipeLine{Supply: "wood-glue"}).Validate(); !errors.Is(err, ErrInvalid) {
		t.Errorf("an empty recipe: %v", err)
	}
}

func TestPieceFits(t *testing.T) {
	p := Piece{Code: "V1", ThicknessMM: 0.6, LengthMM: 220, WidthMM: 90}
	if !p.Fits(0.5, 0.7, 200, 85) || !p.Fits(0.6, 0.6, 85, 200) || p.Fits(0.65, 0.7, 0, 0) || p.Fits(0.5, 0.7, 230, 80) || p.Fits(0.5, 0.7, 200, 95) {
		t.Error("fits by thickness and both lengths")
	}
	used, unmeasured := p, p
	used.Neck, unmeasured.ThicknessMM = "N1", 0
	if used.Fits(0, 9, 0, 0) || unmeasured.Fits(0, 9, 0, 0) {
		t.Error("a used or unmeasured piece is offered")
	}
}

func TestPartCost(t *testing.T) {
	p := Part{Price: money.MustParse("78"), Freight: money.MustParse("6.50"), Tax: money.MustParse("17.75"), ReturnableUntil: "2026-03-10", Arrives: "2026-03-01"}
	if got := p.Cost().String(); got != "102.25" {
		t.Errorf("with tax: %s", got)
	}
	p.Reclaimable = true
	if got := p.Cost().String(); got != "84.5" {
		t.Errorf("tax comes back: %s", got)
	}
	if !p.Returnable("2026-03-10") || p.Returnable("2026-03-11") || !p.Missing("2026-03-05") {
		t.Error("returnable through the day, missing until it arrived")
	}
	due := DueBack([]Part{{ID: 1, ReturnableUntil: "2026-03-20"}, p, {ID: 2}}, "2026-03-05", 7)
	if len(due) != 1 || due[0].ReturnableUntil != "2026-03-10" {
		t.Errorf("due back: %+v", due)
	}
	p.Returned = "2026-03-08"
	if got := p.Cost().String(); got != "6.5" || p.Returnable("2026-03-09") {
		t.Errorf("sent back: %s", got)
	}
	shares := ShareFreight(money.MustParse("9.90"), []Part{{Price: money.MustParse("78")}, {Price: money.MustParse("12")}, {Price: money.MustParse("12")}}, 2)
	if shares[0].Fixed(2) != "7.57" || shares[1].Fixed(2) != "1.17" || shares[2].Fixed(2) != "1.16" || money.Sum(shares...).Fixed(2) != "9.90" {
		t.Errorf("freight %v", shares)
	}
}
