package main

import (
	"fmt"
	"slices"
	"strings"

	"bookmatch/costing/money"
	"bookmatch/jobs"
	"bookmatch/jobs/store"

	"github.com/urfave/cli/v2"
)

// operationFlags are the fields of an operation that can be told.
func operationFlags() []cli.Flag {
	var units []string
	for _, d := range jobs.PerUnits {
		units = append(units, d.Name)
	}
	flags := []cli.Flag{
		&cli.StringFlag{Name: "title", Usage: "what it is"},
		&cli.StringFlag{Name: "setup", Usage: "`MINUTES` once a sitting"},
		&cli.StringFlag{Name: "run", Usage: "`MINUTES` per unit"},
		&cli.StringFlag{Name: "per", Usage: "what the run grows with: " + strings.Join(units, ", ")},
		&cli.StringFlag{Name: "cure", Usage: "`MINUTES` before the next step"},
		&cli.StringFlag{Name: "unclamp", Usage: "`MINUTES` until clamps come off"},
		&cli.StringFlag{Name: "clamps", Usage: "sets of clamps it holds"},
		&cli.StringFlag{Name: "rework-chance", Usage: "chance of doing it again, 0 to 1"},
		&cli.StringFlag{Name: "scrap-chance", Usage: "chance that it ends the neck, 0 to 1"},
		&cli.StringFlag{Name: "labour", Usage: "own rate per hour; - for the shop's"},
		&cli.StringFlag{Name: "drills", Usage: "posts (rims that show), hidden, or - for none"},
		&cli.StringSliceFlag{Name: "recipe", Usage: "`SUPPLY=PER+WASTE` such as glue=0.02+2 (per unit + once a mix), SUPPLY=- to take out, repeatable"},
		&cli.StringSliceFlag{Name: "alias", Usage: "another word for it, repeatable; -WORD as --alias=-sand takes one away"},
		&cli.StringFlag{Name: "caution", Usage: "shown once an evening"},
		&cli.StringFlag{Name: "source", Usage: "where the standard comes from"},
	}
	for _, f := range operationMarks {
		flags = append(flags, &cli.BoolFlag{Name: f.flag, Usage: f.help})
	}
	return flags
}

// operationMarks are the yes-or-no properties of an operation; --noise=false takes one
// away.
var operationMarks = []struct {
	flag, help string
	of         func(*jobs.Operation) *bool
}{
	{"noise", "stops at the curfew", func(k *jobs.Operation) *bool { return &k.Noise }},
	{"dusty", "never before an open film", func(k *jobs.Operation) *bool { return &k.Dust }},
	{"no-stop", "cannot stop midway", func(k *jobs.Operation) *bool { return &k.NoStop }},
	{"decide", "thinking, may be done off the bench", func(k *jobs.Operation) *bool { return &k.Decide }},
	{"wet", "leaves an open film that dust would spoil", func(k *jobs.Operation) *bool { return &k.Wet }},
	{"plan", "works from the layout plan", func(k *jobs.Operation) *bool { return &k.PlanNeed }},
	{"hardware", "needs the bought-in parts", func(k *jobs.Operation) *bool { return &k.Hardware }},
}

// operationWords names the properties of an operation.
func operationWords(k jobs.Operation) []string {
	out := []string{}
	for _, f := range operationMarks {
		if *f.of(&k) {
			out = append(out, f.flag)
		}
	}
	if k.Drills != "" {
		out = append(out, "drills "+k.Drills)
	}
	return out
}

