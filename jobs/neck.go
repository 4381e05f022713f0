package jobs

import (
	"fmt"
	"slices"
	"sort"
	"time"
	"unicode"
)

// Status of a neck. Open and held necks take work; finished and scrapped ones
// still take late amendments, marked as such.
type Status string

// The four states of a neck.
const (
	Open     Status = "open"
	Held     Status = "held"
	Finished Status = "finished"
	Scrapped Status = "scrapped"
)

// Neck is one job on the bench. Code is never reused.
type Neck struct {
	Code       string             `json:"neck"`
	Nickname   string             `json:"nickname"`
	Title      string             `json:"title"`
	Customer   string             `json:"customer,omitempty"` // empty: for stock
	Wood       string             `json:"wood"`
	Veneer     string             `json:"veneer,omitempty"` // wood of the show face; empty: as Wood
	Route      string             `json:"route"`
	Status     Status             `json:"status"`
	Due        Day                `json:"due,omitempty"`
	Added      time.Time          `json:"added"`
	Closed     *time.Time         `json:"closed,omitempty"`          // when finished or scrapped
	Why        string             `json:"why,omitempty" own:"words"` // of hold or scrap
	Steps      []Step             `json:"steps"`
	Quantities map[string]float64 `json:"quantities"` // by what they count
	HeadMM     float64            `json:"head_mm,omitempty"`
	Layout     string             `json:"layout,omitempty"` // code of the current plan
	Quote      string             `json:"quote,omitempty"`
	Starts     Day                `json:"starts,omitempty"` // not before (deposit date)
	Priority   int                `json:"priority,omitempty"`
	Paid       bool               `json:"paid,omitempty"` // for a customer: counts as paid hours
	// Trade-control papers of a listed species; the tool only keeps the words.
	Papers   string     `json:"papers,omitempty"`
	Notes    []NeckNote `json:"notes,omitempty"` // oldest first
	Sale     *Sale      `json:"sale,omitempty"`  // nil while it was not handed over
	Payments []Payment  `json:"payments,omitempty"`
}

// Step is one step of a neck. Its state is derived from the entries.
type Step struct {
	No         int     `json:"step"` // 1-based, stable for the life of the neck
	Operation  string  `json:"operation"`
	Name       string  `json:"name,omitempty"`  // in the graph of the neck; empty: as the operation
	After      []Need  `json:"after,omitempty"` // steps that it waits for, by name
	Quantity   float64 `json:"quantity"`        // in the unit of the operation
	Difficulty float64 `json:"difficulty,omitempty"`
	Window     *Window `json:"window,omitempty"` // of a copy: how soon after the one before
	Skip       string  `json:"skip,omitempty"`   // why it is skipped
	Note       string  `json:"note,omitempty"`
}

// ValidCode says whether s can be as the code of a neck, bit or quote, or as
// a nickname: letters, digits, point, hyphen; no spaces.
func ValidCode(field, s string) error {
	n := 0
	for _, r := range s {
		inner := n > 0 && (r == '.' || r == '_' || r == '-')
		if n++; n > 24 || !inner && !unicode.IsLetter(r) && (r < '0' || r > '9') {
			n = 0
			break
		}
	}
	if n == 0 {
		return &FieldError{field, s, "up to 24 letters, digits, points or hyphens"}
	}
	return nil
}

// Validate says what is wrong with a neck, if anything.
func (n Neck) Validate() error {
	if err := ValidCode("neck", n.Code); err != nil {
		return err
	}
	if n.Nickname != "" {
		if err := ValidCode("nickname", n.Nickname); err != nil {
			return err
		}
	}
	if len([]rune(n.Title)) > 80 {
		return &FieldError{"title", n.Title, "a title of at most 80 characters; the rest fits a note"}
	}
	for _, d := range SortedKeys(n.Quantities) {
		q := n.Quantities[d]
		if _, ok := PerNamed(d); !ok {
			return &FieldError{"quantity", d, "one of " + perList()}
		}
		if !(q >= 0 && q <= 1e6) {
			return &FieldError{"quantity " + d, fmt.Sprint(q), "a quantity from 0 to 1000000"}
		}
	}
	return nil
}

