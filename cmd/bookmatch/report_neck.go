package main

import (
	"bookmatch/costing/estimate"
	"bookmatch/costing/quote"
	"bookmatch/costing/schedule"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"

	"github.com/urfave/cli/v2"
)

// reportNeck is the route card of a neck with its cost; without a neck it is
// the queue for the wall.
func (e *env) reportNeck(c *cli.Context) (paper, error) {
	w, err := typedWords(c, 0, 1)
	if err != nil {
		return paper{}, err
	}
	var p paper
	err = e.view(c, func(tx *workshop.Book) error {
		b, err := deskBench(tx)
		if err != nil {
			return err
		}
		if len(w) == 0 {
			return p.queue(b)
		}
		n, err := tx.FindNeck(w[0])
		if err != nil {
			return err
		}
		in, err := routeOf(b, n)
		if err != nil {
			return err
		}
		cost, err := tx.NeckInput(n)
		if err != nil {
			return err
		}
		strip := reports.StripOf(in)
		p = paper{report: reports.NeckReport(in, quote.CostNeck(cost), cost.Rates), picture: strip, above: true}
		return p.against(b, n)
	})
	return p, err
}

// against adds what the neck was quoted at, where it comes from a quote that
// was accepted.
func (p *paper) against(b *desk, n jobs.Neck) error {
	if n.Quote == "" {
		return nil
	}
	q, ok, err := store.Get(b.Tx, store.Quotes, n.Quote)
	if err != nil || !ok || q.Status != jobs.QuoteAccepted {
		return err
	}
	rv, err := b.ReviewOf(q)
	if err != nil {
		return err
	}
	res := &workshop.QuoteReviewResult{Review: rv}
	res.Currency = string(b.Shop.Currency)
	p.report.Sections = append(p.report.Sections, reports.QuoteReviewed(res).Sections...)
	return nil
}

// routeOf gathers the steps of a neck with what each is likely to take.
func routeOf(b *desk, n jobs.Neck) (reports.RouteInput, error) {
	in := reports.RouteInput{Shop: b.Shop, Operations: b.Operations, Estimates: map[int]estimate.Estimate{}, Now: b.Now}
	var err error
	if in.State, err = b.NeckState(n); err != nil {
		return in, err
	}
	for _, v := range in.State.Steps {
		if in.Estimates[v.No], err = b.Est().Step(v.Operation, v.Quantity); err != nil {
			return in, err
		}
	}
	if w, ok, err := store.Get(b.Tx, store.Woods, n.Wood); err != nil {
		return in, err
	} else if ok {
		for _, t := range []string{w.Dust, w.TradeControl} {
			if t != "" {
				in.Cautions = append(in.Cautions, w.Title+": "+t)
			}
		}
	}
	return in, nil
}

// queue works out when each neck on the bench can be finished, in the order in
// which they are promised.
func (p *paper) queue(b *desk) error {
	states, err := openStates(b)
	if err != nil {
		return err
	}
	line, err := b.OpenJobs()
	if err != nil {
		return err
	}
	cal, _, err := b.Calendar()
	if err != nil {
		return err
	}
	byName := map[string]jobs.NeckState{}
	for _, st := range states {
		byName[st.Neck.Name()] = st
	}
	var rows []reports.QueueRow
	for i, j := range line {
		st, ok := byName[j.Name]
		if !ok {
			continue
		}
		delete(byName, j.Name)
		row := reports.QueueRow{State: st}
		for _, t := range j.Tasks {
			row.LeftMin += max(t.Estimate.MeanMin-t.DoneMin, 0)
		}
		if len(cal.Slots) > 0 {
			promise := schedule.PromiseDate(b.Now.In(b.Shop.Location()), j, line[:i], st.Neck.Due, cal, estimate.Settings{})
			row.Promise = &promise
		}
		rows = append(rows, row)
	}
	for _, name := range jobs.SortedKeys(byName) { // held, or nothing left but to finish
		rows = append(rows, reports.QueueRow{State: byName[name]})
	}
	p.report = reports.Queue(b.Shop, rows, cal, b.Now)
	return nil
}