// change applies the flags that were given to an operation.
func changeOperation(c *cli.Context, k *jobs.Operation) error {
	for _, f := range []struct {
		flag string
		to   *float64
		high float64
		own  bool
	}{
		{"setup", &k.SetupMin, 100000, true}, {"run", &k.RunMin, 100000, true}, {"cure", &k.CureMin, 100000, false}, {"unclamp", &k.UnclampMin, 100000, false},
		{"rework-chance", &k.ReworkChance, 0.999, false}, {"scrap-chance", &k.ScrapChance, 0.999, false},
	} {
		if !c.IsSet(f.flag) {
			continue
		}
		v, err := jobs.ParseNumber(f.flag, c.String(f.flag), 0, f.high)
		if err != nil {
			return err
		}
		*f.to = v
		if f.own {
			k.Own, k.Source = true, ""
		}
	}
	if c.IsSet("clamps") {
		v, err := jobs.ParseNumber("clamps", c.String("clamps"), 0, 100)
		if err != nil {
			return err
		}
		k.Clamps = int(v)
	}
	for flag, to := range map[string]*string{"title": &k.Title, "caution": &k.Caution, "source": &k.Source} {
		if c.IsSet(flag) {
			*to = c.String(flag)
		}
	}
	if c.IsSet("per") {
		d, ok := jobs.PerNamed(c.String("per"))
		if !ok {
			return &jobs.FieldError{Field: "per", Value: c.String("per"), Want: "a unit from operation add --help"}
		}
		k.Per = d.Name
	}
	if c.IsSet("drills") {
		switch v := c.String("drills"); v {
		case "posts", "hidden":
			k.Drills = v
		case "-", "":
			k.Drills = ""
		default:
			return &jobs.FieldError{Field: "drills", Value: v, Want: "posts, hidden or -"}
		}
	}
	if c.IsSet("labour") {
		k.Labour = nil
		if v := c.String("labour"); v != "-" {
			a, err := money.Parse(v)
			if err != nil || a.Sign() < 0 {
				return &jobs.FieldError{Field: "labour", Value: v, Want: "an amount per hour such as 36.00"}
			}
			k.Labour = &a
		}
	}
	for _, f := range operationMarks {
		if c.IsSet(f.flag) {
			*f.of(k) = c.Bool(f.flag)
		}
	}
	for _, r := range c.StringSlice("recipe") {
		if err := changeRecipe(k, r); err != nil {
			return err
		}
	}
	for _, a := range c.StringSlice("alias") {
		if gone, ok := strings.CutPrefix(a, "-"); ok {
			k.Aliases = slices.DeleteFunc(slices.Clone(k.Aliases), func(x string) bool { return x == gone })
			continue
		}
		if err := jobs.ValidName("alias", a); err != nil {
			return err
		}
		if !slices.Contains(k.Aliases, a) {
			k.Aliases = append(slices.Clone(k.Aliases), a)
		}
	}
	return nil
}

// changeRecipe reads "glue=0.02+2" and "glue=-".
func changeRecipe(k *jobs.Operation, s string) error {
	name, amount, ok := strings.Cut(s, "=")
	name = strings.TrimSpace(name)
	rest := slices.DeleteFunc(slices.Clone(k.Recipe), func(l jobs.RecipeLine) bool { return l.Supply == name })
	if ok && strings.TrimSpace(amount) == "-" {
		if len(rest) == len(k.Recipe) {
			return &jobs.NotFoundError{Noun: "recipe line", Value: name}
		}
		k.Recipe = rest
		return nil
	}
	per, waste, mixed := strings.Cut(amount, "+")
	line := jobs.RecipeLine{Supply: name}
	var err error
	if ok {
		line.PerUnit, err = money.ParseQty(strings.TrimSpace(per))
	}
	if err == nil && mixed {
		line.Waste, err = money.ParseQty(strings.TrimSpace(waste))
	}
	if !ok || err != nil {
		return &jobs.FieldError{Field: "recipe", Value: s, Want: "SUPPLY=PER or SUPPLY=PER+WASTE, such as glue=0.02+2"}
	}
	if err := line.Validate(); err != nil {
		return err
	}
	k.Recipe = append(rest, line)
	return nil
}

// freeWords refuses a name or alias that another operation answers to.
func freeWords(k jobs.Operation, operations map[string]jobs.Operation) error {
	for _, name := range jobs.SortedKeys(operations) {
		o := operations[name]
		if name == k.Name || o.Became == k.Name || o.Became != "" {
			continue
		}
		for _, w := range append([]string{k.Name}, k.Aliases...) {
			if w == name || slices.Contains(o.Aliases, w) || slices.Contains(o.Was, w) {
				return &jobs.ConflictError{What: fmt.Sprintf("%q already means operation %s", w, name), How: "choose another word"}
			}
		}
	}
	return nil
}

