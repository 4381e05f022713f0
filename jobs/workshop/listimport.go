package workshop

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// BringRow is one row of a list that the builder brings: values by field, and
// where the row is.
type BringRow struct {
	No    int               `json:"row"` // line or row of the list, from 1
	Cells map[string]string `json:"cells"`
}

// BringField is a field that a list may have a column for.
type BringField struct {
	Name     string
	Required bool
	Help     string
	Time     bool // a date or a time of day: spreadsheets keep those as numbers
}

// BringKinds names what lists may hold.
func BringKinds() []string { return []string{"entries", "uses", "lots", "past-jobs"} }

// BringFields lists the fields of one kind of list.
func BringFields(as string) []BringField { return bringFields[as] }

var bringFields = map[string][]BringField{
	"entries": {
		{"date", false, "evening the work began, 2026-01-20; not needed when from is RFC 3339", true},
		{"from", false, "19:30 on the shop's clock, or RFC 3339", true},
		{"to", false, "21:05 (past midnight is understood), or RFC 3339", true},
		{"minutes", false, "instead of from and to: work logged without a clock", false},
		{"operation", true, "operation, its name or an alias", false},
		{"neck", true, "code or nickname; several with +", false},
		{"count", false, "units done; several necks 6+8", false},
		{"class", false, "first (default), rework or decide", false},
		{"cause", false, "of rework", false},
		{"done", false, "yes (default) or no: the step was finished", false},
		{"grade", false, "tear-out 0 to 3", false},
		{"person", false, "other than yourself", false},
		{"note", false, "a remark", false},
	},
	"past-jobs": {
		{"date", true, "day it was done", true},
		{"operation", true, "operation, its name or an alias", false},
		{"count", true, "units of the whole pass", false},
		{"minutes", true, "working minutes of the whole pass", false},
		{"neck", false, "code or nickname; without one it goes to PAST, a finished neck made for it", false},
		{"note", false, "a remark", false},
	},
	"lots": {
		{"supply", true, "name of the supply", false},
		{"received", true, "day it came", true},
		{"quantity", true, "in the unit of the supply", false},
		{"price", false, "of the whole quantity", false},
		{"source", false, "bought (default), gift, offcut or salvage", false},
		{"replacement", false, "what a gift would cost", false},
		{"opened", false, "day it was opened", true},
		{"expires", false, "printed date", true},
		{"neck", false, "from which an offcut came", false},
		{"note", false, "a remark", false},
	},
	"uses": {
		{"supply", true, "name of the supply", false},
		{"date", true, "day of the use", true},
		{"quantity", true, "in the unit of the supply", false},
		{"kind", false, "use (default), count or write-off", false},
		{"neck", false, "code or nickname; overhead without one", false},
		{"reason", false, "why, for a count or a write-off", false},
		{"note", false, "a remark", false},
	},
}

// Rejected is a row that cannot be brought in.
type Rejected struct {
	Row       int    `json:"row"`
	Reason    string `json:"reason"`
	Duplicate bool   `json:"duplicate,omitempty"`
}

// Brought is what became of a list.
type Brought struct {
	As       string     `json:"as"`
	Rows     int        `json:"rows"`
	Create   []Creation `json:"create"`
	Rejected []Rejected `json:"rejected"`
	Skipped  int        `json:"skipped,omitempty"` // duplicates left out, as asked
	Necks    []string   `json:"necks,omitempty"`   // made for past jobs without one
}

// Creation is a record that a row becomes.
type Creation struct {
	Row    int    `json:"row"`
	Record string `json:"record"`
	Text   string `json:"text"`
}

// BringOptions say how a list is to be read.
type BringOptions struct {
	SkipDuplicates bool
	// Dates is the order of a date with points or slashes: dmy or mdy; without
	// it only ISO 8601 is taken, since 03/04 can be two days.
	Dates string
}

// BringIn makes records of the rows of a list. It writes into the transaction
// whatever can be written; the caller keeps that only when nothing was rejected,
// so that a list comes in whole or not at all. Duplicates (a record with the same
// time or day, subject and quantity, in the file or earlier in the list) are
// rejected, or left out when so asked.
func (book *Book) BringIn(as string, rows []BringRow, o BringOptions) (Brought, error) {
	b := &bringer{Book: book, opts: o, seen: map[string]string{}, necks: map[string]jobs.Neck{}, taken: map[string]map[int]bool{},
		out: Brought{As: as, Rows: len(rows), Create: []Creation{}, Rejected: []Rejected{}}}
	var err error
	var one func(BringRow) (string, string, error)
	switch as {
	case "entries":
		one = b.entry
	case "past-jobs":
		one = b.pastJob
	case "lots":
		err, one = b.knowLots(), b.lot
	case "uses":
		err, one = b.knowUses(), b.use
	default:
		err = &jobs.FieldError{Field: "as", Value: as, Want: strings.Join(BringKinds(), ", ")}
	}
	if err != nil {
		return b.out, err
	}
	for _, r := range rows {
		record, text, err := one(r)
		var twice *twiceError
		switch {
		case err == nil:
			b.out.Create = append(b.out.Create, Creation{r.No, record, text})
		case errors.Is(err, store.ErrDamaged):
			return b.out, err
		case errors.As(err, &twice) && o.SkipDuplicates:
			b.out.Skipped++
		default:
			b.out.Rejected = append(b.out.Rejected, Rejected{r.No, strings.ReplaceAll(err.Error(), "\n", "; "), twice != nil})
		}
	}
	b.overlaps()
	slices.SortStableFunc(b.out.Rejected, func(x, y Rejected) int { return cmp.Compare(x.Row, y.Row) })
	return b.out, nil
}

