package workshop

import (
	"fmt"
	"strings"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// NeckAddAsk adds a neck with the steps of its route.
type NeckAddAsk struct {
	Asked
	Neck       string             `json:"neck" word:"CODE"`
	Nickname   string             `json:"nickname,omitempty" flag:"nickname" arg:"NAME" help:"the short word for the bench"`
	Title      string             `json:"title,omitempty" flag:"title" help:"what it is"`
	Route      string             `json:"route,omitempty" flag:"route" arg:"ROUTE" help:"its route; headstock if not given"`
	Wood       string             `json:"wood,omitempty" flag:"wood" arg:"WOOD" help:"wood of the neck"`
	Veneer     string             `json:"veneer,omitempty" flag:"veneer" arg:"WOOD" help:"wood of the front, if another"`
	Customer   string             `json:"customer,omitempty" flag:"for" arg:"CUSTOMER" help:"who it is for; nobody means stock"`
	Due        jobs.Day           `json:"due,omitempty" read:"coming" flag:"due" arg:"DATE" help:"the DATE it is promised for"`
	Starts     jobs.Day           `json:"starts,omitempty" read:"coming" flag:"starts" arg:"DATE" help:"not before this DATE"`
	HeadMM     *float64           `json:"head_mm,omitempty" flag:"head" arg:"MM" unit:"mm" help:"finished thickness of the headstock"`
	Quantities map[string]float64 `json:"quantities,omitempty" flag:"quantity" arg:"WHAT=N" help:"a quantity such as inlay=14; may be repeated"`
	Papers     string             `json:"papers,omitempty" flag:"papers" help:"papers of a listed wood: number, source, date"`
}

// NeckResult is a neck after a change.
type NeckResult struct {
	Meta
	NeckHead
	Route      string             `json:"route"`
	Quantities map[string]float64 `json:"quantities"`
	Steps      int                `json:"steps"`
	Left       int                `json:"steps_left"`
	Next       string             `json:"next,omitempty"` // operation
	Why        string             `json:"why,omitempty" own:"words"`
	Sale       *jobs.Sale         `json:"sale,omitempty"`
	Changed    []Change           `json:"changed,omitempty"`
}

// Change is one thing that was changed.
type Change struct {
	What string `json:"what"`
	Was  string `json:"was"`
	Now  string `json:"now"`
}

// NeckAdd adds a neck, NeckSet changes what is known of it.
var (
	NeckAdd = Define("neck add", "NOT ADDED", Writes, (*Book).neckAdd)
	NeckSet = Define("neck set", "NOT CHANGED", Writes, (*Book).neckSet)
)

// usualRoute is the route of a neck for which none was named.
const usualRoute = "headstock"

func (b *Book) neckAdd(ask *NeckAddAsk, res *NeckResult) error {
	n := jobs.Neck{Code: ask.Neck, Nickname: ask.Nickname, Title: ask.Title, Customer: ask.Customer, Status: jobs.Open, Added: b.Now, Papers: ask.Papers, Due: ask.Due, Starts: ask.Starts, Paid: ask.Customer != ""}
	if err := n.Validate(); err != nil {
		return err
	}
	if err := headThickness(&n, ask.HeadMM); err != nil {
		return err
	}
	if err := b.FreeNeckName(n); err != nil {
		return err
	}
	route := ask.Route
	if route == "" {
		route = usualRoute
	}
	r, err := b.FindRoute(route)
	if err != nil {
		return err
	}
	n.Route = r.Name
	if n.Wood, err = b.woodNamed(ask.Wood); err != nil {
		return err
	}
	if n.Veneer, err = b.woodNamed(ask.Veneer); err != nil {
		return err
	}
	quantities, err := jobs.KnownQuantities(ask.Quantities)
	if err != nil {
		return err
	}
	if n.Steps, n.Quantities, err = jobs.PlanSteps(r, b.Operations, quantities); err != nil {
		return err
	}
	if err := n.Validate(); err != nil {
		return err
	}
	if err := store.Put(b.Tx, store.Necks, n); err != nil {
		return err
	}
	return b.neckNow(n, res)
}

// neckNow fills a result with a neck as it is now.
func (b *Book) neckNow(n jobs.Neck, res *NeckResult) error {
	st, err := b.NeckState(n)
	if err != nil {
		return err
	}
	res.NeckHead, res.Route, res.Quantities, res.Steps, res.Why, res.Sale = headOf(n), n.Route, n.Quantities, len(n.Steps), n.Why, n.Sale
	for _, v := range st.Steps {
		if v.State != jobs.Skipped && v.DoneAt == nil {
			res.Left++
		}
	}
	if v, ok := st.Next(); ok {
		res.Next = v.Operation
	}
	return nil
}

func headThickness(n *jobs.Neck, mm *float64) error {
	if mm == nil {
		return nil
	}
	if !(*mm >= 1 && *mm <= 60) {
		return &jobs.FieldError{Field: "head", Value: jobs.NumberText(*mm), Want: "a thickness from 1 to 60 mm such as 15"}
	}
	n.HeadMM = *mm
	return nil
}

// woodNamed resolves the name of a wood. The empty name stays empty.
func (b *Book) woodNamed(word string) (string, error) {
	if word == "" {
		return "", nil
	}
	w, err := b.FindWood(word)
	return w.Name, err
}

// NeckSetAsk changes what is known of a neck. A flag that was not given changes
// nothing. An empty value takes away.
type NeckSetAsk struct {
	Asked
	Neck       string   `json:"neck" word:"NECK"`
	Title      *string  `json:"title,omitempty" flag:"title" help:"what it is"`
	Nickname   *string  `json:"nickname,omitempty" flag:"nickname" arg:"NAME" help:"the short word for the bench"`
	Customer   *string  `json:"customer,omitempty" flag:"for" arg:"CUSTOMER" help:"who it is for; empty for stock"`
	Due        *string  `json:"due,omitempty" flag:"due" arg:"DATE" help:"the DATE it is promised for; none takes it away"`
	Starts     *string  `json:"starts,omitempty" flag:"starts" arg:"DATE" help:"not before this DATE; none takes it away"`
	Wood       *string  `json:"wood,omitempty" flag:"wood" arg:"WOOD" help:"wood of the neck"`
	Veneer     *string  `json:"veneer,omitempty" flag:"veneer" arg:"WOOD" help:"wood of the front, if another"`
	HeadMM     *float64 `json:"head_mm,omitempty" flag:"head" arg:"MM" unit:"mm" help:"finished thickness of the headstock"`
	Difficulty *float64 `json:"difficulty,omitempty" flag:"difficulty" arg:"FACTOR" help:"time of the steps left, such as 1.3 for a third more"`
	Papers     *string  `json:"papers,omitempty" flag:"papers" help:"papers of a listed wood: number, source, date"`
}

func (b *Book) neckSet(ask *NeckSetAsk, res *NeckResult) error {
	n, err := b.FindNeck(ask.Neck)
	if err != nil {
		return err
	}
	was := n
	for _, f := range []struct {
		said *string
		to   *string
	}{{ask.Title, &n.Title}, {ask.Nickname, &n.Nickname}, {ask.Customer, &n.Customer}, {ask.Papers, &n.Papers}} {
		if f.said != nil {
			*f.to = strings.TrimSpace(*f.said)
		}
	}
	if n.Customer != was.Customer {
		n.Paid = n.Customer != ""
	}
	for _, f := range []struct {
		field string
		said  *string
		to    *jobs.Day
	}{{"due", ask.Due, &n.Due}, {"starts", ask.Starts, &n.Starts}} {
		switch {
		case f.said == nil:
		case *f.said == "" || *f.said == "none":
			*f.to = ""
		default:
			if *f.to, err = b.day(f.field, *f.said); err != nil {
				return err
			}
		}
	}
	for _, f := range []struct {
		said *string
		to   *string
	}{{ask.Wood, &n.Wood}, {ask.Veneer, &n.Veneer}} {
		if f.said != nil {
			if *f.to, err = b.woodNamed(strings.TrimSpace(*f.said)); err != nil {
				return err
			}
		}
	}
	if err := headThickness(&n, ask.HeadMM); err != nil {
		return err
	}
	if ask.Difficulty != nil {
		if n, err = b.harder(n, *ask.Difficulty); err != nil {
			return err
		}
		res.Changed = append(res.Changed, Change{What: "difficulty of the steps left", Now: jobs.NumberText(*ask.Difficulty)})
	}
	if err := n.Validate(); err != nil {
		return err
	}
	if n.Nickname != was.Nickname {
		if err := b.freeNickname(n); err != nil {
			return err
		}
	}
	res.Changed = append(neckChanges(was, n), res.Changed...)
	if len(res.Changed) == 0 {
		return &jobs.Refusal{Code: "nothing", Class: jobs.Invalid, Why: "nothing about " + n.Name() + " is different", Type: []string{"neck set " + n.Name() + " --title \"six in line\""}}
	}
	if err := store.Put(b.Tx, store.Necks, n); err != nil {
		return err
	}
	b.necks = nil
	return b.neckNow(n, res)
}

// harder gives every step that is left a factor on its time.
func (b *Book) harder(n jobs.Neck, factor float64) (jobs.Neck, error) {
	st, err := b.NeckState(n)
	if err != nil {
		return n, err
	}
	for _, v := range st.Steps {
		if v.DoneAt != nil || v.State == jobs.Skipped {
			continue
		}
		if n, _, err = (jobs.StepChange{Word: fmt.Sprint(v.No), Difficulty: &factor}).Apply(jobs.NeckState{Neck: n, Steps: st.Steps}, b.Operations); err != nil {
			return n, err
		}
	}
	return n, nil
}

func neckChanges(was, is jobs.Neck) (out []Change) {
	for _, f := range []struct{ what, was, is string }{
		{"nickname", was.Nickname, is.Nickname}, {"title", was.Title, is.Title}, {"customer", was.Customer, is.Customer},
		{"promised", string(was.Due), string(is.Due)}, {"starts", string(was.Starts), string(is.Starts)},
		{"wood", was.Wood, is.Wood}, {"veneer", was.Veneer, is.Veneer}, {"papers", was.Papers, is.Papers},
		{"head (mm)", jobs.NumberText(was.HeadMM), jobs.NumberText(is.HeadMM)},
	} {
		if f.was != f.is {
			out = append(out, Change{f.what, f.was, f.is})
		}
	}
	return out
}
