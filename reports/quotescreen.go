package reports

import (
	"fmt"
	"math"
	"strings"

	"bookmatch/costing/money"
	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
	"bookmatch/reports/plain"
)

// longDay prints a date for sentences: "17 Jun 2027".
func longDay(d jobs.Day) string { return dayForm(d, "2 Jan 2006") }

// shortDay prints a date without its year.
func shortDay(d jobs.Day) string { return dayForm(d, "2 Jan") }

func dayForm(d jobs.Day, form string) string {
	if d == "" {
		return "no date"
	}
	return d.Noon().Format(form)
}

func scaleOf(currency string) int32 { return money.Currency(currency).Scale() }

// quoteHeadline is the price and the date of a quote in one or two sentences.
func quoteHeadline(f *workshop.QuoteFigures, cur string) []string {
	who := ""
	if f.Customer != "" {
		who = " for " + f.Customer
	}
	gross := f.Price.Gross
	if f.WithChanges != nil {
		gross = f.WithChanges.Gross
	}
	line := fmt.Sprintf("Quote %s %s%s: %s %s with tax", f.Quote, f.Status, who, cur, gross.Fixed(scaleOf(cur)))
	if f.WithChanges != nil {
		line += " and changes"
	}
	second := ""
	switch p := f.Promise; {
	case f.Promised != "":
		second = fmt.Sprintf("Promised %s. ", longDay(f.Promised))
	case p.Safe == "":
		second = "No date: no working evenings are set up. "
	case p.DueChance != nil:
		second = fmt.Sprintf("Promise %s. Wanted %s: %s chance. ", longDay(p.Safe), longDay(p.Due), ChanceText(*p.DueChance))
	default:
		second = fmt.Sprintf("Promise %s. ", longDay(p.Safe))
	}
	if f.Status == jobs.QuoteSent {
		second += fmt.Sprintf("Valid until %s.", longDay(f.Until))
	}
	return []string{line, strings.TrimSpace(second)}
}

// sumLine is a row of the two columns of a quote: what, hours, amount. A row
// without an amount is a sentence.
type sumLine struct{ what, hours, amount string }

// quoteMoney is what a quote costs next to what it charges.
type quoteMoney struct {
	currency     string
	left, right  []sumLine
	short, below []sumLine // for a narrow screen
	loss         string
	tail         []string // the last lines of a narrow screen
}

// Text prints both columns next to each other where there is room for them.
func (q quoteMoney) Text(width int) string {
	const column, gap = 32, 4
	head := func(s string) string { return padTo(s, column-len(q.currency)) + q.currency }
	if width < 2*column+gap+8 {
		out := []string{head("What it costs you")}
		for _, l := range append(append([]sumLine(nil), q.short...), q.below...) {
			out = append(out, l.text(column))
		}
		return strings.Join(append(out, q.tail...), "\n")
	}
	out := []string{head("What it costs you") + strings.Repeat(" ", gap) + head("What you charge")}
	for i := range max(len(q.left), len(q.right)) {
		l, r := "", ""
		if i < len(q.left) {
			l = q.left[i].text(column)
		}
		if i < len(q.right) {
			r = q.right[i].text(column)
		}
		out = append(out, strings.TrimRight(padTo(l, column+gap)+r, " "))
	}
	return strings.Join(append(out, q.loss), "\n")
}

func (l sumLine) text(width int) string {
	if l.amount == "" {
		return "  " + l.what
	}
	const hours = 19 // where the hours end
	head := l.what
	if l.hours != "" {
		head += before(l.hours, max(hours-plain.Width(head), plain.Width(l.hours)+1))
	}
	return "  " + head + before(l.amount, max(width-2-plain.Width(head), plain.Width(l.amount)+1))
}

// padTo adds spaces behind a text until it is width columns wide, before adds
// them in front.
func padTo(s string, width int) string {
	return s + strings.Repeat(" ", max(width-plain.Width(s), 0))
}

func before(s string, width int) string {
	return strings.Repeat(" ", max(width-plain.Width(s), 0)) + s
}

// quoteTimes is how long a quote takes and when it is finished.
type quoteTimes struct {
	hours, wide, narrow string
	moves               []string
	noted               bool // notes follow, so a narrow screen has no room for moves
}

// Text prints the hours, the dates and what moves them.
func (q quoteTimes) Text(width int) string {
	dates, hours, moves := q.wide, "Bench hours   "+q.hours+" (4 jobs in 5 take less)", q.moves
	if width < 76 {
		dates, hours, moves = q.narrow, "Hours  "+q.hours, q.moves[:min(2, len(q.moves))]
		if q.noted {
			moves = nil
		}
	}
	out := []string{hours, dates}
	for _, m := range moves {
		out = append(out, "  "+m)
	}
	return strings.Join(out, "\n")
}

