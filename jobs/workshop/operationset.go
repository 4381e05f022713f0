package workshop

import (
	"fmt"
	"slices"
	"strings"

	"bookmatch/costing/money"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// OperationFields are the fields of an operation that can be typed. Nil leaves
// one as it is.
type OperationFields struct {
	Title        *string  `json:"title,omitempty" flag:"title" help:"what it is"`
	SetupMin     *float64 `json:"setup_min,omitempty" flag:"setup" arg:"MINUTES" help:"once a session"`
	RunMin       *float64 `json:"run_min,omitempty" flag:"run" arg:"MINUTES" help:"for each unit"`
	Per          *string  `json:"per,omitempty" flag:"per" arg:"UNIT" help:"the unit that the run grows with: holes, cm2, inlay ..."`
	CureMin      *float64 `json:"cure_min,omitempty" flag:"cure" arg:"MINUTES" help:"until it may be sanded, drilled or loaded"`
	UnclampMin   *float64 `json:"unclamp_min,omitempty" flag:"unclamp" arg:"MINUTES" help:"until the clamps come off"`
	Clamps       *int     `json:"clamps,omitempty" flag:"clamps" arg:"N" help:"sets of clamps it holds"`
	ReworkChance *float64 `json:"rework_chance,omitempty" flag:"rework-chance" help:"chance of doing it again, 0 to 1"`
	ScrapChance  *float64 `json:"scrap_chance,omitempty" flag:"scrap-chance" help:"chance that it ends the neck, 0 to 1"`
	Labour       *string  `json:"labour,omitempty" flag:"labour" help:"its own rate an hour; - for the shop's"`
	Drills       *string  `json:"drills,omitempty" flag:"drills" help:"posts (rims that show), hidden, or - for none"`
	Recipe       []string `json:"recipe,omitempty" flag:"recipe" arg:"SUPPLY=PER+WASTE" help:"such as glue=0.02+2; glue=- takes it out"`
	Alias        []string `json:"alias,omitempty" flag:"alias" arg:"WORD" help:"another word for it; --alias=-WORD takes one away"`
	Caution      *string  `json:"caution,omitempty" flag:"caution" help:"shown once an evening"`
	Source       *string  `json:"source,omitempty" flag:"source" help:"where the standard comes from"`
	Place        *string  `json:"place,omitempty" flag:"place" help:"off, light or force: off the neck, or on it" of:"off light force"`
	Resume       *string  `json:"resume,omitempty" flag:"resume" arg:"PAUSE" help:"may be left midway: any, 30d or 12h; - for not"`
	WaitMin      *float64 `json:"bench_wait_min,omitempty" flag:"bench-wait" arg:"MINUTES" help:"a wait at the bench, part of the step"`
	HardMin      *float64 `json:"hard_min,omitempty" flag:"hard" arg:"MINUTES" help:"until a finish is hard"`
	Gate         []string `json:"gate,omitempty" flag:"gate" help:"such as stack-checked; --gate=-GATE takes it away"`
	Machine      *bool    `json:"machine,omitempty" flag:"machine" help:"not when hands are tired"`
	Daylight     *bool    `json:"daylight,omitempty" flag:"daylight" help:"wants daylight"`
	Cold         *bool    `json:"cold,omitempty" flag:"cold" help:"cures longer in a cold shop"`
	Noise        *bool    `json:"noise,omitempty" flag:"noise" help:"stops when quiet hours begin"`
	Dust         *bool    `json:"dust,omitempty" flag:"dusty" help:"not while glue or finish is wet"`
	NoStop       *bool    `json:"no_stop,omitempty" flag:"no-stop" help:"cannot stop midway"`
	Repair       *bool    `json:"repair,omitempty" flag:"repair" help:"puts right what was done: always rework, on a finished neck too"`
	Decide       *bool    `json:"decide,omitempty" flag:"decide" help:"a decision, may be made away from the bench"`
	Wet          *bool    `json:"wet,omitempty" flag:"wet" help:"leaves wet glue or finish that dust would spoil"`
	Plan         *bool    `json:"plan,omitempty" flag:"plan" help:"works from the layout plan"`
	Hardware     *bool    `json:"hardware,omitempty" flag:"hardware" help:"needs the parts that you buy"`
}

// OperationSetAsk changes an operation.
type OperationSetAsk struct {
	Asked
	Operation string `json:"operation" word:"OPERATION"`
	OperationFields
	FromHere  bool   `json:"from_here,omitempty" flag:"from-here" help:"a new jig: older past jobs stop counting"`
	FromStart bool   `json:"from_start,omitempty" flag:"from-start" help:"all past jobs count again"`
	Guess     bool   `json:"starting_guess,omitempty" flag:"starting-guess" help:"back to the times the file started with"`
	Rename    string `json:"rename,omitempty" flag:"rename" arg:"NAME" help:"another NAME; what is logged still counts"`
}

// OperationAddAsk adds an operation.
type OperationAddAsk struct {
	Asked
	Operation string `json:"operation" word:"NAME"`
	OperationFields
	Like string `json:"like,omitempty" flag:"like" arg:"OPERATION" help:"start from another operation"`
}

// OperationChanged is an operation as it is now, and the name and unit it had.
type OperationChanged struct {
	Meta
	jobs.Operation
	UnitText string `json:"unit"`
	Was      string `json:"was_called,omitempty"`
	FromHere bool   `json:"counts_from_here,omitempty"`
}

// OperationSet changes an operation, OperationAdd adds one.
var (
	OperationSet = Define("operation set", "NOT CHANGED", Writes, (*Book).operationSet)
	OperationAdd = Define("operation add", "NOT ADDED", Writes, (*Book).operationAdd)
)

func (b *Book) operationSet(ask *OperationSetAsk, res *OperationChanged) error {
	o, err := jobs.FindOperation(ask.Operation, b.Operations, nil)
	if err != nil {
		return err
	}
	was := o
	if ask.Guess {
		s, ok := StartingGuess(o)
		if !ok {
			return jobs.Refuse("own", fmt.Sprintf("operation %s is your own, so it has no starting guess", o.Name), fmt.Sprintf("operation set %s --setup 5 --run 2", o.Name))
		}
		o.SetupMin, o.RunMin, o.Own, o.Source = s.SetupMin, s.RunMin, false, s.Source
	}
	if o, err = ask.apply(o); err != nil {
		return err
	}
	switch {
	case ask.FromHere && ask.FromStart:
		return &jobs.Refusal{Code: "usage", Class: jobs.Invalid, Why: "--from-here and --from-start contradict each other", Type: []string{"operation set " + o.Name + " --from-here"}}
	case ask.FromHere:
		at := b.Now
		o.From = &at
	case ask.FromStart:
		o.From = nil
	}
	if err := b.operationFits(o); err != nil {
		return err
	}
	if ask.Rename != "" {
		if o, err = b.renameOperation(o, ask.Rename); err != nil {
			return err
		}
		res.Was = was.Name
	}
	if err := store.Put(b.Tx, store.Operations, o); err != nil {
		return err
	}
	if !b.Changed() {
		return &jobs.Refusal{Code: "usage", Class: jobs.Invalid, Why: "nothing to change was named", Type: []string{"operation set --help"}}
	}
	res.Operation, res.UnitText, res.FromHere = o, o.Unit(), ask.FromHere
	if o.Per != was.Per {
		b.Warn(jobs.Warning{Code: "unit", Text: fmt.Sprintf("The unit was %s, and past jobs are counted in it.", was.Per), Hint: fmt.Sprintf("operation set %s --from-here", o.Name)})
	}
	return nil
}

func (b *Book) operationAdd(ask *OperationAddAsk, res *OperationChanged) error {
	if old, ok := b.Operations[ask.Operation]; ok {
		return jobs.Refuse("taken", fmt.Sprintf("there is an operation %q: %s", ask.Operation, old.Title), "operation set "+ask.Operation+" --setup 5")
	}
	o := jobs.Operation{Per: "neck"}
	var err error
	if ask.Like != "" {
		if o, err = jobs.FindOperation(ask.Like, b.Operations, nil); err != nil {
			return err
		}
		o.Aliases, o.Was, o.From = nil, nil, nil
	}
	o.Name = ask.Operation
	if o, err = ask.apply(o); err != nil {
		return err
	}
	if o.Title == "" {
		o.Title = strings.ReplaceAll(o.Name, "-", " ")
	}
	if err := b.operationFits(o); err != nil {
		return err
	}
	res.Operation, res.UnitText = o, o.Unit()
	return store.Put(b.Tx, store.Operations, o)
}

// operationFits refuses an operation that cannot be, and a name or alias that
// another operation answers to.
func (b *Book) operationFits(o jobs.Operation) error {
	if err := o.Validate(); err != nil {
		return err
	}
	return freeWords(o, b.Operations)
}

func freeWords(o jobs.Operation, operations map[string]jobs.Operation) error {
	for _, name := range jobs.SortedKeys(operations) {
		x := operations[name]
		if name == o.Name || x.Became == o.Name || x.Became != "" {
			continue
		}
		for _, w := range append([]string{o.Name}, o.Aliases...) {
			if w == name || slices.Contains(x.Aliases, w) || slices.Contains(x.Was, w) {
				return jobs.Refuse("taken", fmt.Sprintf("%q already means operation %s", w, name), "operation show "+name)
			}
		}
	}
	return nil
}

// apply gives an operation the fields that were typed.
func (x OperationFields) apply(o jobs.Operation) (jobs.Operation, error) {
	for _, f := range []struct {
		typed, to *float64
		own       bool
	}{{x.SetupMin, &o.SetupMin, true}, {x.RunMin, &o.RunMin, true}, {x.CureMin, &o.CureMin, false}, {x.UnclampMin, &o.UnclampMin, false}, {x.WaitMin, &o.BenchWaitMin, true}, {x.HardMin, &o.HardMin, false}, {x.ReworkChance, &o.ReworkChance, false}, {x.ScrapChance, &o.ScrapChance, false}} {
		if f.typed == nil {
			continue
		}
		if *f.to = *f.typed; f.own {
			o.Own, o.Source = true, ""
		}
	}
	if x.Clamps != nil {
		if o.Clamps = *x.Clamps; o.Clamps < 0 || o.Clamps > 100 {
			return o, &jobs.FieldError{Field: "clamps", Value: fmt.Sprint(o.Clamps), Want: "sets of clamps from 0 to 100, such as 1"}
		}
	}
	for _, f := range []struct{ typed, to *string }{{x.Title, &o.Title}, {x.Source, &o.Source}} {
		if f.typed != nil {
			*f.to = *f.typed
		}
	}
	for _, f := range []struct{ typed, to *bool }{{x.Noise, &o.Noise}, {x.Dust, &o.Dust}, {x.NoStop, &o.NoStop}, {x.Decide, &o.Decide}, {x.Repair, &o.Repair}, {x.Wet, &o.Wet}, {x.Plan, &o.PlanNeed}, {x.Hardware, &o.Hardware}, {x.Machine, &o.Machine}, {x.Daylight, &o.Daylight}, {x.Cold, &o.Cold}} {
		if f.typed != nil {
			*f.to = *f.typed
		}
	}
	if x.Per != nil {
		u, ok := jobs.PerNamed(*x.Per)
		if !ok {
			return o, &jobs.FieldError{Field: "per", Value: *x.Per, Want: "a unit that a run grows with, such as holes"}
		}
		o.Per = u.Name
	}
	var err error
	if o, err = x.applyGraph(o); err != nil {
		return o, err
	}
	if x.Drills != nil {
		switch v := *x.Drills; v {
		case jobs.DrillsPosts, jobs.DrillsHidden:
			o.Drills = v
		case "-", "":
			o.Drills = ""
		default:
			return o, &jobs.FieldError{Field: "drills", Value: v, Want: "posts, hidden or -, such as posts"}
		}
	}
	if x.Labour != nil {
		o.Labour = nil
		if v := *x.Labour; v != "-" {
			a, err := money.Parse(v)
			if err != nil || a.Sign() < 0 {
				return o, &jobs.FieldError{Field: "labour", Value: v, Want: "an amount an hour such as 36.00"}
			}
			o.Labour = &a
		}
	}
	for _, r := range x.Recipe {
		if o.Recipe, err = jobs.ChangeRecipe(o.Recipe, r); err != nil {
			return o, err
		}
	}
	for _, a := range x.Alias {
		if gone, ok := strings.CutPrefix(a, "-"); ok {
			o.Aliases = slices.DeleteFunc(slices.Clone(o.Aliases), func(w string) bool { return w == gone })
			continue
		}
		if err := jobs.ValidName("alias", a); err != nil {
			return o, err
		}
		if !slices.Contains(o.Aliases, a) {
			o.Aliases = append(slices.Clone(o.Aliases), a)
		}
	}
	return o, nil
}

// renameOperation gives an operation another name from now on. Its old record
// stays, so that entries and closed necks read as they were written. The steps of
// open necks and the routes take the new name.
func (b *Book) renameOperation(o jobs.Operation, to string) (jobs.Operation, error) {
	if err := jobs.ValidName("operation", to); err != nil {
		return o, err
	}
	if to == o.Name {
		return o, nil
	}
	if _, taken := b.Operations[to]; taken {
		return o, jobs.Refuse("taken", fmt.Sprintf("there is an operation %q, or was", to), "operation list")
	}
	old, name := o, o.Name
	at := b.Now
	old.Became, old.Renamed, old.Aliases = to, &at, nil
	o.Name, o.Was = to, append([]string{name}, o.Was...)
	if !slices.Contains(o.Aliases, name) {
		o.Aliases = append(slices.Clone(o.Aliases), name)
	}
	if err := store.Put(b.Tx, store.Operations, old); err != nil {
		return o, err
	}
	routes, err := store.All(b.Tx, store.Routes)
	if err != nil {
		return o, err
	}
	for _, r := range routes {
		for i := range r.Steps {
			if r.Steps[i].Operation == name {
				r.Steps[i].Operation = to
			}
		}
		if err := store.Put(b.Tx, store.Routes, r); err != nil {
			return o, err
		}
	}
	return o, b.renameSteps(name, to)
}

// renameSteps gives the steps of open necks the new name of their operation.
func (b *Book) renameSteps(name, to string) error {
	necks, err := store.All(b.Tx, store.Necks)
	if err != nil {
		return err
	}
	for _, n := range necks {
		if n.IsClosed() || !slices.ContainsFunc(n.Steps, func(s jobs.Step) bool { return s.Operation == name }) {
			continue
		}
		n.Steps = slices.Clone(n.Steps)
		for i, s := range n.Steps {
			if s.Operation == name {
				n.Steps[i].Operation = to
			}
		}
		if err := store.Put(b.Tx, store.Necks, n); err != nil {
			return err
		}
	}
	return nil
}
