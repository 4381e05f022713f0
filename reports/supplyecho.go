package reports

import (
	"fmt"
	"strings"

	"bookmatch/costing/money"
	"bookmatch/jobs/workshop"
)

// SupplyAdded is the echo of a supply that was added.
func SupplyAdded(r *workshop.SupplyChanged) Report {
	level := "Its use decides when to order."
	if r.Reorder.Sign() > 0 {
		level = fmt.Sprintf("Order at %s %s.", r.Reorder, r.Unit)
	}
	return Report{Name: "supply", Headline: []string{fmt.Sprintf("ADDED %s, kept in %s. %s", r.Name, r.Unit, level), fmt.Sprintf("Next: supply receive %s 250 --price 12.50", r.Name)}}
}

// SupplySet is the echo of a supply that was changed.
func SupplySet(r *workshop.SupplyChanged) Report {
	var set []string
	for _, s := range r.Set {
		set = append(set, s.Name+" "+s.Value)
	}
	return Report{Name: "supply", Headline: []string{fmt.Sprintf("CHANGED %s: %s.", r.Name, strings.Join(set, ", "))}}
}

// LotAdded is the echo of a delivery that was booked in.
func LotAdded(r *workshop.StockChanged) Report {
	out := Report{Name: "supply", Headline: []string{fmt.Sprintf("ADDED lot %d: %s %s of %s for %s. %s", r.ID, some(r.Quantity), r.Unit, r.Supply, cash(r.Currency, r.Value), onHandText(r))}}
	out.Notes = repricedText(r)
	return out
}

// LotBack is the echo of what came back from a neck.
func LotBack(r *workshop.StockChanged) Report {
	out := Report{Name: "supply", Headline: []string{fmt.Sprintf("ADDED lot %d: %s %s of %s back from %s at %s.", r.ID, some(r.Quantity), r.Unit, r.Supply, r.Neck, cash(r.Currency, r.Value))}}
	if r.Charged != nil {
		out.Headline = append(out.Headline, fmt.Sprintf("%s is charged %s for it now. %s", r.Neck, cash(r.Currency, r.Charged.Value), onHandText(r)))
	}
	out.Notes = repricedText(r)
	return out
}

// LotOpened is the echo of a lot that was opened.
func LotOpened(r *workshop.LotOpened) Report {
	line := fmt.Sprintf("OPENED lot %d of %s on %s.", r.Lot, r.Supply, r.Opened.Format("2 Jan 2006"))
	if r.Expires != "" {
		line += fmt.Sprintf(" Good through %s (%s).", r.Expires.Noon().Format("2 Jan 2006"), r.ExpiresBy)
	}
	return Report{Name: "supply", Headline: []string{line, "Follow the label."}}
}

// StockTaken is the echo of a use, a count or a write-off.
func StockTaken(r *workshop.StockChanged) Report { return taken("LOGGED", r) }

// StockAmended is the echo of a use or a lot that was corrected.
func StockAmended(r *workshop.StockChanged) Report {
	if r.What != "lot" {
		return taken("CHANGED", r)
	}
	out := LotAdded(r)
	out.Headline[0] = strings.Replace(out.Headline[0], "ADDED", "CHANGED", 1)
	return out
}

// StockRemoved is the echo of a use or a lot that was removed.
func StockRemoved(r *workshop.StockChanged) Report {
	return Report{Name: "supply", Headline: []string{fmt.Sprintf("REMOVED %s %d: %s %s of %s. %s", r.What, r.ID, some(r.Quantity), r.Unit, r.Supply, onHandText(r))}, Notes: repricedText(r)}
}

func taken(verb string, r *workshop.StockChanged) Report {
	head := fmt.Sprintf("%s %s %d: %s %s of %s", verb, r.What, r.ID, some(r.Quantity), r.Unit, r.Supply)
	switch {
	case r.Counted != nil:
		head = fmt.Sprintf("%s count %d: %s %s of %s, ", verb, r.ID, some(*r.Counted), r.Unit, r.Supply)
		switch r.Quantity.Sign() {
		case 0:
			head += "as expected."
		case 1:
			head += fmt.Sprintf("%s %s short. %s charged to overhead.", some(r.Quantity), r.Unit, cash(r.Currency, r.Value))
		default:
			head += fmt.Sprintf("%s %s more than expected. %s credited to overhead.", some(money.Qty{Decimal: r.Quantity.Neg()}), r.Unit, cash(r.Currency, r.Value.Neg()))
		}
	case r.Neck != "":
		head += fmt.Sprintf(" for %s, %s.", r.Neck, cash(r.Currency, r.Value))
	default:
		head += fmt.Sprintf(", %s charged to overhead.", cash(r.Currency, r.Value))
	}
	line := onHandText(r)
	if from := fromText(r.Lots, r.Beyond); from != "" && r.Counted == nil {
		line = "From " + from + ". " + line
	}
	return Report{Name: "supply", Headline: []string{head, line}}
}

func onHandText(r *workshop.StockChanged) string {
	return fmt.Sprintf("On hand: %s %s, worth %s.", some(r.OnHand), r.Unit, cash(r.Currency, r.OnValue))
}

// repricedText names the uses that a change gave another value: "Use 1 is worth
// EUR 15.00 now, was 13.50."
func repricedText(r *workshop.StockChanged) (out []string) {
	for _, x := range r.Repriced {
		line := fmt.Sprintf("Use %d is worth %s now, was %s", x.Use, cash(r.Currency, x.Value), cash(r.Currency, x.Was))
		if x.Settled {
			line += ", settled"
		}
		out = append(out, line+".")
	}
	return out
}
