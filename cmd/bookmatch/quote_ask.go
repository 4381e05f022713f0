package main

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"bookmatch/costing/quote"
	"bookmatch/costing/schedule"
	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
	"bookmatch/layout"

	"github.com/shopspring/decimal"
	"github.com/urfave/cli/v2"
)

func askFlags() []cli.Flag {
	text := func(name, usage string) cli.Flag { return &cli.StringFlag{Name: name, Usage: usage} }
	list := func(name, usage string) cli.Flag { return &cli.StringSliceFlag{Name: name, Usage: usage} }
	return []cli.Flag{
		text("for", "the customer"),
		text("title", "what it is, in the customer's words"),
		text("route", "the route it takes, headstock if not given"),
		list("quantity", "quantity for one neck, `WHAT=N` such as inlay=14, repeatable"),
		text("layout", "a `NECK` with a plan or a layout spec `FILE`: the holes come from it"),
		list("difficulty", "factor on a step, `OPERATION=F` such as inlay-rout=1.3, repeatable"),
		&cli.IntFlag{Name: "necks", Usage: "how many identical ones"},
		&cli.BoolFlag{Name: "batch", Usage: "they are made together: set-ups are shared"},
		text("wood", "wood of the neck"),
		text("veneer", "wood of the show face, if another"),
		list("part", "bought-in part for one neck, `NAME=PRICE`, repeatable"),
		list("material", "wood bought for it that cannot go back, `NAME=PRICE`, repeatable"),
		text("parts-by", "likely `DATE` of the parts, or DATE..DATE likely..safe"),
		text("margin", "profit in percent of the price"),
		text("markup", "profit in percent of the cost, instead of a margin"),
		text("round-to", "round the net price to a multiple of `AMOUNT`"),
		text("handling", "percent on bought-in parts"),
		text("deposit", "percent of the gross price; 30 if not given, and never less than its floor"),
		list("stage", "payment at a point of the work, `WHEN=PERCENT`, repeatable"),
		&cli.IntFlag{Name: "valid-days", Usage: "how long it stands; 30 if not given"},
		text("due", "`DATE` the customer wishes"),
		text("deposit-on", "`DATE` on which the deposit is expected"),
		text("unlogged", "where un-logged time goes: hours or overhead"),
		list("spec", "a line of the description, repeatable"),
		list("exclude", "what is not included, repeatable"),
		list("word", "a text of the customer's sheet, `KEY=TEXT`; keys "+strings.Join(quote.WordingKeys(), ", ")),
		text("guess", "your own `HOURS` before looking, kept for good"),
		text("note", "a remark that stays inside"),
		&cli.Uint64Flag{Name: "seed", Usage: "of the simulation; 1 if not given"},
		&cli.IntFlag{Name: "draws", Usage: "of the simulation; 20000 if not given"},
	}
}

// askFrom changes what the flags name and leaves the rest.
func askFrom(c *cli.Context, tx *workshop.Book, q *quote.Quote, a *quote.Ask, guess float64) error {
	if guess > 0 {
		if q.GuessHours > 0 && q.GuessHours != guess {
			return &jobs.ConflictError{What: fmt.Sprintf("the guess of %s h was made before looking and stays", jobs.NumberText(q.GuessHours)), How: "leave --guess away"}
		}
		q.GuessHours = guess
	}
	for flag, to := range map[string]*string{"for": &q.Customer, "title": &q.Title, "note": &a.Note} {
		if c.IsSet(flag) {
			*to = strings.TrimSpace(c.String(flag))
		}
	}
	if c.IsSet("route") {
		route, err := tx.FindRoute(c.String("route"))
		if err != nil {
			return err
		}
		a.Route = route.Name
	}
	for flag, to := range map[string]*string{"wood": &a.Wood, "veneer": &a.Veneer} {
		if c.IsSet(flag) {
			wood, err := tx.FindWood(c.String(flag))
			if err != nil {
				return err
			}
			*to = wood.Name
		}
	}
	for _, read := range []func(*cli.Context, *workshop.Book, *quote.Ask) error{askQuantities, askParts, askPrice, askTerms} {
		if err := read(c, tx, a); err != nil {
			return err
		}
	}
	return nil
}

