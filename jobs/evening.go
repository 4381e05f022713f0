package jobs

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
)

// CardItem is one item of an evening card as it was written: "2030 drill bo 6".
//
// A card is one line with commas between its items (semicolons and line breaks
// do as well):
//
//	TIME OPERATION NECK[+NECK] [COUNT[+COUNT]] [word ...]   work from TIME until the next TIME
//	TIME-TIME OPERATION NECK ...                            work with an end of its own
//	TIME away | TIME back                              a break inside the work
//	TIME end (or off)                                  the bench is left
//	spent MINUTES OPERATION NECK ...                        work without a clock
//
// TIME is 1910 or 19:10, with an offset behind it where clocks went back
// (0230+02:00). A COUNT, or the word done, says that the step is done; without
// either it stays open. Further words: open (the count is kept, the step stays
// open), left NECK (that neck dropped out midway), grade 0..3, bit CODE, temp
// DEGREES, rework CAUSE, payer WHO, by PERSON, and note with the rest of the
// item.
type CardItem struct {
	Text      string // as written
	At        CardTime
	Until     CardTime // of a range
	Word      string   // away, back, end; empty for work
	Spent     float64  // minutes without a clock
	Operation string
	Necks     []string
	Counts    []float64 // one, or one for each neck
	Done      bool
	Open      bool
	Left      []string
	Grade     *int
	TempC     *float64
	Bit       string
	Rework    string
	Payer     string
	Person    string
	Note      string
}

// CardTime is a time of day as written, with its offset if any.
type CardTime struct {
	Set    bool
	Clock  Clock
	Offset string
}

// String prints 19:10.
func (t CardTime) String() string { return t.Clock.String() + t.Offset }

// maxCardItems is more than an evening holds; it keeps a wrong file out.
const maxCardItems = 200

// ParseCard reads the items of an evening card; what cannot be used is a
// *FieldError that names the item.
func ParseCard(line string) ([]CardItem, error) {
	var out []CardItem
	for _, text := range strings.FieldsFunc(line, func(r rune) bool { return r == ',' || r == ';' || r == '\n' || r == '\r' }) {
		text = strings.Join(strings.Fields(text), " ")
		if text == "" {
			continue
		}
		item, err := parseCardItem(text)
		if err != nil {
			return nil, err
		}
		if out = append(out, item); len(out) > maxCardItems {
			return nil, &FieldError{"evening", fmt.Sprintf("%d items", len(out)), fmt.Sprintf("at most %d items for one evening", maxCardItems)}
		}
	}
	if len(out) == 0 {
		return nil, &FieldError{"evening", line, `items such as "1910 flush ada, 1945 drill bo 6, 2115 end"`}
	}
	return out, nil
}

func parseCardItem(text string) (CardItem, error) {
	it := CardItem{Text: text}
	w := strings.Fields(strings.ReplaceAll(strings.ReplaceAll(text, " + ", "+"), " +", "+"))
	bad := func(want string) (CardItem, error) { return it, &FieldError{"item", text, want} }
	if strings.EqualFold(w[0], "spent") {
		if len(w) < 4 {
			return bad("spent MINUTES OPERATION NECK")
		}
		min, err := ParseNumber("minutes", w[1], 1, 24*60)
		if err != nil {
			return it, err
		}
		it.Spent = min
		return it.work(w[2:])
	}
	from, until, ranged := strings.Cut(w[0], "-")
	at, err := parseCardTime(from)
	if err != nil && strings.Contains(w[0], "-") { // an offset west of Greenwich
		if whole, e := parseCardTime(w[0]); e == nil {
			at, err, ranged = whole, nil, false
		}
	}
	if err != nil {
		return bad("a time first, such as 1910, or spent MINUTES")
	}
	it.At = at
	if ranged {
		if it.Until, err = parseCardTime(until); err != nil {
			return bad("a range such as 1910-1940")
		}
	}
	if len(w) == 1 {
		return bad("what was started then: OPERATION NECK, away, back or end")
	}
	switch word := strings.ToLower(w[1]); word {
	case "end", "off", "away", "back":
		if len(w) > 2 || ranged {
			return bad("nothing after " + word)
		}
		if word == "off" {
			word = "end"
		}
		it.Word = word
		return it, nil
	}
	return it.work(w[1:])
}

