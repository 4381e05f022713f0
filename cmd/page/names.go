package page

import (
	"strings"

	"bookmatch/cmd/words"
	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
)

// namesFor gives the names of the shop that a field of a form asks for: a finger
// picks one where a keyboard would type it. Nil where it asks for none, or where
// there is no shop yet.
func (q *request) namesFor(c words.Command, f workshop.Field) []string {
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
		return names(q, workshop.NeckList, &workshop.NeckListAsk{}, func(r *workshop.NeckListResult) []workshop.NeckRow { return r.Necks }, workshop.NeckRow.Name)
	case "bit":
		return names(q, workshop.BitList, &workshop.BitListAsk{}, func(r *workshop.BitsResult) []workshop.BitRow { return r.Bits }, func(b workshop.BitRow) string { return b.Bit })
	case "wood":
		return names(q, workshop.WoodList, &workshop.WoodListAsk{}, func(r *workshop.WoodListResult) []jobs.Wood { return r.Woods }, func(w jobs.Wood) string { return w.Name })
	case "operation":
		return names(q, workshop.OperationList, &workshop.OperationListAsk{}, func(r *workshop.OperationListResult) []workshop.OperationReading { return r.Operations }, func(o workshop.OperationReading) string { return o.Operation })
	case "route":
		return names(q, workshop.RouteList, &workshop.RouteListAsk{}, func(r *workshop.RouteListResult) []jobs.Route { return r.Routes }, func(o jobs.Route) string { return o.Name })
	case "quote":
		return names(q, workshop.QuoteList, &workshop.QuoteListAsk{}, func(r *workshop.QuoteListResult) []workshop.QuoteRow { return r.Quotes }, func(o workshop.QuoteRow) string { return o.Quote })
	case "supply":
		return names(q, workshop.SupplyList, &workshop.SupplyListAsk{}, func(r *workshop.SupplyListResult) []workshop.SupplyReading { return r.Supplies }, func(s workshop.SupplyReading) string { return s.Supply })
	case "customer", "for":
		return names(q, workshop.CustomerList, &workshop.CustomerListAsk{}, func(r *workshop.CustomerListResult) []workshop.CustomerRow { return r.Customers }, func(c workshop.CustomerRow) string { return c.Name })
	}
	return nil
}

// names asks for a list and gives the name of each of its rows. None where the shop
// has no answer.
func names[R workshop.Result, T any](q *request, v workshop.Verb, ask workshop.Ask, rows func(R) []T, name func(T) string) (out []string) {
	r, err := do[R](q, v, ask)
	if err != nil {
		return nil
	}
	for _, x := range rows(r) {
		out = append(out, name(x))
	}
	return out
}
