package reports

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"bookmatch/costing/money"
	"bookmatch/costing/stock"
	"bookmatch/jobs"
)

func itoa(n uint64) string { return strconv.FormatUint(n, 10) }

// How much of a long history the card of a supply shows unless all is asked for
// (judgement): a page.
const (
	newestUses   = 20
	newestUsedUp = 5
)

// SupplyCard is one supply: its account, its lots and what was taken, newest
// uses last. It takes the first ledger of the book. Unless all is set, lots used
// up and uses of long ago are left out and counted.
func SupplyCard(b SupplyBook, all bool) Report {
	l, o := b.Ledgers[0], b.Orders[0]
	title := l.Supply.Name
	if l.Supply.Title != "" {
		title += ": " + l.Supply.Title
	}
	r := b.report("supply-"+l.Supply.Name, title, "")
	shown, taken := l, l.Issues
	if !all {
		shown.Lots = lately(l.Lots)
		taken = taken[max(len(taken)-newestUses, 0):]
	}
	lots := lotTable(lotLines(shown, false), b.Shop, false)
	lots.Title = "Lots, in the order in which they are used up"
	uses := b.uses(taken)
	if n := len(l.Lots) - len(shown.Lots); n > 0 {
		lots.Note("lots used up before these: %d; see them with supply show %s --all", n, l.Supply.Name)
	}
	if n := len(l.Issues) - len(taken); n > 0 {
		uses.Note("earlier ones: %d; see them with supply show %s --all", n, l.Supply.Name)
	}
	r.Add(b.account(l, o), lots, uses)
	b.counted(&r)
	return r
}

func (b SupplyBook) account(l stock.SupplyLedger, o stock.Reorder) Table {
	t := Table{Name: "account", Title: "Account", Columns: []Column{
		{Key: "what", Header: "what"}, {Key: "quantity", Header: "quantity", Unit: string(l.Supply.Unit), Kind: KindQuantity},
		{Key: "value", Header: "value", Unit: string(b.Shop.Currency), Kind: KindMoney}, {Key: "note", Header: "note", Max: 30},
	}}
	in, issued, lost := money.Qty{}, money.Qty{}, money.Qty{}
	for _, x := range l.Lots {
		if x.Found == 0 && !x.Source.Returns() {
			in = in.Plus(x.Quantity)
		}
	}
	what := "lost, counted away, expired"
	for _, is := range l.Issues {
		if is.Account == stock.WrittenOff {
			lost = lost.Plus(is.Quantity)
			if is.Quantity.Sign() < 0 {
				what = "lost, expired, less found"
			}
		} else {
			issued = issued.Plus(is.Quantity)
		}
	}
	t.Add(Text("received"), Quantity(in), Money(l.ValueIn))
	t.Add(Text("issued"), Quantity(issued), Money(l.Issued), Text("to necks "+b.Shop.Currency.Print(l.ToNecks)))
	t.Add(Text("written off"), Quantity(lost.Plus(l.Expired)), Money(l.WrittenOff), Text(what))
	hand := Quantity(l.OnHand)
	if l.OnHand.Sign() < 0 {
		hand = hand.In(Bad)
	}
	t.Footer = append(t.Footer, Row{Key: "on_hand", Style: Sub, Cells: []Cell{Text("on hand"), hand, Money(l.Value)}})
	if cur := b.Shop.Currency; cur.Line(l.ValueIn).Cmp(money.Sum(cur.Line(l.Issued), cur.Line(l.WrittenOff), cur.Line(l.Value))) != 0 {
		t.Note("the printed lines differ from the value received by their rounding; the exact values add up")
	}
	for _, w := range l.Warnings {
		t.Note("%s", w)
	}
	switch {
	case o.Now:
		t.Note("order now: %s %s", o.Quantity, l.Supply.Unit)
	case o.OrderBy != "":
		t.Note("order %s %s by %s", o.Quantity, l.Supply.Unit, o.OrderBy)
	}
	for _, why := range o.Reasons {
		t.Note("%s", why)
	}
	for _, x := range o.Expiring {
		t.Note("%s", expiryText(l.Supply, x))
	}
	if l.Supply.Label != "" {
		t.Note("label: %s", l.Supply.Label)
	}
	return t
}

