package main

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"bookmatch/costing/bitlife"
	"bookmatch/costing/estimate"
	"bookmatch/costing/schedule"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"

	"github.com/urfave/cli/v2"
)

func tonightCommand(e *env) *cli.Command {
	return &cli.Command{
		Name: "tonight", Category: "bench", Usage: "what can be started tonight, and what to glue last", Action: e.tonight,
		Description: "The closing glue-up is reserved first, for the neck on which most of the calendar hangs; then what must come before " +
			"it, necks that share its set-ups, other ready steps, and decisions. A step is planned when its safe time (80 %) " +
			"fits before the hour given. Without --until the evening ends as planned, or as it usually does.",
		Flags: append([]cli.Flag{
			&cli.StringFlag{Name: "until", Usage: "work ends at `HH:MM`"},
			&cli.StringFlag{Name: "from", Usage: "work begins at `HH:MM`, not now"},
		}, outFlags()...),
	}
}

func (e *env) tonight(c *cli.Context) error {
	if _, err := typedWords(c, 0, 0); err != nil {
		return err
	}
	var b *desk
	var plan schedule.TonightPlan
	err := e.update(c, func(tx *workshop.Book) (err error) {
		if b, err = e.newBench(tx); err != nil {
			return err
		}
		t, err := b.tonightInput(c)
		if err != nil {
			return err
		}
		plan = schedule.PlanTonight(t)
		plan.In(b.Shop.Location())
		b.Data = plan
		return nil
	})
	if err != nil {
		return err
	}
	sheet := c.String("out") != "" // for the wall
	if !sheet || !wantJSON(c) {
		if err := e.told(c, b); err != nil || (wantJSON(c) && !sheet) {
			return err
		}
	}
	if sheet {
		return e.hand(c, paper{report: reports.Tonight(plan, b.Shop, b.Now)})
	}
	return e.print(b.tonightReport(plan))
}

// tonightInput gathers the open necks; closed ones are not read beyond their
// own record.
func (b *desk) tonightInput(c *cli.Context) (schedule.Tonight, error) {
	t := schedule.Tonight{Now: b.Now, Shop: b.Shop, Operations: b.Operations, NextVisit: b.nextVisit()}
	if err := b.tonightHours(c, &t); err != nil {
		return t, err
	}
	unlogged, err := b.Unlogged()
	if err != nil {
		return t, err
	}
	t.Unlogged = unlogged.Unlogged
	cache := map[string]estimate.Estimate{}
	var failed error
	t.Estimate = func(operation string, q float64) estimate.Estimate {
		key := fmt.Sprint(operation, " ", q)
		if x, ok := cache[key]; ok {
			return x
		}
		x, err := b.Est().Step(operation, q)
		if err != nil && failed == nil {
			failed = err
		}
		cache[key] = x
		return x
	}
	evening, err := b.Evening(b.Shop, b.Shop.Evening(b.Now))
	if err != nil {
		return t, err
	}
	for _, e := range evening {
		if b.Operations[e.Operation].Dust && t.DustTonight == "" {
			t.DustTonight = e.Operation
		}
	}
	stock := map[string]string{}
	for n, err := range store.Each(b.Tx, store.Necks) {
		if err != nil {
			return t, err
		}
		if n.IsClosed() {
			continue
		}
		st, err := b.NeckState(n)
		if err != nil {
			return t, err
		}
		x := schedule.TonightNeck{State: st, Gates: map[int]schedule.Gate{}, Needs: map[int][]string{}}
		if err := b.tonightGates(&x, stock, &t); err != nil {
			return t, err
		}
		t.Necks = append(t.Necks, x)
	}
	return t, failed
}

// clockOrHour reads a time; 22 is 22:00.
func clockOrHour(field, v string) (jobs.Clock, error) {
	if h := strings.TrimSpace(v); len(h) <= 2 && h != "" && strings.Trim(h, "0123456789") == "" {
		if c, err := jobs.ParseClock(field, h+":00"); err == nil {
			return c, nil
		}
	}
	return jobs.ParseClock(field, v)
}

