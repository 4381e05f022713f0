package page

import (
	"fmt"
	"net/http"
	"slices"
	"strings"

	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"
	"bookmatch/reports/html"
)

// neckScreen shows one neck, or the necks of a batch card joined by "+". A card
// that was scanned leads here.
func (q *request) neckScreen() error {
	word := q.r.PathValue("neck")
	if strings.Contains(word, "+") {
		return q.necksOf(strings.Split(word, "+"))
	}
	n, err := do[*workshop.NeckShowResult](q, workshop.NeckShow, &workshop.NeckShowAsk{Neck: word})
	if err != nil {
		return err
	}
	now, err := do[*workshop.NowResult](q, workshop.Now, &workshop.NowAsk{})
	if err != nil {
		return err
	}
	desk := q.device.Kind == Desk
	x := html.Neck{Code: n.Neck, Name: n.Name(), Due: shortDay(n.Due, n.Made), Form: q.form("/note"), Strip: reports.NumberedStripOf(n),
		About:    strings.Join(nonempty(n.Neck, n.Title, strings.ReplaceAll(n.Wood, "-", " ")), ", "),
		Progress: fmt.Sprintf("%s of the work, %d of %d steps", reports.ShareText(n.Progress.Share), n.Progress.Done, n.Progress.Steps)}
	if l := n.Layout; l != nil {
		x.Plan, x.PlanState = l.Code, planState(l)
		if p, err := do[*workshop.PlanResult](q, workshop.LayoutShow, &workshop.PlanAsk{Neck: n.Neck}); err == nil {
			x.Head = reports.HeadstockOf(p, 60, 110)
		}
	}
	if desk && n.Closed == nil {
		x.Layout = layoutPath(n.Name())
	}
	if desk && n.Customer != "" {
		x.About += ", for " + n.Customer
	}
	q.state(&x, n, now)
	for _, s := range n.Steps {
		if !s.IsDone() && s.Skip == "" {
			l := html.StepLeft{No: s.Step, Operation: s.Operation}
			if i := len(x.Left) - 1; i >= 0 && x.Left[i].Operation == s.Operation { // coats
				x.Left[i].Times = max(1, x.Left[i].Times) + 1
				continue
			}
			x.Left = append(x.Left, l)
		}
	}
	for i := len(n.Notes) - 1; i >= 0 && len(x.Notes) < 5; i-- {
		x.Notes = append(x.Notes, html.Note{Day: strings.Join(nonempty(n.Notes[i].At.Format("Mon 2 Jan"), n.Notes[i].Operation), ", "), Text: n.Notes[i].Text})
	}
	if list, err := do[*workshop.EntryListResult](q, workshop.EntryList, &workshop.EntryListAsk{Neck: n.Neck}); err == nil {
		for _, e := range list.Entries[max(0, len(list.Entries)-3):] {
			x.Entries = append(x.Entries, fmt.Sprintf("%s %s, %s min", e.From.Format("2 Jan 15:04"), e.Operation, whole(e.ElapsedMin)))
		}
	}
	if desk {
		costOf(&x, n)
	}
	return q.show(http.StatusOK, html.Frame{Title: n.Name(), Tab: "necks", Screen: x})
}

// planState says what a plan is besides its code: "frozen", "out of date" or nothing.
func planState(l *workshop.NeckPlan) string {
	switch {
	case l.OutOfDate != "":
		return "out of date"
	case l.Frozen:
		return "frozen"
	}
	return ""
}

// costOf shows what a neck cost so far against its likely end and its price.
func costOf(x *html.Neck, n *workshop.NeckShowResult) {
	if n.Cost.Total.IsZero() && n.AtEnd.IsZero() {
		return
	}
	x.Cost = reports.Price(n.Currency, n.Cost.Total)
	var words []string
	cost, end, price := n.Cost.Total.Float(), n.AtEnd.Float(), n.Sale.Net.Float()
	if end > 0 {
		whole := max(cost, end, price)
		x.CostBar = reports.Bar{Done: cost / whole, Next: (end - cost) / whole, Mark: end / whole}
		words = append(words, "likely to end at "+reports.Fixed(n.Currency, n.AtEnd))
	}
	if price > 0 {
		words = append(words, "price "+reports.Fixed(n.Currency, n.Sale.Net)+" without tax")
	}
	if n.Promise != nil {
		words = append(words, "safe by "+shortDay(n.Promise.Safe, n.Made))
	}
	x.CostLine = strings.Join(append(words, fmt.Sprintf("%.1f h so far", n.Hours.TotalMin/60)), ", ")
	if price > 0 && end > price {
		x.Beyond = reports.Price(n.Currency, n.AtEnd.Sub(n.Sale.Net)) + " over its price"
	}
}