func askQuantities(c *cli.Context, tx *workshop.Book, a *quote.Ask) error {
	if a.Quantities == nil {
		a.Quantities = map[string]float64{}
	}
	if word := c.String("layout"); word != "" {
		p, err := drillingOf(tx, word)
		if err != nil {
			return err
		}
		for k, v := range jobs.PlanQuantities(p) {
			a.Quantities[k] = v
		}
		a.Layout, a.HoleMM, a.HoleDiaMM = p.Code, 0, 0
		if len(p.Holes) > 0 {
			a.HoleMM, a.HoleDiaMM = p.Holes[0].DepthMM, p.Holes[0].DiameterMM
		}
	}
	quantities, err := jobs.ParseQuantities(c.StringSlice("quantity"))
	if err != nil {
		return err
	}
	for k, n := range quantities {
		a.Quantities[k] = n
	}
	if c.IsSet("difficulty") {
		a.Difficulty = map[string]float64{}
	}
	for _, word := range c.StringSlice("difficulty") {
		name, v, ok := strings.Cut(word, "=")
		if !ok {
			return &jobs.FieldError{Field: "difficulty", Value: word, Want: "OPERATION=FACTOR such as inlay-rout=1.3"}
		}
		operations, err := tx.OperationMap()
		if err != nil {
			return err
		}
		if _, known := operations[name]; !known {
			return &jobs.NotFoundError{Noun: "operation", Value: name, Near: jobs.Nearest(name, jobs.SortedKeys(operations))}
		}
		if a.Difficulty[name], err = jobs.ParseNumber("difficulty "+name, v, 0.2, 10); err != nil {
			return err
		}
	}
	if c.IsSet("necks") {
		if n := c.Int("necks"); n < 1 || n > 50 {
			return &jobs.FieldError{Field: "necks", Value: fmt.Sprint(n), Want: "a number from 1 to 50"}
		}
		a.Necks = c.Int("necks")
	}
	if c.IsSet("batch") {
		a.Batch = c.Bool("batch")
	}
	return nil
}

// drillingOf gives what is drilled by a neck's plan or by a layout spec, named
// after the plan's code or the file. A spec is placed by even pitch: the holes
// and their depths are the same in every mode.
func drillingOf(tx *workshop.Book, word string) (jobs.Plan, error) {
	if strings.HasSuffix(strings.ToLower(word), ".toml") {
		f, err := loadSpec(word)
		if err != nil {
			return jobs.Plan{}, err
		}
		spec, err := withPieces(tx, f.spec)
		if err != nil {
			return jobs.Plan{}, err
		}
		p, err := layout.Solve(spec, layout.EvenPitch)
		if err != nil {
			return jobs.Plan{}, specProblem(filepath.Base(word), err)
		}
		rec, err := planOf(f, spec, p)
		rec.Code = filepath.Base(word)
		return rec, err
	}
	n, err := tx.FindNeck(word)
	if err != nil {
		return jobs.Plan{}, err
	}
	plan, ok, err := tx.CurrentPlan(n.Code)
	if err == nil && !ok {
		err = &jobs.ConflictError{What: fmt.Sprintf("neck %s has no layout plan", n.Name()), How: "layout solve, or give --quantity holes=N"}
	}
	return plan, err
}

func askParts(c *cli.Context, _ *workshop.Book, a *quote.Ask) error {
	for _, f := range []struct {
		flag string
		wood bool
	}{{"part", false}, {"material", true}} {
		if !c.IsSet(f.flag) {
			continue
		}
		a.Parts = slices.DeleteFunc(slices.Clone(a.Parts), func(p quote.Part) bool { return p.Wood == f.wood })
		parts, err := parseParts(f.flag, c.StringSlice(f.flag), f.wood)
		if err != nil {
			return err
		}
		a.Parts = append(a.Parts, parts...)
	}
	if v := c.String("parts-by"); v != "" {
		likely, safe, both := strings.Cut(v, "..")
		arrival := schedule.Arrival{}
		var err error
		if arrival.Likely, err = jobs.ParseDay("parts-by", likely); err != nil {
			return err
		}
		arrival.Safe = arrival.Likely.Add(14)
		if both {
			if arrival.Safe, err = jobs.ParseDay("parts-by", safe); err != nil {
				return err
			}
		}
		if arrival.Safe < arrival.Likely {
			return &jobs.FieldError{Field: "parts-by", Value: v, Want: "the likely date before the safe one"}
		}
		a.Arrival = &arrival
	}
	return nil
}

