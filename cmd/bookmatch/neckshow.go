package main

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"bookmatch/costing/money"
	"bookmatch/costing/quote"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"

	"github.com/urfave/cli/v2"
)

type neckRow struct {
	Neck     string      `json:"neck"`
	Nickname string      `json:"nickname"`
	Title    string      `json:"title"`
	Status   jobs.Status `json:"status"`
	Next     string      `json:"next"`
	State    string      `json:"next_state"`
	Lifts    string      `json:"next_ready_at,omitempty"`
	Due      jobs.Day    `json:"due"`
	Done     int         `json:"steps_done"` // of open necks
	Steps    int         `json:"steps"`
}

func (e *env) neckList(c *cli.Context) error {
	if _, err := typedWords(c, 0, 0); err != nil {
		return err
	}
	rows := []neckRow{}
	err := e.view(c, func(tx *workshop.Book) error {
		b, err := deskBench(tx)
		if err != nil {
			return err
		}
		for n, err := range store.Each(tx.Tx, store.Necks) {
			if err != nil {
				return err
			}
			if n.IsClosed() && !c.Bool("all") && !wantJSON(c) {
				continue
			}
			row := neckRow{Neck: n.Code, Nickname: n.Nickname, Title: n.Title, Status: n.Status, Due: n.Due, Steps: len(n.Steps)}
			st, err := tx.NeckState(n)
			if err != nil {
				return err
			}
			row.fill(st, b)
			rows = append(rows, row)
		}
		return nil
	})
	if err != nil {
		return err
	}
	slices.SortStableFunc(rows, func(a, b neckRow) int { return rank(a.Status) - rank(b.Status) })
	if wantJSON(c) {
		return e.PrintJSON(map[string]any{"necks": rows})
	}
	t := reports.Table{Name: "necks", Columns: []reports.Column{
		{Key: "neck", Header: "neck"}, {Key: "nickname", Header: "name"}, {Key: "title", Header: "title", Max: 24}, {Key: "status", Header: "status"}, {Key: "steps", Header: "steps"}, {Key: "next", Header: "next", Max: 20}, {Key: "due", Header: "due", Kind: reports.KindDate},
	}}
	for _, r := range rows {
		next := r.Next
		if r.Lifts != "" {
			next += " from " + r.Lifts
		} else if r.State == string(jobs.On) {
			next += " (on)"
		}
		t.Add(reports.Text(r.Neck), reports.Text(r.Nickname), reports.Text(r.Title), reports.Text(string(r.Status)), reports.Text(r.progress()), reports.Text(next), reports.Day(string(r.Due)))
	}
	if len(rows) == 0 {
		t.Note(`no open neck: neck add N1 --nickname ada --title "..." --route headstock --wood hard-maple`)
	}
	return e.print(reports.Report{Name: "necks", Title: "Necks", Sections: reports.Sections(t)})
}

func rank(s jobs.Status) int {
	return slices.Index([]jobs.Status{jobs.Open, jobs.Held, jobs.Finished, jobs.Scrapped}, s)
}

// progress is "4/15"; of a closed neck only how many steps it had.
func (r *neckRow) progress() string {
	if r.Status == jobs.Finished || r.Status == jobs.Scrapped {
		return fmt.Sprint(r.Steps)
	}
	return fmt.Sprintf("%d/%d", r.Done, r.Steps)
}

func (r *neckRow) fill(st jobs.NeckState, b *desk) {
	for _, v := range st.Steps {
		if v.DoneAt != nil || v.State == jobs.Skipped {
			r.Done++
		}
	}
	if v, ok := st.Next(); ok && !st.Neck.IsClosed() {
		r.Next, r.State = v.Operation, string(v.State)
		if v.ReadyAt != nil && v.State == jobs.Waiting {
			r.Lifts = b.Shop.WhenFrom(*v.ReadyAt, b.Now)
		}
	}
}

// stepShow, hoursShow and neckShow are `neck show --json`.
type stepShow struct {
	Step      int            `json:"step"`
	Operation string         `json:"operation"`
	State     jobs.StepState `json:"state"`
	Quantity  float64        `json:"quantity"`
	Per       string         `json:"per"`
	ReadyAt   string         `json:"ready_at,omitempty"`
	LikelyMin float64        `json:"likely_min"`
	SafeMin   float64        `json:"safe_min"`
	ActualMin float64        `json:"actual_min"`
	ReworkMin float64        `json:"rework_min,omitempty"`
	Assumed   bool           `json:"assumed,omitempty"`
	Basis     string         `json:"basis"`
	Note      string         `json:"note,omitempty"`
}

type hoursShow struct {
	TotalMin   float64 `json:"total_min"`
	FirstMin   float64 `json:"first_min"`
	ReworkMin  float64 `json:"rework_min"`
	DecideMin  float64 `json:"decide_min"`
	OutsideMin float64 `json:"outside_min"`
	Evenings   int     `json:"evenings"`
}