// lately leaves out the lots used up before the newest few of those.
func lately(lots []stock.LotState) []stock.LotState {
	used := 0
	for _, x := range lots {
		if x.Left.Sign() == 0 {
			used++
		}
	}
	var out []stock.LotState
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

func (b SupplyBook) uses(issues []stock.Issue) Table {
	t := Table{Name: "uses", Title: "Uses, counts and write-offs", Empty: "nothing was taken yet", Columns: []Column{
		{Key: "use", Header: "no"}, {Key: "on", Header: "on", Kind: KindDate}, {Key: "neck", Header: "for", Max: 18},
		{Key: "quantity", Header: "quantity", Kind: KindQuantity}, {Key: "value", Header: "value", Unit: string(b.Shop.Currency), Kind: KindMoney},
		{Key: "lots", Header: "from", Max: 24}, {Key: "reason", Header: "reason", SheetOnly: true, Width: 30}, {Key: "note", Header: "note", SheetOnly: true, Width: 30},
	}}
	for _, is := range issues {
		no := itoa(is.Use.ID)
		if is.Back != 0 {
			no = ""
		}
		t.Add(Text(no), Date(is.Use.On.In(b.Shop.Location())), Text(b.bearer(is)), Quantity(is.Quantity), Money(is.Value), Text(takesText(is)), Text(is.Use.Reason), Text(is.Use.Note))
	}
	return t
}

// bearer says who bears an issue.
func (b SupplyBook) bearer(is stock.Issue) string {
	switch {
	case is.Use.Kind == jobs.UseCount:
		return "stock-take"
	case is.Use.Kind == jobs.UseWriteOff:
		return "written off"
	case is.Use.Neck == "":
		return "overhead"
	}
	name := b.Necks[is.Use.Neck]
	if name == "" {
		name = is.Use.Neck
	}
	if is.Use.Cause != "" {
		name += ", rework"
	}
	return name
}

// takesText says from which lots an issue came.
func takesText(is stock.Issue) string {
	if is.Back != 0 {
		return "back as lot " + itoa(is.Back)
	}
	var parts []string
	for _, t := range is.Takes {
		s := "lot " + itoa(t.Lot)
		if t.Lot == 0 {
			s = "found"
		}
		if len(is.Takes) > 1 {
			s = t.Quantity.String() + " of " + s
		}
		if t.Expired {
			s += ", expired"
		}
		parts = append(parts, s)
	}
	if is.Short.Sign() > 0 {
		parts = append(parts, is.Short.String()+" beyond the stock")
	}
	return strings.Join(parts, "; ")
}

// LotUsers answers which necks used a lot.
func LotUsers(b SupplyBook, lot stock.LotState, users []stock.LotUse) Report {
	r := b.report(fmt.Sprintf("lot-%d", lot.ID), fmt.Sprintf("Lot %d: %s", lot.ID, lot.Supply), "received "+string(jobs.DayOf(lot.Received.In(b.Shop.Location()))))
	t := Table{Name: "users", Title: "Who used it", Empty: "nobody yet", Columns: []Column{
		{Key: "use", Header: "no"}, {Key: "on", Header: "on", Kind: KindDate}, {Key: "neck", Header: "for", Max: 20}, {Key: "step", Header: "step", Kind: KindCount},
		{Key: "quantity", Header: "quantity", Kind: KindQuantity, Sum: true}, {Key: "value", Header: "value", Unit: string(b.Shop.Currency), Kind: KindMoney, Sum: true},
		{Key: "mark", Header: "mark"}, {Key: "reason", Header: "reason", SheetOnly: true, Width: 30},
	}}
	var necks []string
	for _, u := range users {
		name := b.Necks[u.Neck]
		if name == "" {
			name = u.Neck
		}
		if name != "" && !slices.Contains(necks, name) {
			necks = append(necks, name)
		}
		step, mark := Empty(), Empty()
		if u.Step > 0 {
			step = Count(u.Step)
		}
		if u.Expired {
			mark = Text("expired").In(Bad)
		}
		t.Add(Text(itoa(u.Use)), Date(u.On.In(b.Shop.Location())), Text(orOverhead(name)), step, Quantity(u.Quantity), Money(u.Value), mark, Text(u.Reason))
	}
	if len(necks) > 0 {
		t.Note("necks: %s", strings.Join(necks, ", "))
	}
	r.Sections = Sections(t)
	return r
}

func orOverhead(name string) string {
	if name == "" {
		return "overhead"
	}
	return name
}
