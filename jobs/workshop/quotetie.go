package workshop

import (
	"fmt"
	"slices"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// tie gives an accepted quote a neck that exists. What was worked on it counts for
// the quote; its steps stay as they are, and what the quote has otherwise is said.
func (b *Book) tie(ask *QuoteAcceptAsk, n jobs.Neck, q jobs.Quote, wish jobs.QuoteAsk) (jobs.Neck, error) {
	show := "neck show " + n.Name()
	switch {
	case n.Sale != nil || n.Status == jobs.Scrapped:
		return n, jobs.Refuse("neck-gone", fmt.Sprintf("%s is %s and not in the shop any more", n.Name(), n.Status), show)
	case n.Quote != "":
		return n, jobs.Refuse("has-quote", fmt.Sprintf("%s is of quote %s already", n.Name(), n.Quote), show, "quote show "+n.Quote)
	case n.Customer != "" && n.Customer != q.Customer:
		return n, jobs.Refuse("of-another", fmt.Sprintf("%s is for %s, and quote %s for %s", n.Name(), n.Customer, q.Code, q.Customer), fmt.Sprintf("neck set %s --for %q", n.Name(), q.Customer))
	case wish.Necks > 1:
		return n, jobs.Refuse("many-necks", fmt.Sprintf("quote %s is for %d necks", q.Code, wish.Necks), "quote accept "+q.Code+" --deposit-on "+string(q.DepositOn))
	case ask.Nickname != "" && ask.Nickname != n.Nickname:
		return n, jobs.Refuse("named", n.Name()+" has a name already", fmt.Sprintf("neck set %s --nickname %s", n.Name(), ask.Nickname))
	}
	n.Quote, n.Customer, n.Paid = q.Code, q.Customer, true
	if n.Title == "" {
		n.Title = q.Title
	}
	b.warnOther(n, q, "wood", n.Wood, wish.Wood, fmt.Sprintf("neck set %s --wood %s", n.Name(), wish.Wood))
	b.warnOther(n, q, "veneer", n.Veneer, wish.Veneer, fmt.Sprintf("neck set %s --veneer %s", n.Name(), wish.Veneer))
	var counts []string
	for name := range wish.Quantities {
		counts = append(counts, name)
	}
	slices.Sort(counts)
	for _, name := range counts {
		b.warnOther(n, q, "count of "+name, jobs.NumberText(n.Quantities[name]), jobs.NumberText(wish.Quantities[name]), show+" --steps")
	}
	if err := n.Validate(); err != nil {
		return n, err
	}
	if err := store.Put(b.Tx, store.Necks, n); err != nil {
		return n, err
	}
	return n, b.quotedParts(n, wish.Parts, q.Code)
}

// warnOther warns that a neck is other than its quote says.
func (b *Book) warnOther(n jobs.Neck, q jobs.Quote, what, is, quoted, hint string) {
	if quoted == "" || is == quoted {
		return
	}
	if is == "" {
		is = "none"
	}
	b.Warn(jobs.Warning{Code: "not-as-quoted", Text: fmt.Sprintf("Quote %s has as %s %s. %s has %s.", q.Code, what, quoted, n.Name(), is), Hint: hint})
}