// tonightHours reads from and until: the flags, else the plan of the evening,
// else the usual end. Long before a planned evening the plan's start counts. A
// step that is on now takes its safe time first.
func (b *desk) tonightHours(c *cli.Context, t *schedule.Tonight) error {
	now, zone := b.Now, b.Shop.Location()
	day := b.Shop.Evening(now)
	slot, planned := b.Shop.SlotOn(day)
	t.From = now
	if planned {
		if at, err := jobs.WallTime(day, slot.From, zone, ""); err == nil && at.Sub(now) > 2*time.Hour {
			t.From = at
		}
	}
	if v := c.String("from"); v != "" {
		clock, err := clockOrHour("from", v)
		if err != nil {
			return err
		}
		if t.From, err = jobs.NextWall(now.Add(-time.Second), clock, zone, ""); err != nil {
			return err
		}
	}
	switch v := c.String("until"); {
	case v != "":
		clock, err := clockOrHour("until", v)
		if err != nil {
			return err
		}
		if t.Until, err = jobs.NextWall(now, clock, zone, ""); err != nil {
			return err
		}
		if t.Until.Sub(now) > 18*time.Hour {
			return &jobs.FieldError{Field: "until", Value: v, Want: "a time still to come: it is " + b.Clock(now)}
		}
	default:
		log, err := b.EntriesBetween(now.AddDate(0, 0, -120), now)
		if err != nil {
			return err
		}
		if t.Until = jobs.UsualEnd(now, log, b.Shop); planned {
			// The plan goes before the habit, until it is over.
			if at, err := jobs.NextWall(day.Noon().Add(-6*time.Hour), slot.To, zone, ""); err == nil && (at.After(now) || at.After(t.Until)) {
				t.Until = at
			}
		}
		if !t.Until.After(now) {
			return &jobs.ConflictError{What: fmt.Sprintf("it is %s, and the evening usually ends at %s", b.Clock(now), b.Clock(t.Until)), How: "say how long: tonight --until HH:MM"}
		}
	}
	if !t.From.Before(t.Until) {
		if v := c.String("from"); v != "" {
			return &jobs.FieldError{Field: "from", Value: v, Want: fmt.Sprintf("a time still to come, before %s: it is %s", b.Clock(t.Until), b.Clock(now))}
		}
		t.From = now // the plan starts later than the hour given ends
	}
	on, running, err := b.RunningEntry()
	if err != nil || !running {
		return err
	}
	states, err := b.ShareStates(on)
	if err != nil {
		return err
	}
	est, err := b.Est().Step(on.Operation, workshop.PlannedOf(on, states))
	if err != nil {
		return err
	}
	if end := on.From.Add(time.Duration(math.Ceil(est.SafeMin)) * time.Minute); end.After(t.From) {
		t.From = end
	}
	return nil
}

// nextVisit is the start of the next planned evening after tonight; zero when
// none is planned.
func (b *desk) nextVisit() time.Time {
	day := b.Shop.Evening(b.Now)
	for i := 1; i <= 60; i++ {
		if slot, ok := b.Shop.SlotOn(day.Add(i)); ok {
			if at, err := jobs.WallTime(day.Add(i), slot.From, b.Shop.Location(), ""); err == nil {
				return at
			}
		}
	}
	return time.Time{}
}

// tonightGates asks what stops the steps that could be reached tonight: parts,
// plan and bit; and what a line should say of its supplies.
func (b *desk) tonightGates(x *schedule.TonightNeck, stock map[string]string, t *schedule.Tonight) error {
	st := x.State
	for _, v := range st.Steps {
		if v.State == jobs.Done || v.State == jobs.Skipped || v.State == jobs.Curing {
			continue
		}
		operation := b.Operations[jobs.PresentName(v.Operation, b.Operations)]
		if operation.Hardware {
			if err := b.partsGate(x, v.No, t); err != nil {
				return err
			}
		}
		if operation.Drills != "" || operation.PlanNeed {
			gate, err := b.DrillGate(operation, []jobs.NeckState{st}, "", "")
			if conflict, ok := err.(*jobs.ConflictError); ok {
				x.Gates[v.No] = schedule.Gate{Reason: conflict.What}
			} else if err != nil {
				return err
			}
			if gate.Verdict == bitlife.VerdictTest {
				t.Errands = append(t.Errands, schedule.Errand{Text: "test bit " + gate.Bit + " for " + st.Neck.Name(), Minutes: 10, Why: "a test hole in offcut pays before its show face"})
			}
			if gate.Text != "" {
				x.Needs[v.No] = append(x.Needs[v.No], gate.Text)
			}
		}
		for _, l := range operation.Recipe {
			need, err := b.stockWord(l.Supply, stock)
			if err != nil {
				return err
			}
			if need != "" {
				x.Needs[v.No] = append(x.Needs[v.No], need)
			}
		}
		if operation.CureMin >= 4*60 { // nothing behind it can be reached tonight
			return nil
		}
	}
	return nil
}