// Name is the nickname where there is one, else the code.
func (n Neck) Name() string {
	if n.Nickname != "" {
		return n.Nickname
	}
	return n.Code
}

// IsClosed says that the neck is finished or scrapped.
func (n Neck) IsClosed() bool { return n.Status == Finished || n.Status == Scrapped }

// Step gives the step with a number.
func (n Neck) Step(no int) (Step, bool) {
	for _, s := range n.Steps {
		if s.No == no {
			return s, true
		}
	}
	return Step{}, false
}

// PlanSteps lays a route out for a neck: quantities are those given, else from
// the route. Steps without a quantity fall away, and what needed them needs what
// they needed. Repeated steps become one step a copy.
func PlanSteps(route Route, operations map[string]Operation, quantities map[string]float64) ([]Step, map[string]float64, error) {
	all := map[string]float64{}
	for k, v := range route.Quantities {
		all[k] = v
	}
	for k, v := range quantities {
		all[k] = v
	}
	// Each tuner has its screw or pin: pilots follow the holes unless they are
	// said.
	if holes, said := quantities["holes"]; said && all["pilots"] > 0 {
		if _, said := quantities["pilots"]; !said {
			all["pilots"] = holes
		}
	}
	for _, s := range route.Steps {
		if _, ok := operations[s.Operation]; !ok {
			return nil, nil, &NotFoundError{"operation", s.Operation, Nearest(s.Operation, SortedKeys(operations))}
		}
	}
	quantity := func(s GraphStep) float64 {
		if s.Repeat != "" {
			return 1
		}
		if q, known := all[operations[s.Operation].Per]; known {
			return q
		}
		return 1
	}
	var steps []Step
	for _, s := range route.Steps.Without(func(s GraphStep) bool { return quantity(s) <= 0 }).Unfold(all) {
		steps = append(steps, Step{No: len(steps) + 1, Name: s.Name, Operation: s.Operation, After: s.After, Quantity: quantity(s), Window: s.Window})
	}
	return steps, all, nil
}

// KnownQuantities reads quantities by what they count: "holes", or "hole". An
// unknown one is a *FieldError.
func KnownQuantities(given map[string]float64) (map[string]float64, error) {
	out := map[string]float64{}
	for _, name := range SortedKeys(given) {
		d, known := PerNamed(name)
		if !known {
			return nil, &FieldError{"quantity", name, "a quantity of " + perList() + ", such as inlay=14"}
		}
		out[d.Name] = given[name]
	}
	return out, nil
}

// SortedKeys gives the keys of a map in order, so that nothing is printed in
// map order.
func SortedKeys[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	return keys
}

// FindNeck resolves a typed word to one neck: code or nickname, exactly or by
// unique prefix, open necks before closed ones. Otherwise *NotFoundError with
// the nearest, or *ConflictError naming those it may mean.
func FindNeck(word string, necks []Neck) (Neck, error) {
	byName := map[string]Neck{}
	var open, all []string
	for _, n := range necks {
		for _, name := range []string{n.Code, n.Nickname} {
			if name == "" {
				continue
			}
			if old, taken := byName[name]; taken && !old.IsClosed() {
				continue // a nickname may serve again once its neck is closed
			}
			byName[name] = n
			all = append(all, name)
			if !n.IsClosed() {
				open = append(open, name)
			}
		}
	}
	for _, pool := range [][]string{open, all} {
		hits := map[string]bool{}
		var found Neck
		for _, name := range Candidates(word, pool) {
			found = byName[name]
			hits[found.Code] = true
		}
		if len(hits) == 1 {
			return found, nil
		}
		if len(hits) > 1 {
			return Neck{}, Ambiguous("neck", word, SortedKeys(hits))
		}
	}
	slices.Sort(all)
	return Neck{}, &NotFoundError{"neck", word, Nearest(word, all)}
}
