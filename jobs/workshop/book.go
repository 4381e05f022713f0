package workshop

import (
	"fmt"
	"strings"
	"time"

	"bookmatch/costing/bitlife"
	"bookmatch/costing/money"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// Book is the shop as one transaction reads it. What several decisions need is
// read once and kept for the length of the transaction.
type Book struct {
	*store.Tx
	// Now is the instant that is asked about. It is the transaction's own unless
	// the Ask says when it happened.
	Now        time.Time
	Shop       jobs.Shop
	Operations map[string]jobs.Operation

	verb  Verb
	asked *Asked
	warns []jobs.Warning

	left  *jobs.Entry // an entry that was left running and has just got its end
	est   *Estimator
	necks map[string]jobs.Neck
	torn  *bitlife.TornFace // what torn holes have cost
	sunk  map[string]money.Amount
	woods jobs.WoodTable
	judge *bitlife.Advisor    // of the bits chosen among
	ends  map[string]jobs.Day // likely dates of the open necks
}

// newBook reads the shop for a verb. A file without a shop gives a book with no
// shop to the verbs that make one.
func newBook(tx *store.Tx, v Verb, ask Ask) (*Book, error) {
	b := &Book{Tx: tx, Now: tx.Now, verb: v, asked: ask.asked()}
	if b.asked.At != nil {
		if b.asked.At.After(tx.Now.Add(time.Minute)) {
			return nil, &jobs.FieldError{Field: "at", Value: b.asked.At.Format(time.RFC3339), Want: "a time that has been"}
		}
		b.Now = b.asked.At.UTC().Truncate(time.Second)
	}
	if v.Mode&Creates != 0 {
		return b, b.seed()
	}
	if err := b.read(); err != nil {
		return nil, err
	}
	if v.Mode&Settles != 0 {
		return b, b.settle()
	}
	return b, nil
}

// read reads the shop and its operations.
func (b *Book) read() (err error) {
	if b.Shop, err = b.Tx.Shop(); err != nil {
		return err
	}
	b.Operations, err = b.OperationMap()
	return err
}

// Open gives a book on a transaction that is open already.
func Open(tx *store.Tx) (*Book, error) {
	b := &Book{Tx: tx, Now: tx.Now, asked: &Asked{}}
	return b, b.read()
}

// Warnings gives the warnings kept so far.
func (b *Book) Warnings() []jobs.Warning { return b.warns }

// Est answers for times of operations from the log.
func (b *Book) Est() *Estimator {
	if b.est == nil {
		b.est = b.NewEstimator()
	}
	return b.est
}

// Warn keeps a warning for the result.
func (b *Book) Warn(w jobs.Warning) { b.warns = append(b.warns, w) }

// Warnf keeps a warning without a hint.
func (b *Book) Warnf(code, format string, args ...any) {
	b.Warn(jobs.Warningf(code, format, args...))
}

// Wall gives an instant on the shop's wall.
func (b *Book) Wall(t time.Time) time.Time { return t.In(b.Shop.Location()) }

// Clock prints the time of day of an instant on the shop's wall.
func (b *Book) Clock(t time.Time) string { return b.Wall(t).Format("15:04") }

// Evening is the shop day of the instant asked about.
func (b *Book) Tonight() jobs.Day { return b.Shop.Evening(b.Now) }

// Neck reads a neck by its code, once a transaction.
func (b *Book) Neck(code string) (jobs.Neck, error) {
	if n, ok := b.necks[code]; ok {
		return n, nil
	}
	n, _, err := store.Get(b.Tx, store.Necks, code)
	if err != nil {
		return n, err
	}
	if b.necks == nil {
		b.necks = map[string]jobs.Neck{}
	}
	b.necks[code] = n
	return n, nil
}

// NameOf is the nickname of a neck, else its code.
func (b *Book) NameOf(code string) string {
	if n, err := b.Neck(code); err == nil && n.Code != "" {
		return n.Name()
	}
	return code
}

// NecksText names the necks of an entry: "ada+bo".
func (b *Book) NecksText(e jobs.Entry) string {
	var names []string
	for _, s := range e.Shares {
		names = append(names, b.NameOf(s.Neck))
	}
	return strings.Join(names, "+")
}

// settle gives an entry that was left running its assumed end, in the records,
// and warns with the commands that confirm or correct it.
func (b *Book) settle() error {
	left, err := b.Settle()
	if err != nil || left == nil {
		return err
	}
	b.left = &left.Entry
	b.warnLeft(left)
	return nil
}

// tellLeft warns of an entry that was left running, and writes nothing.
func (b *Book) tellLeft() error {
	e, on, err := b.RunningEntry()
	if err != nil || !on || !jobs.Forgotten(e, b.Shop, b.Now) {
		return err
	}
	done, why, err := b.assume(e)
	if err == nil {
		b.warnLeft(&Settling{done, why})
	}
	return err
}

func (b *Book) warnLeft(left *Settling) {
	e := left.Entry
	b.Warn(jobs.Warning{Code: "left-running",
		Text: fmt.Sprintf("%s %s was not stopped on %s. End assumed: %s, %s (%s). Was the step finished? Add --done.", e.Operation, b.NecksText(e), b.Shop.WhenFrom(e.From, b.Now), b.Clock(*e.To), left.Why, jobs.MinutesText(e.Elapsed(b.Now))),
		Hint: fmt.Sprintf("entry amend %d --confirm", e.ID)})
}