func parseParts(flag string, words []string, wood bool) ([]quote.Part, error) {
	var out []quote.Part
	for _, word := range words {
		name, v, ok := strings.Cut(word, "=")
		name = strings.TrimSpace(name)
		if !ok || name == "" {
			return nil, &jobs.FieldError{Field: flag, Value: word, Want: "NAME=PRICE such as tuners=84.00"}
		}
		price, err := jobs.ParseAmount(flag+" "+name, v)
		if err != nil {
			return nil, err
		}
		out = append(out, quote.Part{Name: name, Price: price, Wood: wood})
	}
	return out, nil
}

func askPrice(c *cli.Context, _ *workshop.Book, a *quote.Ask) error {
	if c.IsSet("margin") && c.IsSet("markup") {
		return usagef("25 % margin is 33.3 % markup", "give --margin or --markup, not both")
	}
	for _, f := range []struct {
		flag string
		to   *decimal.Decimal
		low  float64
		high float64
	}{{"margin", &a.Margin, 0, 99}, {"markup", &a.Margin, 0, 1000}, {"handling", &a.HandlingPct, 0, 100}, {"deposit", &a.DepositPct, 0, 100}} {
		if !c.IsSet(f.flag) {
			continue
		}
		pct, err := parsePercent(f.flag, c.String(f.flag), f.low, f.high)
		if err != nil {
			return err
		}
		*f.to = pct
		if f.flag == "margin" || f.flag == "markup" {
			a.Markup = f.flag == "markup"
		}
	}
	if c.IsSet("round-to") {
		step, err := jobs.ParseAmount("round-to", c.String("round-to"))
		if err != nil {
			return err
		}
		a.RoundTo = step
	}
	switch v := c.String("unlogged"); v {
	case "":
	case "hours", "overhead":
		a.UnloggedInOverhead = v == "overhead"
	default:
		return &jobs.FieldError{Field: "unlogged", Value: v, Want: "hours (it multiplies them) or overhead (its rate carries it)"}
	}
	return nil
}

// parsePercent reads an exact percentage, with or without its sign.
func parsePercent(field, v string, low, high float64) (decimal.Decimal, error) {
	text := strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(v), "%"))
	if _, err := jobs.ParseNumber(field, text, low, high); err != nil {
		return decimal.Zero, err
	}
	return decimal.NewFromString(strings.Replace(text, ",", ".", 1))
}

func askTerms(c *cli.Context, _ *workshop.Book, a *quote.Ask) error {
	if err := dayFlag(c, "due", &a.Due); err != nil {
		return err
	}
	if err := dayFlag(c, "deposit-on", &a.DepositOn); err != nil {
		return err
	}
	if c.IsSet("valid-days") {
		if n := c.Int("valid-days"); n < 1 || n > 3650 {
			return &jobs.FieldError{Field: "valid-days", Value: fmt.Sprint(n), Want: "days from 1 to 3650"}
		}
		a.ValidDays = c.Int("valid-days")
	}
	if c.IsSet("stage") {
		a.Stages = nil
		for _, word := range c.StringSlice("stage") {
			when, v, ok := strings.Cut(word, "=")
			if !ok || strings.TrimSpace(when) == "" {
				return &jobs.FieldError{Field: "stage", Value: word, Want: `WHEN=PERCENT such as "neck drilled=30"`}
			}
			pct, err := parsePercent("stage "+when, v, 0, 100)
			if err != nil {
				return err
			}
			a.Stages = append(a.Stages, quote.StageAsk{When: strings.TrimSpace(when), Percent: pct})
		}
	}
	for flag, to := range map[string]*[]string{"spec": &a.Spec, "exclude": &a.Exclusions} {
		if c.IsSet(flag) {
			*to = c.StringSlice(flag)
		}
	}
	for _, word := range c.StringSlice("word") {
		key, text, ok := strings.Cut(word, "=")
		if !ok || !slices.Contains(quote.WordingKeys(), key) {
			return &jobs.FieldError{Field: "word", Value: word, Want: "KEY=TEXT with a key of " + strings.Join(quote.WordingKeys(), ", ")}
		}
		if a.Wording == nil {
			a.Wording = map[string]string{}
		}
		a.Wording[key] = strings.TrimSpace(text)
	}
	if c.IsSet("seed") {
		a.Seed = c.Uint64("seed")
	}
	if c.IsSet("draws") {
		if n := c.Int("draws"); n < 200 || n > 1000000 {
			return &jobs.FieldError{Field: "draws", Value: fmt.Sprint(n), Want: "a number from 200 to 1000000"}
		}
		a.Draws = c.Int("draws")
	}
	return nil
}