// work reads "OPERATION NECK[+NECK] [COUNT] words".
func (it CardItem) work(w []string) (CardItem, error) {
	bad := func(want string) (CardItem, error) { return it, &FieldError{"item", it.Text, want} }
	if len(w) < 2 {
		return bad("OPERATION NECK, such as drill bo")
	}
	it.Operation = w[0]
	if it.Necks = splitPlus(w[1]); len(it.Necks) == 0 {
		return bad("a neck after the operation")
	}
	for i := 2; i < len(w); i++ {
		word := strings.ToLower(w[i])
		takes := slices.Contains([]string{"left", "grade", "bit", "temp", "rework", "payer", "by"}, word)
		if takes && i+1 >= len(w) {
			return bad("a value after " + word)
		}
		switch {
		case word == "done":
			it.Done = true
		case word == "open":
			it.Open = true
		case word == "note":
			it.Note = strings.Join(w[i+1:], " ")
			return it.agreed()
		case takes:
			i++
			if err := it.set(word, w[i]); err != nil {
				return it, err
			}
		case it.Counts == nil && strings.Trim(word, "0123456789.+") == "":
			for _, n := range splitPlus(word) {
				v, err := ParseNumber("count", n, 0, 1e6)
				if err != nil {
					return it, err
				}
				it.Counts = append(it.Counts, v)
			}
			if it.Counts == nil {
				return bad("a count such as 6, or 6+8")
			}
		default:
			return bad(fmt.Sprintf("no %q after the neck, but a count, done, open, left NECK, grade N, bit CODE, temp DEGREES, rework CAUSE, payer WHO, by PERSON or note ...", w[i]))
		}
	}
	return it.agreed()
}

func (it *CardItem) set(word, v string) error {
	switch word {
	case "left":
		it.Left = splitPlus(v)
	case "grade":
		n, err := strconv.Atoi(v)
		if err != nil || n < 0 || n > 3 {
			return &FieldError{"grade", v, "0 clean, 1 fuzz, 2 hidden or 3 torn"}
		}
		it.Grade = &n
	case "temp":
		t, err := ParseNumber("temp", v, -40, 60)
		if err != nil {
			return err
		}
		it.TempC = &t
	case "bit":
		it.Bit = v
	case "rework":
		it.Rework = v
	case "payer":
		it.Payer = v
	case "by":
		it.Person = v
	}
	return nil
}

// agreed refuses what contradicts itself.
func (it CardItem) agreed() (CardItem, error) {
	switch {
	case it.Done && it.Open:
		return it, &FieldError{"item", it.Text, "done or open, not both"}
	case len(it.Counts) > 1 && len(it.Counts) != len(it.Necks):
		return it, &FieldError{"item", it.Text, fmt.Sprintf("one count for each of %d necks, such as 6+8", len(it.Necks))}
	case len(it.Counts) == 1 && len(it.Necks) > 1:
		return it, &FieldError{"item", it.Text, "a count for each neck, such as ada+bo 6+8"}
	}
	return it, nil
}

// Ends says that the item finishes its step.
func (it CardItem) Ends() bool { return (it.Done || len(it.Counts) > 0) && !it.Open }

// CountFor gives the count written for the i-th neck; -1 where none was.
func (it CardItem) CountFor(i int) float64 {
	if i < len(it.Counts) {
		return it.Counts[i]
	}
	return -1
}

func splitPlus(s string) []string {
	return strings.FieldsFunc(s, func(r rune) bool { return r == '+' })
}

// parseCardTime reads 1910, 19:10 and 0230+02:00.
func parseCardTime(s string) (CardTime, error) {
	body, offset := s, ""
	if i := strings.IndexAny(s, "+-"); i > 0 {
		body, offset = s[:i], s[i:]
		if _, err := time.Parse("-07:00", offset); err != nil {
			return CardTime{}, &FieldError{"offset", offset, "an offset such as +02:00"}
		}
	}
	c, err := ParseClock("time", body)
	return CardTime{true, c, offset}, err
}
