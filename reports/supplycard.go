package reports

import (
	"fmt"
	"slices"
	"strings"

	"bookmatch/costing/money"
	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
)

// How much of a long history the first screen of a supply shows (our guess).
const (
	newestUses   = 4
	newestUsedUp = 1
)

// SupplyCard is one supply: what is on hand, its lots and its newest uses. Its
// account, all lots and all uses are behind --why and --all.
func SupplyCard(r *workshop.SupplyShowResult) Report {
	s := r.SupplyReading
	out := Of(r, "supply-"+s.Supply, titleOf(s))
	out.Headline = []string{fmt.Sprintf("%s: %s %s on hand, worth %s.", s.Supply, some(s.OnHand), s.Unit, cash(r.Currency, s.Value)), orderWhen(s)}
	all := make([]lotRow, 0, len(s.Lots)+1)
	for _, x := range s.Lots {
		all = append(all, lotRow{LotReading: x, supply: s})
	}
	all = append(all, owedRow(s)...)
	account, lots, uses := accountTable(r), supplyLots(all, r.Currency), usesTableOf(r, r.Uses)
	whole := []Section{{Table: &account}, {Table: &lots}, {Table: &uses}, {Title: "What to order", Notes: s.Order.Reasons}}
	if r.All {
		out.Sections = whole[:3]
	} else {
		shortLots, shortUses := supplyLots(lately(all), r.Currency), usesTableOf(r, r.Uses[max(len(r.Uses)-newestUses, 0):])
		shortLots.Name, shortUses.Name, shortLots.Title, shortUses.Title = "newest-lots", "newest-uses", "Lots", "Newest uses"
		for i := range shortLots.Columns {
			shortLots.Columns[i].Sum = false
		}
		if text := leftOutText(len(all)-len(shortLots.Rows), len(r.Uses)-len(shortUses.Rows)); text != "" {
			out.Notes = append(out.Notes, text+" before these: supply show "+s.Supply+" --all")
		}
		out.Add(shortLots, shortUses)
	}
	for _, x := range s.Order.Expiring {
		out.Notes = append(out.Notes, expiryText(s, x))
	}
	out.Notes = append(out.Notes, s.Doubts...)
	if s.Label != "" {
		out.Cautions = []string{"Label: " + s.Label}
	}
	out.Next = []string{fmt.Sprintf("supply receive %s 100 --price 12.50", s.Supply), "supply show " + s.Supply + " --why"}
	suppliesCounted(&out)
	why := out
	why.Sections, why.Notes = whole, slices.DeleteFunc(slices.Clone(out.Notes), func(n string) bool { return strings.HasSuffix(n, "--all") })
	out.Reasons = &why
	return out
}

func supplyLots(rows []lotRow, currency string) Table {
	t := lotTable(rows, currency, false)
	t.Title = "Lots, in the order in which they are used up"
	return t
}

// leftOutText counts what the first screen leaves out: "6 lots and 22 uses".
func leftOutText(lots, uses int) string {
	var parts []string
	if lots > 0 {
		parts = append(parts, jobs.CountText(lots, "lot"))
	}
	if uses > 0 {
		parts = append(parts, jobs.CountText(uses, "use"))
	}
	return strings.Join(parts, " and ")
}

// lately leaves out the lots used up before the newest few of those.
func lately(lots []lotRow) []lotRow {
	used := 0
	for _, x := range lots {
		if x.Left.Sign() == 0 {
			used++
		}
	}
	var out []lotRow
	for _, x := range lots {
		if x.Left.Sign() == 0 {
			if used--; used >= newestUsedUp {
				continue
			}
		}
		out = append(out, x)
	}
	return out
}

// accountLine is a line of the account of a supply.
type accountLine struct {
	what, note string
	quantity   money.Qty
	value      money.Amount
}

func accountTable(r *workshop.SupplyShowResult) Table {
	s := r.SupplyReading
	what := "lost, counted away, expired"
	if s.FoundQ.Sign() > 0 {
		what = "lost, expired, less found"
	}
	cols := []Col[accountLine]{
		{Column{Key: "what", Header: "what"}, func(x accountLine) Cell { return Text(x.what) }},
		{Column{Key: "quantity", Header: "quantity", Unit: string(s.Unit), Kind: KindQuantity}, func(x accountLine) Cell { return Quantity(x.quantity).When(x.quantity.Sign() < 0, Bad) }},
		{Column{Key: "value", Header: "value", Unit: r.Currency, Kind: KindMoney}, func(x accountLine) Cell { return Money(x.value) }},
		{Column{Key: "note", Header: "note", Max: 30}, func(x accountLine) Cell {
			if x.what == s.CentOn {
				return Text(strings.TrimPrefix(x.note+", with the rounding", ", "))
			}
			return Text(x.note)
		}},
	}
	t := Build(Table{Name: "account", Title: "Account"}, []accountLine{
		{"received", "", s.ReceivedQ, s.ValueIn},
		{"issued", "to necks " + money.Currency(r.Currency).Print(s.ToNecks), s.IssuedQ, s.Issued},
		{"written off", what, s.LostQ, s.WrittenOff}}, cols)
	hand := Build(Table{}, []accountLine{{"on hand", "", s.OnHand, s.Value}}, cols).Rows[0]
	hand.Key, hand.Style = "on_hand", Sub
	t.Footer = append(t.Footer, hand)
	return t
}