// state puts the neck's state into one large line, and the next step below it.
func (q *request) state(x *html.Neck, n *workshop.NeckShowResult, now *workshop.NowResult) {
	switch {
	case n.Status == jobs.Held:
		x.State, x.Over = "on hold", n.Why
		return
	case n.Closed != nil:
		x.State, x.Over = string(n.Status)+" "+shortDay(jobs.DayOf(*n.Closed), n.Made), "this neck is"
		return
	}
	for _, c := range now.Cures {
		if c.Neck == n.Neck {
			x.Over, x.State, x.Under = c.Operation+" cures", "until "+clockOf(c.Until, n.Made), leftOf(c.Until, n.Made)
			if c.FreeAt.After(n.Made) {
				x.Under += "; clamps on"
			}
			x.Bar = reports.CureBar(n.Made.Sub(c.Since).Minutes() / max(c.Until.Sub(c.Since).Minutes(), 1))
		}
	}
	running := uint64(0)
	if on := now.Running; on != nil {
		running = on.Entry
		for _, k := range on.Necks {
			if k.Neck == n.Neck {
				x.Over, x.State, x.Bar, x.Under = "running", fmt.Sprintf("%s, %.0f min", on.Operation, on.ElapsedMin), nil, ""
			}
		}
	}
	best := -1
	for i, s := range n.Steps {
		if s.State == jobs.Ready && (best < 0 || s.Order < n.Steps[best].Order) {
			best = i
		}
	}
	if best >= 0 {
		s := n.Steps[best]
		if x.State == "" {
			x.Over, x.State = "now", "ready: "+s.Operation
		}
		line := func(s workshop.NeckStep) html.Line {
			return html.Line{Operation: s.Operation, Names: n.Name(), Necks: n.Neck, When: "now", Form: q.form("/on"), Running: running, About: fmt.Sprintf("%s, %s to %s min", s.QuantityText, whole(s.LikelyMin), whole(s.SafeMin))}
		}
		for i, s := range n.Steps {
			if i != best && s.State == jobs.Ready {
				x.Also = append(x.Also, line(s))
			}
		}
		next := line(s)
		x.Next = &next
		return
	}
	if x.State == "" {
		x.State = "nothing can start"
		for _, s := range n.Steps {
			if !s.IsDone() && len(s.WaitsFor) > 0 {
				x.Over = s.Operation + " waits for " + strings.Join(s.WaitsFor, ", ")
				break
			}
		}
	}
}

func nonempty(words ...string) (out []string) {
	for _, w := range words {
		if w != "" {
			out = append(out, w)
		}
	}
	return out
}

func (q *request) bitsScreen() error {
	list, err := do[*workshop.BitsResult](q, workshop.BitList, &workshop.BitListAsk{})
	if err != nil {
		return q.noShop(err)
	}
	var x html.Bits
	for _, b := range list.Bits {
		x.Bits = append(x.Bits, html.BitLine{Bit: b.Bit, About: strings.Join(nonempty(b.DiameterText, b.Point, "kept for "+b.Keep, headstocksLeft(b)), ", "), Verdict: b.VerdictText, Bar: bitBar(b)})
	}
	if len(x.Bits) == 0 {
		x.Empty = "No bit yet."
	}
	return q.show(http.StatusOK, html.Frame{Title: "bits", Tab: "more", Screen: x})
}

// awayReasons are the reasons for putting a bit away, with where it goes.
var awayReasons = map[string]string{"dull": "general", "suspected": "general", "lost": "scrap", "broken": "scrap", "swapped": "general"}