type neckShow struct {
	Neck     string         `json:"neck"`
	Nickname string         `json:"nickname"`
	Title    string         `json:"title"`
	Status   jobs.Status    `json:"status"`
	Why      string         `json:"why,omitempty"`
	Customer string         `json:"customer,omitempty"`
	Wood     string         `json:"wood"`
	Due      jobs.Day       `json:"due,omitempty"`
	Late     int            `json:"changed_after_closing,omitempty"`
	Steps    []stepShow     `json:"steps"`
	Hours    hoursShow      `json:"hours"`
	Currency string         `json:"currency"`
	Cost     quote.NeckCost `json:"cost"`
	Layout   *layoutShow    `json:"layout"`
	Cautions []string       `json:"cautions,omitempty"`
}

type layoutShow struct {
	Code    string `json:"code"`
	Version int    `json:"version"`
	Mode    string `json:"mode"`
	Holes   int    `json:"holes"`
	Frozen  bool   `json:"frozen"`
	Stale   string `json:"stale,omitempty"`
}

// gatherNeck reads everything `neck show` and `report neck` tell of a neck.
func gatherNeck(tx *workshop.Book, word string) (neckShow, jobs.Shop, error) {
	var out neckShow
	b, err := deskBench(tx)
	if err != nil {
		return out, jobs.Shop{}, err
	}
	n, err := tx.FindNeck(word)
	if err != nil {
		return out, b.Shop, err
	}
	entries, err := tx.NeckEntries(n.Code)
	if err != nil {
		return out, b.Shop, err
	}
	entries = tx.Settled(entries)
	st := jobs.Derive(n, entries, b.Operations, b.Shop, tx.Now)
	out = neckShow{Neck: n.Code, Nickname: n.Nickname, Title: n.Title, Status: n.Status, Why: n.Why, Customer: n.Customer, Wood: n.Wood, Due: n.Due, Late: st.Late, Currency: string(b.Shop.Currency)}
	for _, v := range st.Steps {
		est, err := b.Est().Step(v.Operation, v.Quantity)
		if err != nil {
			return out, b.Shop, err
		}
		factor := 1.0
		if v.Difficulty > 0 {
			factor = v.Difficulty
		}
		s := stepShow{Step: v.No, Operation: v.Operation, State: v.State, Quantity: v.Quantity, Per: b.Operations[v.Operation].Per, LikelyMin: round1(est.LikelyMin * factor), SafeMin: round1(est.SafeMin * factor),
			ActualMin: round1(v.Actual.Minutes()), ReworkMin: round1(v.Rework.Minutes()), Assumed: v.Assumed, Basis: est.Basis, Note: v.Note}
		if v.ReadyAt != nil {
			s.ReadyAt = v.ReadyAt.In(b.Shop.Location()).Format("2006-01-02T15:04:05Z07:00")
		}
		out.Steps = append(out.Steps, s)
	}
	evenings := map[jobs.Day]bool{}
	for _, x := range entries {
		i := x.ShareOf(n.Code)
		if i < 0 {
			continue
		}
		m := x.ShareOut(tx.Now)[i].Minutes()
		evenings[b.Shop.Evening(x.From)] = true
		out.Hours.TotalMin += m
		switch x.Class {
		case jobs.Rework:
			out.Hours.ReworkMin += m
		case jobs.Deciding:
			out.Hours.DecideMin += m
		default:
			out.Hours.FirstMin += m
		}
		if x.Shares[i].Step == 0 {
			out.Hours.OutsideMin += m
		}
	}
	out.Hours.Evenings = len(evenings)
	if out.Cost, err = tx.NeckCost(n); err != nil {
		return out, b.Shop, err
	}
	if plan, ok, err := tx.CurrentPlan(n.Code); err != nil {
		return out, b.Shop, err
	} else if ok {
		out.Layout = &layoutShow{plan.Code, plan.Version, plan.Mode, len(plan.Holes), plan.Frozen != nil, plan.Stale}
	}
	if w, ok, _ := store.Get(tx.Tx, store.Woods, n.Wood); ok {
		for _, t := range []string{w.Dust, w.TradeControl} {
			if t != "" {
				out.Cautions = append(out.Cautions, w.Title+": "+t)
			}
		}
	}
	return out, b.Shop, nil
}

func round1(f float64) float64 { return math.Round(f*10) / 10 }

func (e *env) neckShow(c *cli.Context) error {
	w, err := typedWords(c, 1, 1)
	if err != nil {
		return err
	}
	var n neckShow
	var shop jobs.Shop
	if err := e.view(c, func(tx *workshop.Book) (err error) { n, shop, err = gatherNeck(tx, w[0]); return err }); err != nil {
		return err
	}
	if wantJSON(c) && c.String("out") == "" {
		return e.PrintJSON(n)
	}
	strip := n.strip()
	return e.hand(c, paper{report: neckReport(n, shop), picture: strip, above: true})
}

