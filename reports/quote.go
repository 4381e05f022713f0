package reports

import (
	"fmt"
	"slices"
	"strings"

	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
)

// QuoteShown is one quote: the answer on a screen, every figure in a workbook,
// or one of its papers.
func QuoteShown(r *workshop.QuoteResult) Report {
	switch {
	case r.Offer != nil:
		return quoteOffer(r)
	case r.Bill != nil:
		return quoteBill(r)
	case r.Order != nil && r.Order.ForOutside:
		return orderForCustomer(r)
	case r.Order != nil:
		return QuoteOrder(r)
	}
	f := r.QuoteFigures
	out := Of(r, "quote-"+f.Quote, fmt.Sprintf("Quote %s revision %d (%s)", f.Quote, f.Revision, f.Status))
	out.Subject = quoteSubject(f)
	out.Headline = quoteHeadline(f, string(out.Currency))
	if f.Status == jobs.QuoteDraft || f.Status == jobs.QuoteSent { // later its neck shows them
		out.Cautions = f.Cautions
	}
	out.Inputs = quoteInputs(f, out)
	screen := quoteScreen(f, string(out.Currency))
	for _, s := range screen {
		out.Sections = append(out.Sections, Section{At: First, Drawing: s})
	}
	at := func(d Depth, t Table) { out.Sections = append(out.Sections, Section{At: d, Table: &t}) }
	price := quotePrice(f, out)
	price.Title, price.Subtitle = out.Title+": what it is offered for", out.Subject
	at(Full|Why, price)
	at(Full|Lines, quoteLines(f, out))
	at(Full|Why, quoteSteps(f))
	at(Full|Why, quoteHours(f))
	at(Full, quoteCurve(f))
	out.Sections = append(out.Sections, Section{At: Full, Drawing: HoursCurve(f, out.Title)})
	at(Full|Why, quoteDate(f))
	at(Full|Why, quoteAssumed(f))
	if len(f.Changes) > 0 {
		at(First|Full, quoteOrders(f, out))
	}
	out.Notes = quoteNotes(f)
	out.Next = quoteNext(f)
	quoteCounted(&out, f)
	return out
}

// QuoteSent is the echo of a quote that was sent.
func QuoteSent(r *workshop.QuoteResult) Report {
	f := r.QuoteFigures
	return Report{Name: "quote", Cautions: f.Cautions, Headline: []string{
		fmt.Sprintf("Quote %s SENT to %s: %s %s with tax, valid until %s.", f.Quote, f.Customer, r.Currency, f.Price.Gross.Fixed(scaleOf(r.Currency)), longDay(f.Until)),
		"Its figures no longer change.",
		"For the customer: paper quote " + f.Quote}}
}

// QuoteDeclined is the echo of a quote that was declined.
func QuoteDeclined(r *workshop.QuoteDeclineResult) Report {
	line := fmt.Sprintf("Quote %s DECLINED on %s.", r.Quote, longDay(r.Declined))
	if r.Why != "" {
		line = fmt.Sprintf("Quote %s DECLINED on %s: %s.", r.Quote, longDay(r.Declined), strings.TrimSuffix(r.Why, "."))
	}
	return Report{Name: "quote", Headline: []string{line}}
}

// QuoteAccepted is the echo of a quote that became a neck.
func QuoteAccepted(r *workshop.QuoteAcceptResult) Report {
	out := Report{Name: "quote"}
	for i, n := range r.Necks {
		name := strings.TrimSpace(n.Neck + " " + n.Nickname)
		promised := "no date promised"
		if n.Due != "" {
			promised = "promised " + longDay(n.Due)
		}
		line := fmt.Sprintf("neck %s, %d steps, starts %s, %s.", name, n.Steps, longDay(n.Starts), promised)
		if n.Tied {
			line = fmt.Sprintf("neck %s, which is there already, %s.", name, promised)
		}
		if i == 0 {
			line = fmt.Sprintf("Quote %s ACCEPTED by %s: ", r.Quote, r.Customer) + line
		}
		out.Headline = append(out.Headline, line)
	}
	second := fmt.Sprintf("Deposit %s due %s.", r.Deposit, longDay(r.DepositOn))
	if len(r.Parts) > 0 {
		second += " To order: " + strings.Join(r.Parts, ", ") + "."
	}
	out.Headline = append(out.Headline, second)
	return out
}