// quoteScreen is the first screen of a quote below its headline.
func quoteScreen(f *workshop.QuoteFigures, cur string) []Drawing {
	scale := scaleOf(cur)
	p := f.Price
	m := quoteMoney{currency: cur, loss: "Chance that it costs more than the net price: " + ChanceText(f.LossChance)}
	row := func(what string, a money.Amount) sumLine { return sumLine{what: what, amount: a.Fixed(scale)} }
	groups := func(list []workshop.QuoteGroup) (out []sumLine) {
		for _, g := range list {
			l := row(g.Group, g.Amount)
			if g.Hours > 0 {
				l.hours = fmt.Sprintf("%.1f h", g.Hours)
			}
			out = append(out, l)
		}
		return append(out, row("total", p.Cost))
	}
	m.left, m.short = groups(f.Summary), groups(f.Short)
	margin := fmt.Sprintf("margin %s %%", p.MarginPercent.Round(1))
	charge := []sumLine{row(margin, p.Margin)}
	if !p.Rounding.IsZero() {
		charge = append(charge, row("rounding", p.Rounding))
	}
	charge = append(charge, row("net price", p.Net), row(fmt.Sprintf("tax %s %%", p.TaxPercent), p.Tax), row("price with tax", p.Gross))
	m.right = append([]sumLine{row("cost", p.Cost)}, charge...)
	m.below = charge
	pays := []sumLine{row(depositText(f), p.Deposit)}
	for _, s := range f.Stages[min(1, len(f.Stages)):] {
		pays = append(pays, row(s.When, s.Amount))
	}
	for i := range pays {
		m.right = append(m.right, sumLine{what: "  " + pays[i].what, amount: pays[i].amount})
	}
	same := fmt.Sprintf("%s %% margin is %s %% markup", p.MarginPercent.Round(1), p.MarkupPercent.Round(1))
	m.right = append(m.right, sumLine{what: same})
	if len(pays) == 2 {
		m.tail = append(m.tail, fmt.Sprintf("Deposit %s, on delivery %s", pays[0].amount, pays[1].amount))
	} else {
		m.below = append(m.below, pays...)
	}
	m.tail = append(m.tail, same+". Chance of a loss: "+ChanceText(f.LossChance))

	h, d := f.Hours, f.Promise
	t := quoteTimes{noted: len(f.Notes) > 0, hours: fmt.Sprintf("likely %.1f   average %.1f   safe %.1f", h.P50, h.Mean, h.P80)}
	if d.Safe == "" {
		t.wide, t.narrow = "Finish date   none: no working evenings are set up", "Dates  none: no working evenings are set up"
		return []Drawing{m, t}
	}
	t.wide = fmt.Sprintf("Finish date   likely %s   safe %s   %s weeks after the deposit, %s", shortDay(d.Likely), shortDay(d.Safe), figure(d.SafeWeeks), shortDay(d.Starts))
	t.narrow = fmt.Sprintf("Dates  likely %s   safe %s   deposit %s", shortDay(d.Likely), shortDay(d.Safe), shortDay(d.Starts))
	if f.Promised == "" {
		if d.Shortest > 0 {
			t.moves = append(t.moves, fmt.Sprintf("shortest possible: %s by its cures", jobs.CountText(int(math.Ceil(d.Shortest)), "evening")))
		}
		for _, x := range d.Moves {
			when, n := "later", x.Days
			if n < 0 {
				when, n = "sooner", -n
			}
			t.moves = append(t.moves, fmt.Sprintf("%s: %s %s", x.What, jobs.CountText(n, "day"), when))
		}
	}
	return []Drawing{m, t}
}

func depositText(f *workshop.QuoteFigures) string {
	if f.Minimum.Raised {
		return "deposit, its minimum"
	}
	return fmt.Sprintf("deposit, %s %%", f.DepositPct)
}

// quoteNotes is the first of what to know before sending it, and how many more
// there are.
func quoteNotes(f *workshop.QuoteFigures) []string {
	if len(f.Notes) == 0 {
		return nil
	}
	note := "! " + f.Notes[0]
	if n := len(f.Notes) - 1; n > 0 {
		note += fmt.Sprintf(" %d more: --why", n)
	}
	return []string{note}
}

// quoteNext is what comes next on the way of a quote.
func quoteNext(f *workshop.QuoteFigures) []string {
	show := []string{"quote show " + f.Quote + " --lines", "quote show " + f.Quote + " --why"}
	switch f.Status {
	case jobs.QuoteDraft:
		return append([]string{"quote send " + f.Quote}, show...)
	case jobs.QuoteSent:
		return append([]string{fmt.Sprintf("quote accept %s --deposit-on %s", f.Quote, f.Promise.Starts)}, show...)
	case jobs.QuoteAccepted:
		return append([]string{"quote review " + f.Quote}, show...)
	}
	return append([]string{"quote revise " + f.Quote}, show...)
}
