package main

import (
	"fmt"
	"math"
	"strings"
	"time"

	"bookmatch/costing"
	"bookmatch/jobs"
	"bookmatch/jobs/store"

	"github.com/urfave/cli/v2"
)

// bench is what every bench word works with: the transaction, the shop, its
// kinds, and the lines that are printed once the transaction stands.
type bench struct {
	tx    *store.Tx
	shop  jobs.Shop
	kinds map[string]jobs.Kind
	est   *store.Estimator
	torn  *costing.TornFace // read once: what torn holes have cost
	lines []string          // for stdout
	warns []string          // for stderr
	data  any               // what --json prints
}

// newBench reads the shop and settles an entry that was left on.
func newBench(tx *store.Tx) (*bench, error) {
	b, err := deskBench(tx)
	if err != nil {
		return nil, err
	}
	left, err := tx.Settle(b.kinds, b.shop)
	if err != nil {
		return nil, err
	}
	if left != nil {
		b.warns = append(b.warns, settledText(b, left.Entry, left.Why)...)
	}
	return b, nil
}

// deskBench reads the shop without settling anything.
func deskBench(tx *store.Tx) (*bench, error) {
	shop, err := tx.Shop()
	if err != nil {
		return nil, err
	}
	kinds, err := tx.KindMap()
	if err != nil {
		return nil, err
	}
	return &bench{tx: tx, shop: shop, kinds: kinds, est: tx.NewEstimator(kinds, shop)}, nil
}

// settledText says which end was assumed and gives the commands that confirm
// or correct it.
func settledText(b *bench, e jobs.Entry, why string) []string {
	return []string{
		fmt.Sprintf("%s %s was left on %s; %s assumed as its end (%s), %s", e.Kind, b.necksText(e), b.shop.WhenFrom(e.From, b.tx.Now), e.To.In(b.shop.Location()).Format("15:04"), why, minutesText(e.Elapsed(b.tx.Now))),
		fmt.Sprintf(`hint: right? entry amend %d --confirm   else: entry amend %d --to HH:MM --why "..."`, e.ID, e.ID),
	}
}

// benchWord runs fn as one transaction of the bench and prints what came of it
// only after it stands.
func (e *env) benchWord(c *cli.Context, fn func(b *bench) error) error {
	var b *bench
	err := e.update(c, func(tx *store.Tx) (err error) {
		if b, err = newBench(tx); err != nil {
			return err
		}
		return fn(b)
	})
	if err != nil {
		return err
	}
	return e.told(c, b)
}

// told prints what a transaction had to say, once it stands.
func (e *env) told(c *cli.Context, b *bench) error {
	for _, w := range b.warns {
		if h, ok := strings.CutPrefix(w, "hint: "); ok {
			e.hint("%s", h)
			continue
		}
		e.warn("%s", w)
	}
	if wantJSON(c) {
		return e.printJSON(b.data)
	}
	for _, l := range b.lines {
		e.say("%s", l)
	}
	return nil
}

func (b *bench) say(format string, args ...any) {
	b.lines = append(b.lines, fmt.Sprintf(format, args...))
}
func (b *bench) warn(format string, args ...any) {
	b.warns = append(b.warns, fmt.Sprintf(format, args...))
}

// clock prints the time of an instant on the shop's wall.
func (b *bench) clock(t time.Time) string { return t.In(b.shop.Location()).Format("15:04") }

// necksText names the necks of an entry: "ada+bo".
func (b *bench) necksText(e jobs.Entry) string {
	var names []string
	for _, s := range e.Shares {
		name := s.Neck
		if n, ok, err := store.Get(b.tx, store.Necks, s.Neck); err == nil && ok {
			name = n.Name()
		}
		names = append(names, name)
	}
	return strings.Join(names, "+")
}

// minutesText prints a span as whole minutes, "under a minute" below one.
func minutesText(d time.Duration) string {
	if d < time.Minute {
		return "under a minute"
	}
	return fmt.Sprintf("%d min", int(math.Round(d.Minutes())))
}

// unitText prints a quantity with its unit: "6 holes", "1 neck", "140 cm2".
func unitText(q float64, k jobs.Kind) string {
	unit := k.Unit()
	if q != 1 && unit != "cm" && unit != "cm2" {
		unit += "s"
	}
	return fmt.Sprintf("%s %s", numberText(q), unit)
}

func numberText(q float64) string {
	return strings.TrimRight(strings.TrimRight(fmt.Sprintf("%.2f", q), "0"), ".")
}

// estimateText gives "likely 22 / safe 30 min".
func estimateText(e costing.Estimate) string {
	if e.StandardMin <= 0 {
		return "no time known"
	}
	return fmt.Sprintf("likely %.0f / safe %.0f min", math.Ceil(e.LikelyMin), math.Ceil(e.SafeMin))
}

// splitNecks reads "ada+bo", "ada + bo" and "ada, bo" as words.
func splitNecks(w []string) []string {
	return strings.FieldsFunc(strings.Join(w, " "), func(r rune) bool { return r == '+' || r == ',' || r == ' ' })
}