func (q *request) bitScreen() error {
	code := q.r.PathValue("bit")
	ask := &workshop.BitVerdictAsk{Bit: code}
	if n := q.r.URL.Query().Get("neck"); n != "" {
		ask.Necks = []string{n}
	}
	v, err := do[*workshop.BitVerdictResult](q, workshop.BitVerdict, ask)
	if err != nil {
		return err
	}
	if len(v.Bits) == 0 {
		return &jobs.NotFoundError{Noun: "bit", Value: code}
	}
	b := v.Bits[0]
	x := html.Bit{Bit: b.Bit, About: strings.Join(nonempty(b.DiameterText, b.Point, "kept for "+b.Keep), ", "), Verdict: b.VerdictText, Headline: b.Headline, Bar: bitBar(b.BitRow), Reasons: b.Reasons, Forms: html.Forms{}}
	x.Under = fmt.Sprintf("%s holes of wear", whole(b.Wear))
	if b.RetireAt != nil {
		x.Under += fmt.Sprintf(", retire at %s", whole(*b.RetireAt))
	}
	if h := headstocksLeft(b.BitRow); h != "" {
		x.Under += ", " + h
	}
	if q.device.Kind == Desk && !b.TornHoleCost.IsZero() {
		x.Money = fmt.Sprintf("A torn hole costs %s: %s.", reports.Price(v.Currency, b.TornHoleCost), b.TornHoleBasis)
	} else {
		x.Reasons = withoutMoney(x.Reasons, string(v.Currency), q.device.Kind)
	}
	if x.Away = q.r.URL.Query().Get("away") != ""; x.Away {
		for why := range awayReasons {
			x.Forms[why] = q.form("/bit/" + b.Bit + "/away")
		}
	} else {
		x.Forms["test"] = q.form("/bit/" + b.Bit + "/test")
	}
	return q.show(http.StatusOK, html.Frame{Title: b.Bit, Tab: "more", Screen: x})
}

// withoutMoney leaves out the reasons that hold an amount, for a bench device.
func withoutMoney(reasons []string, currency string, kind Kind) (out []string) {
	for _, r := range reasons {
		if kind == Desk || currency == "" || !strings.Contains(r, currency) {
			out = append(out, r)
		}
	}
	return out
}

// noteScreen writes a note on the neck that is named, else on one of those that run, else
// on the next to work on.
func (q *request) noteScreen() error {
	x := html.Remark{Form: q.form("/note")}
	now, err := do[*workshop.NowResult](q, workshop.Now, &workshop.NowAsk{})
	if err != nil {
		return err
	}
	on := now.Running
	if word := q.r.URL.Query().Get("neck"); word != "" {
		n, err := do[*workshop.NeckShowResult](q, workshop.NeckShow, &workshop.NeckShowAsk{Neck: word, Undated: true})
		if err != nil {
			return err
		}
		x.Necks, x.To = []html.Field{{Name: n.Name(), Value: n.Neck}}, n.Name()
		if on != nil && !slices.ContainsFunc(on.Necks, func(k workshop.EntryNeck) bool { return k.Neck == n.Neck }) {
			on = nil
		}
	}
	switch {
	case on != nil && len(x.Necks) == 0:
		for _, k := range on.Necks {
			x.Necks = append(x.Necks, html.Field{Name: k.Name, Value: k.Neck})
		}
		x.To = namesOf(on.Necks)
	case len(x.Necks) == 0 && len(now.Next) > 0:
		x.Necks, x.To = []html.Field{{Name: now.Next[0].Name, Value: now.Next[0].Neck}}, now.Next[0].Name
	case len(x.Necks) == 0:
		return &jobs.Refusal{Class: jobs.Conflict, What: "NOT SHOWN", Why: "there is no neck to write a note on"}
	}
	if on != nil {
		x.Operation = on.Operation
	}
	return q.show(http.StatusOK, html.Frame{Title: "note", Tab: "now", Screen: x})
}

func (q *request) moreScreen() error {
	x := html.More{Form: q.form("/theme"), UntilForm: q.form("/until"), Until: q.until(), Links: []html.Link{
		{Path: "/bits", Text: "bits", About: "verdicts, test holes"},
		{Path: "/shopping", Text: "shopping list", About: "what to order by when"},
		{Path: "/week", Text: "week", About: "seven evenings, cures, dates"}}}
	if q.device.Kind == Desk {
		x.Links = append(x.Links, html.Link{Path: "/layout", Text: "layouts", About: "post positions, checks, template"}, html.Link{Path: "/quotes", Text: "quotes", About: "prices, hours and dates"}, html.Link{Path: "/do", Text: "forms", About: "everything that can be done at the desk"}, html.Link{Path: "/devices", Text: "devices", About: "who is paired"})
	}
	q.mu.Lock()
	for i := len(q.refusals) - 1; i >= 0; i-- {
		x.Refusals = append(x.Refusals, q.refusals[i])
	}
	q.mu.Unlock()
	x.Device = fmt.Sprintf("This device is %s, paired as %s.", q.device.Name, q.device.Kind)
	return q.show(http.StatusOK, html.Frame{Title: "more", Tab: "more", Screen: x})
}
