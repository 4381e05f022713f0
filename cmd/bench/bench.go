package bench

import (
	"fmt"
	"math"
	"strings"
	"sync"
	"time"

	"bookmatch/costing/bitlife"
	"bookmatch/costing/estimate"
	"bookmatch/costing/money"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// Bench is what every bench word works with: the transaction, the shop, its
// operations, and the lines that are printed once the transaction stands.
type Bench struct {
	Tx         *store.Tx
	Shop       jobs.Shop
	Operations map[string]jobs.Operation
	Est        *store.Estimator
	Warns      []string // for stderr; those that begin "hint: " are hints
	Data       any      // what --json prints

	lines []string          // for stdout
	after []func()          // what is left to say once the transaction stands
	ahead *estimating       // begun before the quantity is known
	left  *jobs.Entry       // an entry that was left on and has just got its end
	torn  *bitlife.TornFace // read once: what torn holes have cost
	sunk  map[string]money.Amount
	woods jobs.WoodTable   // read once
	judge *bitlife.Advisor // of the bits chosen among
	stale func(*store.Tx, jobs.Plan) string
}

// Start reads the shop and settles an entry that was left on.
func (e *Env) Start(tx *store.Tx) (*Bench, error) {
	b, err := Read(tx)
	if err != nil {
		return nil, err
	}
	b.stale = e.Stale
	left, err := tx.Settle(b.Operations, b.Shop)
	if err != nil {
		return nil, err
	}
	if left != nil {
		b.Warns = append(b.Warns, settledText(b, left.Entry, left.Why)...)
		b.left = &left.Entry
	}
	return b, nil
}

// Read reads the shop without settling anything.
func Read(tx *store.Tx) (*Bench, error) {
	shop, err := tx.Shop()
	if err != nil {
		return nil, err
	}
	operations, err := tx.OperationMap()
	if err != nil {
		return nil, err
	}
	return &Bench{Tx: tx, Shop: shop, Operations: operations, Est: tx.NewEstimator(operations, shop)}, nil
}

// settledText says which end was assumed and gives the commands that confirm
// or correct it.
func settledText(b *Bench, e jobs.Entry, why string) []string {
	return []string{
		fmt.Sprintf("%s %s was left on %s; %s assumed as its end (%s), %s", e.Operation, b.NecksText(e), b.Shop.WhenFrom(e.From, b.Tx.Now), e.To.In(b.Shop.Location()).Format("15:04"), why, MinutesText(e.Elapsed(b.Tx.Now))),
		fmt.Sprintf(`hint: right? entry amend %d --confirm   else: entry amend %d --to HH:MM --why "..."`, e.ID, e.ID),
	}
}

// Do runs fn as one transaction of the bench and prints what came of it only
// after it stands.
func (e *Env) Do(l Line, fn func(b *Bench) error) error {
	var b *Bench
	err := e.Update(l.String("file"), func(tx *store.Tx) (err error) {
		if b, err = e.Start(tx); err != nil {
			return err
		}
		return fn(b)
	})
	if err != nil {
		return err
	}
	return e.Told(l, b)
}

// later leaves something to be said until the transaction stands.
func (b *Bench) later(fn func()) { b.after = append(b.after, fn) }

// estimating works an estimate out beside the transaction, from the log as it
// stood before. It reads what every step asks of the log, then what the operation
// asks, once it is told which, and ends with the quantity.
type estimating struct {
	operation chan string
	q         chan float64
	wait      func() error
	est       estimate.Estimate
}

// estimate begins one. stop has to be called when the word ends, whether or not
// it was told everything.
func (b *Bench) estimate() (x *estimating, stop func()) {
	x = &estimating{operation: make(chan string, 1), q: make(chan float64, 1)}
	operations, shop := b.Operations, b.Shop
	x.wait = b.Tx.Beside(func(tx *store.Tx) error {
		log := tx.NewEstimator(operations, shop)
		if _, err := log.Pace(); err != nil {
			return err
		}
		operation, ok := <-x.operation
		if !ok {
			return nil
		}
		if _, err := log.Samples(operation); err != nil {
			return err
		}
		q, ok := <-x.q
		if !ok {
			return nil
		}
		var err error
		x.est, err = log.Step(operation, q)
		return err
	})
	return x, sync.OnceFunc(func() { close(x.operation); close(x.q) })
}

// got waits for an estimate. What was written stands without it, so that one which
// cannot be had is only told.
func (b *Bench) got(x *estimating) estimate.Estimate {
	if err := x.wait(); err != nil {
		b.Warn("no estimate can be given: %v", err)
		return estimate.Estimate{}
	}
	return x.est
}

// Told prints what a transaction had to say, once it stands.
func (e *Env) Told(l Line, b *Bench) error {
	for _, fn := range b.after {
		fn()
	}
	for _, w := range b.Warns {
		if h, ok := strings.CutPrefix(w, "hint: "); ok {
			e.Hint("%s", h)
			continue
		}
		e.Warn("%s", w)
	}
	if l.Bool("json") {
		return e.PrintJSON(b.Data)
	}
	for _, line := range b.lines {
		e.Say("%s", line)
	}
	return nil
}

// Say keeps a line for stdout until the transaction stands.
func (b *Bench) Say(format string, args ...any) {
	b.lines = append(b.lines, fmt.Sprintf(format, args...))
}

// Warn keeps a line for stderr until the transaction stands.
func (b *Bench) Warn(format string, args ...any) {
	b.Warns = append(b.Warns, fmt.Sprintf(format, args...))
}

// Clock prints the time of an instant on the shop's wall.
func (b *Bench) Clock(t time.Time) string { return t.In(b.Shop.Location()).Format("15:04") }

// NecksText names the necks of an entry: "ada+bo".
func (b *Bench) NecksText(e jobs.Entry) string {
	var names []string
	for _, s := range e.Shares {
		name := s.Neck
		if n, ok, err := store.Get(b.Tx, store.Necks, s.Neck); err == nil && ok {
			name = n.Name()
		}
		names = append(names, name)
	}
	return strings.Join(names, "+")
}

// MinutesText prints a span as whole minutes, "under a minute" below one.
func MinutesText(d time.Duration) string {
	if d < time.Minute {
		return "under a minute"
	}
	return fmt.Sprintf("%d min", int(math.Round(d.Minutes())))
}

// UnitText prints a quantity with its unit: "6 holes", "1 neck", "140 cm2".
func UnitText(q float64, k jobs.Operation) string {
	unit := k.Unit()
	if q != 1 && unit != "cm" && unit != "cm2" {
		unit += "s"
	}
	return fmt.Sprintf("%s %s", NumberText(q), unit)
}

// NumberText prints a number with at most two decimals, none where it is whole.
func NumberText(q float64) string {
	return strings.TrimRight(strings.TrimRight(fmt.Sprintf("%.2f", q), "0"), ".")
}

// estimateText gives "likely 22 / safe 30 min".
func estimateText(e estimate.Estimate) string {
	if e.StandardMin <= 0 {
		return "no time known"
	}
	return fmt.Sprintf("likely %.0f / safe %.0f min", math.Ceil(e.LikelyMin), math.Ceil(e.SafeMin))
}

// SplitNecks reads "ada+bo", "ada + bo" and "ada, bo" as words. A plus with
// nothing behind it is a neck that was not typed: a *jobs.FieldError.
func SplitNecks(w []string) ([]string, error) {
	text := strings.Join(w, " ")
	necks := strings.FieldsFunc(text, func(r rune) bool { return r == '+' || r == ',' || r == ' ' })
	if text = strings.TrimSpace(text); strings.HasSuffix(text, "+") || strings.HasPrefix(text, "+") {
		return nil, &jobs.FieldError{Field: "neck", Value: text, Want: "a neck on each side of the plus: ada+bo"}
	}
	return necks, nil
}