// twiceError says of what a row is a repetition.
type twiceError struct{ of string }

func (e *twiceError) Error() string { return "the same as " + e.of }

type bringer struct {
	*Book
	opts  BringOptions
	out   Brought
	seen  map[string]string // what makes a record the same -> what has it
	necks map[string]jobs.Neck
	taken map[string]map[int]bool // neck -> steps done, in the file or by this list
	spans []bringSpan
}

type bringSpan struct {
	row   int
	entry jobs.Entry
}

// once refuses a record that is there already and remembers this one.
func (b *bringer) once(key string, row int) error {
	if of, ok := b.seen[key]; ok {
		return &twiceError{of}
	}
	b.seen[key] = fmt.Sprintf("row %d", row)
	return nil
}

// need gives a field that must have a value.
func cellOf(r BringRow, field string) (string, error) {
	v := r.Cells[field]
	if v == "" {
		return "", &jobs.FieldError{Field: field, Value: v, Want: "a value"}
	}
	return v, nil
}

// oneOf gives a word of a few, or the first when the field is empty.
func oneOf(r BringRow, field string, words ...string) (string, error) {
	v := strings.ToLower(r.Cells[field])
	if v == "" {
		return words[0], nil
	}
	if !slices.Contains(words, v) {
		return "", &jobs.FieldError{Field: field, Value: v, Want: strings.Join(words, ", ")}
	}
	return v, nil
}

// date reads a day in the order that was named.
func (b *bringer) date(field, v string) (jobs.Day, error) {
	v = strings.TrimSuffix(v, " 00:00:00")
	if day, err := jobs.ParseDay(field, v); err == nil || b.opts.Dates == "" {
		return day, err
	}
	parts := strings.FieldsFunc(v, func(r rune) bool { return r == '.' || r == '/' || r == '-' })
	if len(parts) == 3 {
		d, m, y := parts[0], parts[1], parts[2]
		if b.opts.Dates == "mdy" {
			d, m = m, d
		}
		if len(d) <= 2 && len(m) <= 2 && len(y) == 4 {
			if day, err := jobs.ParseDay(field, fmt.Sprintf("%s-%02s-%02s", y, m, d)); err == nil {
				return day, nil
			}
		}
	}
	return "", &jobs.FieldError{Field: field, Value: v, Want: "a date in the order " + b.opts.Dates + " or such as 2027-02-01"}
}

// noon gives the middle of a day, for what has no time of day. Nothing is in
// the future.
func (b *bringer) noon(field, v string) (time.Time, error) {
	day, err := b.date(field, v)
	if err != nil {
		return time.Time{}, err
	}
	t, err := jobs.WallTime(day, 12*60, b.Shop.Location(), "")
	if err == nil && day > b.Shop.Evening(b.Now) {
		err = &jobs.FieldError{Field: field, Value: v, Want: "a day that is not in the future"}
	}
	return t, err
}

// neck resolves a neck exactly; lists are not typed in a hurry, so no prefixes.
func (b *bringer) neck(word string) (jobs.Neck, error) {
	if n, ok := b.necks[word]; ok {
		return n, nil
	}
	n, err := b.FindNeck(word)
	if err != nil {
		return n, err
	}
	if n.Code != word && n.Nickname != word {
		return n, &jobs.NotFoundError{Noun: "neck", Value: word, Near: []string{n.Name()}}
	}
	b.necks[word] = n
	return n, nil
}

func (b *bringer) operation(r BringRow) (jobs.Operation, error) {
	word, err := cellOf(r, "operation")
	if err != nil {
		return jobs.Operation{}, err
	}
	if k, ok := b.Operations[word]; ok && k.Became == "" {
		return k, nil
	}
	k, err := jobs.FindOperation(word, b.Operations, nil)
	if err == nil && k.Name != word && !slices.Contains(k.Aliases, word) {
		err = &jobs.NotFoundError{Noun: "operation", Value: word, Near: []string{k.Name}}
	}
	return k, err
}