func usesTableOf(r *workshop.SupplyShowResult, uses []workshop.UseReading) Table {
	type use = workshop.UseReading
	return Build(Table{Name: "uses", Title: "Uses, counts and write-offs", Empty: "Nothing was taken yet."}, uses, []Col[use]{
		{Column{Key: "use", Header: "no"}, func(x use) Cell {
			if x.ID == 0 {
				return Empty()
			}
			return Text(fmt.Sprint(x.ID))
		}},
		{Column{Key: "on", Header: "on", Kind: KindDate}, func(x use) Cell { return Date(x.On) }},
		{Column{Key: "for", Header: "for", Max: 18}, func(x use) Cell { return Text(x.For) }},
		{Column{Key: "quantity", Header: "quantity", Kind: KindQuantity}, func(x use) Cell { return Quantity(x.Quantity) }},
		{Column{Key: "value", Header: "value", Unit: r.Currency, Kind: KindMoney}, func(x use) Cell { return Money(x.Value) }},
		{Column{Key: "lots", Header: "from", Max: 24}, func(x use) Cell { return Text(takesText(x)) }},
		{Column{Key: "reason", Header: "reason", SheetOnly: true, Width: 30}, func(x use) Cell { return Text(x.Reason) }},
		{Column{Key: "note", Header: "note", SheetOnly: true, Width: 30}, func(x use) Cell { return Text(x.Note) }},
	})
}

// takesText says from which lots a use came.
func takesText(u workshop.UseReading) string {
	if u.Back != 0 {
		return fmt.Sprintf("back as lot %d", u.Back)
	}
	return fromText(u.Lots, u.Beyond)
}

// fromText names the lots of a use: "200 of lot 1, 50 of lot 2".
func fromText(lots []workshop.TakenLot, beyond money.Qty) string {
	var parts []string
	for _, t := range lots {
		s := fmt.Sprintf("lot %d", t.Lot)
		if t.Lot == 0 {
			s = "found"
		}
		if len(lots) > 1 || beyond.Sign() > 0 {
			s = some(t.Quantity) + " of " + s
		}
		if t.Expired {
			s += " (expired)"
		}
		parts = append(parts, s)
	}
	if beyond.Sign() > 0 {
		parts = append(parts, beyond.String()+" beyond the stock")
	}
	return strings.Join(parts, ", ")
}

// LotUsers says which necks used a lot.
func LotUsers(r *workshop.SupplyLotResult) Report {
	type user = workshop.LotUser
	out := Of(r, fmt.Sprintf("lot-%d", r.Lot), fmt.Sprintf("Lot %d: %s", r.Lot, r.Supply))
	var necks []string
	for _, u := range r.Uses {
		if name, _, _ := strings.Cut(u.For, ","); u.Neck != "" && !slices.Contains(necks, name) {
			necks = append(necks, name)
		}
	}
	line := fmt.Sprintf("Lot %d of %s, received %s: %s %s left.", r.Lot, r.Supply, r.Received.Format("2 Jan 2006"), r.Left, r.Unit)
	out.Headline = []string{line, "No neck used it."}
	if len(necks) > 0 {
		out.Headline[1] = "Necks that used it: " + strings.Join(necks, ", ") + "."
	}
	out.Add(Build(Table{Name: "users", Title: "Who used it", Empty: "Not used yet."}, r.Uses, []Col[user]{
		{Column{Key: "use", Header: "no"}, func(x user) Cell { return Text(fmt.Sprint(x.Use)) }},
		{Column{Key: "on", Header: "on", Kind: KindDate}, func(x user) Cell { return Date(x.On) }},
		{Column{Key: "for", Header: "for", Max: 20}, func(x user) Cell { return Text(x.For) }},
		{Column{Key: "step", Header: "step", Kind: KindCount}, func(x user) Cell {
			if x.Step == 0 {
				return Empty()
			}
			return Count(x.Step)
		}},
		{Column{Key: "quantity", Header: "quantity", Kind: KindQuantity, Sum: true}, func(x user) Cell { return Quantity(x.Quantity) }},
		{Column{Key: "value", Header: "value", Unit: r.Currency, Kind: KindMoney, Sum: true}, func(x user) Cell { return Money(x.Value) }},
		{Column{Key: "flag", Header: "flag"}, func(x user) Cell {
			if !x.Expired {
				return Empty()
			}
			return Text("expired").In(Bad)
		}},
		{Column{Key: "reason", Header: "reason", SheetOnly: true, Width: 30}, func(x user) Cell { return Text(x.Reason) }},
	}))
	out.Next = []string{"supply show " + r.Supply}
	return out
}