func (e *env) operationSet(c *cli.Context) error {
	w, err := typedWords(c, 1, 1)
	if err != nil {
		return err
	}
	return e.deskWord(c, func(b *desk) error {
		k, err := jobs.FindOperation(w[0], b.Operations, nil)
		if err != nil {
			return err
		}
		was := k
		if c.Bool("default") {
			s, ok := seedOperation(k)
			if !ok {
				return &jobs.ConflictError{What: fmt.Sprintf("operation %s is your own: it has no default", k.Name), How: "write one with --setup and --run"}
			}
			k.SetupMin, k.RunMin, k.Own, k.Source = s.SetupMin, s.RunMin, false, s.Source
		}
		if err := changeOperation(c, &k); err != nil {
			return err
		}
		switch {
		case c.Bool("from-here") && c.Bool("from-start"):
			return usagef("one of the two", "--from-here and --from-start contradict each other")
		case c.Bool("from-here"):
			at := b.Now
			k.From = &at
		case c.Bool("from-start"):
			k.From = nil
		}
		if err := k.Validate(); err != nil {
			return err
		}
		if err := freeWords(k, b.Operations); err != nil {
			return err
		}
		if to := c.String("rename"); to != "" {
			if k, err = b.renameOperation(k, to); err != nil {
				return err
			}
		}
		if err := store.Put(b.Tx, store.Operations, k); err != nil {
			return err
		}
		if !b.Changed() {
			return usagef("see bookmatch operation set --help", "nothing to change was named")
		}
		b.Data = k
		b.Say("%s: set-up %s, run %s min per %s (%s)", k.Name, jobs.NumberText(k.SetupMin), jobs.NumberText(k.RunMin), k.Unit(), whose(k))
		if k.Per != was.Per {
			b.Warn("the quantity was %s: samples so far were counted in that; add --from-here if they mislead", was.Per)
		}
		if c.Bool("from-here") {
			b.Say("samples count from now on; older ones stay visible in operation show --samples")
		}
		return nil
	})
}

func whose(k jobs.Operation) string {
	if k.Own {
		return "yours"
	}
	return "default"
}

// renameOperation gives an operation another name from now on. Its old record stays, so
// that entries and closed necks read as they were written; the steps of open
// necks and the routes take the new name.
func (b *desk) renameOperation(k jobs.Operation, to string) (jobs.Operation, error) {
	if err := jobs.ValidName("operation", to); err != nil {
		return k, err
	}
	if to == k.Name {
		return k, nil
	}
	if _, taken := b.Operations[to]; taken {
		return k, &jobs.ConflictError{What: fmt.Sprintf("there is an operation %q, or was", to), How: "choose another name"}
	}
	old, name := k, k.Name
	at := b.Now
	old.Became, old.Renamed, old.Aliases = to, &at, nil
	k.Name, k.Was = to, append([]string{name}, k.Was...)
	if !slices.Contains(k.Aliases, name) {
		k.Aliases = append(slices.Clone(k.Aliases), name)
	}
	if err := freeWords(k, map[string]jobs.Operation{}); err != nil {
		return k, err
	}
	if err := store.Put(b.Tx, store.Operations, old); err != nil {
		return k, err
	}
	routes, err := store.All(b.Tx, store.Routes)
	if err != nil {
		return k, err
	}
	for _, r := range routes {
		for i := range r.Steps {
			if r.Steps[i].Operation == name {
				r.Steps[i].Operation = to
			}
		}
		if err := store.Put(b.Tx, store.Routes, r); err != nil {
			return k, err
		}
	}
	necks, err := store.All(b.Tx, store.Necks)
	if err != nil {
		return k, err
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
			return k, err
		}
	}
	b.Say("%s is %s from now on; what is logged keeps its name and still counts", name, to)
	return k, nil
}

func (e *env) operationAdd(c *cli.Context) error {
	w, err := typedWords(c, 1, 1)
	if err != nil {
		return err
	}
	return e.deskWord(c, func(b *desk) error {
		if old, ok := b.Operations[w[0]]; ok {
			return &jobs.ConflictError{What: fmt.Sprintf("there is an operation %q: %s", w[0], old.Title), How: "change it with operation set"}
		}
		k := jobs.Operation{Per: "neck"}
		if like := c.String("like"); like != "" {
			if k, err = jobs.FindOperation(like, b.Operations, nil); err != nil {
				return err
			}
			k.Aliases, k.Was, k.From = nil, nil, nil
		}
		k.Name = w[0]
		if err := changeOperation(c, &k); err != nil {
			return err
		}
		if k.Title == "" {
			k.Title = strings.ReplaceAll(k.Name, "-", " ")
		}
		if err := k.Validate(); err != nil {
			return err
		}
		if err := freeWords(k, b.Operations); err != nil {
			return err
		}
		b.Data = k
		b.Say("operation %s: set-up %s, run %s min per %s (%s); put it on a route with route set, or on a neck with neck step NECK %s --add", k.Name, jobs.NumberText(k.SetupMin), jobs.NumberText(k.RunMin), k.Unit(), whose(k), k.Name)
		return store.Put(b.Tx, store.Operations, k)
	})
}