// QuoteCompared sets a new revision next to the one before.
func QuoteCompared(r *workshop.QuoteReviseResult) Report {
	title := fmt.Sprintf("Quote %s: revision %d next to %d", r.Is.Quote, r.Is.Revision, r.Was.Revision)
	out := Of(r, "revisions-"+r.Is.Quote, title)
	out.Headline = quoteHeadline(r.Is, string(out.Currency))
	type row = workshop.RevisionRow
	cols := []Col[row]{
		{Column{Key: "what", Header: "what", Max: 26, Width: 30}, func(x row) Cell { return Text(x.What) }},
		{Column{Key: "was", Header: fmt.Sprintf("revision %d", r.Was.Revision)}, func(x row) Cell { return Text(x.Was) }},
		{Column{Key: "is", Header: fmt.Sprintf("revision %d", r.Is.Revision)}, func(x row) Cell { return Text(x.Is) }},
		{Column{Key: "change", Header: "change"}, func(x row) Cell { return Text(x.Change) }},
	}
	moved := slices.DeleteFunc(slices.Clone(r.Rows), func(x row) bool { return x.Change == workshop.Same })
	few, all := Build(Table{Name: "moved", Empty: "No figure has changed."}, moved, cols), Build(Table{Name: "revisions"}, r.Rows, cols)
	if n := len(r.Rows) - len(moved); n > 0 && len(moved) > 0 {
		few.Note("%s the same.", jobs.CountText(n, "figure"))
	}
	out.Sections = []Section{{At: First, Table: &few}, {At: Full | Why, Table: &all}}
	out.Next = []string{"quote send " + r.Is.Quote}
	return out
}

// QuoteList is one line for each quote.
func QuoteList(r *workshop.QuoteListResult) Report {
	out := Of(r, "quotes", "Quotes")
	type row = workshop.QuoteRow
	out.Headline = []string{jobs.CountText(len(r.Quotes), "quote") + "."}
	agreed := false
	for _, q := range r.Quotes {
		agreed = agreed || q.Promised != ""
	}
	out.Add(Build(Table{Name: "quotes", Empty: "no quote yet"}, r.Quotes, []Col[row]{
		{Column{Key: "quote", Header: "quote"}, func(x row) Cell { return Text(x.Quote) }},
		{Column{Key: "revision", Header: "rev", Kind: KindCount}, func(x row) Cell { return Count(x.Revision) }},
		{Column{Key: "status", Header: "status"}, func(x row) Cell {
			if x.Expired {
				return Text(string(x.Status) + ", expired").In(Careful)
			}
			return Text(string(x.Status))
		}},
		{Column{Key: "customer", Header: "for", Max: 18}, func(x row) Cell { return Text(x.Customer) }},
		{Column{Key: "gross", Header: "with tax", Unit: string(out.Currency), Kind: KindMoney}, func(x row) Cell { return Money(x.Gross) }},
		{Column{Key: "date", Header: "date", Kind: KindDate}, func(x row) Cell { return Day(string(x.Date)) }},
		{Column{Key: "until", Header: "valid until", Kind: KindDate}, func(x row) Cell { return Day(string(x.Until)) }},
		{Column{Key: "necks", Header: "necks", Max: 10}, func(x row) Cell { return Text(strings.Join(x.Necks, ", ")) }},
	}))
	if agreed {
		out.Notes = append(out.Notes, "Date: the safe one. For an accepted quote it is the date promised now.")
	}
	out.Next = []string{"quote show QUOTE"}
	if len(r.Quotes) == 0 {
		out.Next = []string{`quote draft Q1 --for "a customer" --quantity holes=6 --margin 25`}
	} else {
		out.Next = []string{"quote show " + r.Quotes[len(r.Quotes)-1].Quote}
	}
	return out
}

func quoteSubject(f *workshop.QuoteFigures) string {
	text := f.Title
	if f.Customer != "" {
		if text != "" {
			text += ", "
		}
		text += "for " + f.Customer
	}
	if f.Until != "" {
		text += fmt.Sprintf(", sent %s, valid until %s", f.Sent, f.Until)
	}
	return text
}