// strip is the progress of the neck, each step as long as it is likely to take.
func (n neckShow) strip() reports.Strip {
	states := map[jobs.StepState]reports.StepState{jobs.Ready: reports.StepReady, jobs.On: reports.StepRunning, jobs.Started: reports.StepRunning, jobs.Curing: reports.StepCuring, jobs.Done: reports.StepDone}
	s := reports.Strip{Title: strings.TrimSpace(n.Neck + " " + n.Nickname + "  " + n.Title)}
	for _, x := range n.Steps {
		if x.State == jobs.Skipped {
			continue
		}
		state := states[x.State]
		if x.State == jobs.Waiting && x.ReadyAt != "" {
			state = reports.StepBlocked // only a cure stands before it
		}
		s.Steps = append(s.Steps, reports.StripStep{Name: x.Operation, State: state, Weight: x.LikelyMin})
	}
	return s
}

// neckReport lays out steps, hours and cost for the terminal.
func neckReport(n neckShow, shop jobs.Shop) reports.Report {
	r := reports.Report{Name: "neck-" + n.Neck, Title: fmt.Sprintf("Neck %s %s", n.Neck, n.Nickname), Subject: strings.TrimSpace(fmt.Sprintf("%s · %s · %s", n.Title, n.Wood, n.Status)), Currency: shop.Currency, Zone: shop.Location(), Shop: shop.Name}
	steps := reports.Table{Name: "steps", Title: "Steps", Columns: []reports.Column{
		{Key: "step", Header: "no", Kind: reports.KindCount}, {Key: "operation", Header: "operation"}, {Key: "state", Header: "state"}, {Key: "quantity", Header: "qty", Kind: reports.KindQuantity}, {Key: "likely_min", Header: "likely", Unit: "min", Kind: reports.KindMinutes, Digits: reports.NoDigits},
		{Key: "safe_min", Header: "safe", Unit: "min", Kind: reports.KindMinutes, Digits: reports.NoDigits}, {Key: "actual_min", Header: "took", Unit: "min", Kind: reports.KindMinutes, Digits: reports.NoDigits}, {Key: "rework_min", Header: "again", Unit: "min", Kind: reports.KindMinutes, Digits: reports.NoDigits},
	}}
	for _, s := range n.Steps {
		took, again := reports.Empty(), reports.Empty()
		if s.ActualMin > 0 {
			took = reports.MinutesOf(s.ActualMin)
		}
		if s.ReworkMin > 0 {
			again = reports.MinutesOf(s.ReworkMin)
		}
		state := string(s.State)
		if s.Assumed {
			state += " *"
		}
		steps.Add(reports.Count(s.Step), reports.Text(s.Operation), reports.Text(state), reports.Quantity(money.QtyFromFloat(s.Quantity)), reports.MinutesOf(s.LikelyMin), reports.MinutesOf(s.SafeMin), took, again)
	}
	steps.Note("likely and safe are P50 and P80 of one step; they do not add up to those of the neck")
	if slices.ContainsFunc(n.Steps, func(s stepShow) bool { return s.Assumed }) {
		steps.Note("* an end in it was assumed, not clocked")
	}
	r.Add(steps, costTable(n.Cost))
	hours := fmt.Sprintf("%.1f h on %s", n.Hours.TotalMin/60, jobs.CountText(n.Hours.Evenings, "evening"))
	if n.Hours.ReworkMin > 0 {
		hours += fmt.Sprintf(", of it %.1f h rework", n.Hours.ReworkMin/60)
	}
	if n.Layout != nil {
		state := "not frozen"
		if n.Layout.Frozen {
			state = "frozen"
		}
		if n.Layout.Stale != "" {
			state = "stale: " + n.Layout.Stale
		}
		hours += fmt.Sprintf("; layout plan %s (%s, %s)", n.Layout.Code, n.Layout.Mode, state)
	}
	last := r.Tables()[len(r.Tables())-1]
	last.Note("%s", hours)
	if n.Late > 0 {
		last.Note("changed after closing: %s", jobs.CountText(n.Late, "entry"))
	}
	for _, t := range n.Cautions {
		last.Note("%s", t)
	}
	return r
}

func costTable(cost quote.NeckCost) reports.Table {
	t := reports.Table{Name: "cost", Title: "Cost", Columns: []reports.Column{
		{Key: "group", Header: "group"}, {Key: "what", Header: "what", Max: 44}, {Key: "amount", Header: "amount", Kind: reports.KindMoney, Sum: true}, {Key: "marks", Header: "marks", Max: 14},
	}}
	for _, l := range cost.Lines {
		t.Add(reports.Text(string(l.Group)), reports.Text(l.What), reports.Money(l.Amount), reports.Text(strings.Join(l.Marks, ", ")))
	}
	for _, w := range cost.Warnings {
		t.Note("%s", w)
	}
	return t
}
