package page

import (
	"strings"

	"bookmatch/cmd/words"
	"bookmatch/jobs/workshop"
)

// namesFor gives the names of the shop that a field of a form asks for: a finger
// picks one where a keyboard would type it. Nil where it asks for none, or where
// there is no shop yet.
func (q *request) namesFor(c words.Command, f workshop.Field) (out []string) {
	noun, verb, _ := strings.Cut(c.Path, " ")
	what := f.Name()
	if f.Read == "necks" || strings.EqualFold(f.Arg, "NECK") || strings.HasPrefix(f.Arg, "NECK|") {
		what = "neck"
	}
	if verb == "add" && f.Word != "" && what != "neck" && what != "route" || f.Key != "" {
		return nil // the name of what is new
	}
	if what == "name" || what == "code" || what == "use" {
		what = noun
	}
	switch what {
	case "neck":
		if r, err := do[*workshop.NeckListResult](q, workshop.NeckList, &workshop.NeckListAsk{}); err == nil {
			for _, n := range r.Necks {
				out = append(out, n.Name())
			}
		}
	case "bit":
		if r, err := do[*workshop.BitsResult](q, workshop.BitList, &workshop.BitListAsk{}); err == nil {
			for _, b := range r.Bits {
				out = append(out, b.Bit)
			}
		}
	case "wood":
		if r, err := do[*workshop.WoodListResult](q, workshop.WoodList, &workshop.WoodListAsk{}); err == nil {
			for _, w := range r.Woods {
				out = append(out, w.Name)
			}
		}
	case "operation":
		if r, err := do[*workshop.OperationListResult](q, workshop.OperationList, &workshop.OperationListAsk{}); err == nil {
			for _, o := range r.Operations {
				out = append(out, o.Operation)
			}
		}
	case "route":
		if r, err := do[*workshop.RouteListResult](q, workshop.RouteList, &workshop.RouteListAsk{}); err == nil {
			for _, o := range r.Routes {
				out = append(out, o.Name)
			}
		}
	case "quote":
		if r, err := do[*workshop.QuoteListResult](q, workshop.QuoteList, &workshop.QuoteListAsk{}); err == nil {
			for _, o := range r.Quotes {
				out = append(out, o.Quote)
			}
		}
	case "supply":
		if r, err := do[*workshop.SupplyListResult](q, workshop.SupplyList, &workshop.SupplyListAsk{}); err == nil {
			for _, s := range r.Supplies {
				out = append(out, s.Supply)
			}
		}
	case "customer", "for":
		if r, err := do[*workshop.CustomerListResult](q, workshop.CustomerList, &workshop.CustomerListAsk{}); err == nil {
			for _, s := range r.Customers {
				out = append(out, s.Name)
			}
		}
	}
	return out
}