func (b *desk) partsGate(x *schedule.TonightNeck, step int, t *schedule.Tonight) error {
	parts, err := store.By(b.Tx, store.Parts, store.PartsByNeck, x.State.Neck.Code)
	if err != nil {
		return err
	}
	today := jobs.DayOf(b.Now.In(b.Shop.Location()))
	for _, p := range parts {
		if !p.Missing(today) {
			continue
		}
		g := schedule.Gate{Reason: "parts are not here: " + p.Name}
		if p.Arrives != "" {
			g.Reason += ", expected " + string(p.Arrives)
			at := p.Arrives.Noon()
			g.Lifts = &at
		}
		x.Gates[step] = g
		if p.Ordered == "" {
			t.Errands = append(t.Errands, schedule.Errand{Text: "order " + p.Name + " for " + x.State.Neck.Name(), Minutes: 10, Why: "a step waits for it"})
		}
		return nil
	}
	return nil
}

// stockWord says that a supply of a recipe is used up by the records; use
// beyond them is allowed, so it does not stop a step.
func (b *desk) stockWord(name string, known map[string]string) (string, error) {
	if w, ok := known[name]; ok {
		return w, nil
	}
	known[name] = ""
	s, ok, err := store.Get(b.Tx, store.Supplies, name)
	if err != nil || !ok {
		return "", err
	}
	ledger, err := b.SupplyLedger(s)
	if err != nil {
		return "", err
	}
	if ledger.OnHand.Sign() <= 0 {
		known[name] = "the records show no " + name + " left"
	}
	return known[name], nil
}

// tonightReport lays the plan out for the wall and the terminal.
func (b *desk) tonightReport(p schedule.TonightPlan) reports.Report {
	zone := b.Shop.Location()
	cols := []reports.Column{
		{Key: "starts", Header: "from", Kind: reports.KindClock}, {Key: "ends_by", Header: "by", Kind: reports.KindClock}, {Key: "operation", Header: "operation", Max: 18}, {Key: "necks", Header: "neck", Max: 10},
		{Key: "likely_min", Header: "likely", Kind: reports.KindMinutes}, {Key: "safe_min", Header: "safe", Kind: reports.KindMinutes}, {Key: "why", Header: "why", Max: 30},
	}
	table := func(name, title string, lines []schedule.TonightLine) reports.Table {
		t := reports.Table{Name: name, Title: title, Columns: slices.Clone(cols), Empty: "nothing fits tonight"}
		for _, l := range lines {
			operation := l.Operation
			if l.Closes {
				operation = strings.ToUpper(operation)
			}
			why := l.Why
			if len(l.Needs) > 0 {
				why += "; " + strings.Join(l.Needs, "; ")
			}
			t.Add(reports.Clock(l.Starts), reports.Clock(l.EndsBy), reports.Text(operation), reports.Text(strings.Join(l.Names, "+")), reports.MinutesOf(l.LikelyMin), reports.MinutesOf(l.SafeMin), reports.Text(why))
		}
		return t
	}
	rep := reports.Report{Name: "tonight", Title: fmt.Sprintf("Tonight from %s until %s", p.From.In(zone).Format("15:04"), p.Until.In(zone).Format("15:04")), Zone: zone}
	plan := table("plan", "Plan", p.Plan)
	for _, n := range p.Notes {
		plan.Note("%s", n)
	}
	rep.Add(plan)
	if len(p.Other) > 0 {
		rep.Add(table("other", "Or", p.Other))
	}
	if len(p.Short) > 0 {
		t := reports.Table{Name: "short", Title: "With only 20 minutes", Columns: []reports.Column{{Key: "text", Header: "what", Max: 30}, {Key: "safe_min", Header: "safe", Kind: reports.KindMinutes}, {Key: "why", Header: "why", Max: 36}}}
		for _, s := range p.Short {
			t.Add(reports.Text(s.Text), reports.MinutesOf(s.SafeMin), reports.Text(s.Why))
		}
		rep.Add(t)
	}
	if len(p.Blocked) > 0 {
		t := reports.Table{Name: "blocked", Title: "Waiting", Columns: []reports.Column{{Key: "neck", Header: "neck", Max: 12}, {Key: "operation", Header: "operation", Max: 18}, {Key: "reason", Header: "why not", Max: 30}, {Key: "lifts_at", Header: "lifts", Kind: reports.KindInstant}}}
		for _, x := range p.Blocked {
			lifts := reports.Empty()
			if x.LiftsAt != nil {
				lifts = reports.Instant(*x.LiftsAt)
			}
			t.Add(reports.Text(x.Name), reports.Text(x.Operation), reports.Text(x.Reason), lifts)
		}
		rep.Add(t)
	}
	return rep
}
