package workshop

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"bookmatch/costing/money"
	"bookmatch/costing/quote"
	"bookmatch/jobs"

	"github.com/shopspring/decimal"
)

// QuoteWishes are what a quote can be asked for. A nil field and an empty list
// leave the quote as it is.
type QuoteWishes struct {
	Customer   *string            `json:"customer,omitempty" flag:"for" arg:"NAME" help:"the customer"`
	Title      *string            `json:"title,omitempty" flag:"title" arg:"TEXT" help:"what it is, in the customer's words"`
	Route      string             `json:"route,omitempty" flag:"route" arg:"NAME" help:"the route; headstock if not given"`
	Quantity   map[string]float64 `json:"quantity,omitempty" flag:"quantity" arg:"WHAT=N" help:"quantity for one neck, such as inlay=14"`
	Layout     string             `json:"layout,omitempty" flag:"layout" arg:"NECK|FILE" help:"take the holes from a neck's plan or a layout spec"`
	LayoutSpec *SpecAsk           `json:"layout_spec,omitempty"`
	Difficulty map[string]float64 `json:"difficulty,omitempty" flag:"difficulty" arg:"OPERATION=F" help:"factor on one step, such as inlay-rout=1.3"`
	Necks      *int               `json:"necks,omitempty" flag:"necks" arg:"N" help:"how many identical necks"`
	Batch      *bool              `json:"batch,omitempty" flag:"batch" help:"they are made together: setups are shared"`
	Wood       string             `json:"wood,omitempty" flag:"wood" arg:"WOOD" help:"wood of the neck"`
	Veneer     string             `json:"veneer,omitempty" flag:"veneer" arg:"WOOD" help:"wood of the face, if another"`
	Parts      []jobs.QuotePart   `json:"parts,omitempty" flag:"part" arg:"NAME=PRICE" help:"a part to buy for one neck, NAME=PRICE"`
	Material   []jobs.QuotePart   `json:"material,omitempty" flag:"material" arg:"NAME=PRICE" help:"wood to buy that cannot go back, NAME=PRICE"`
	PartsBy    *jobs.Arrival      `json:"parts_by,omitempty" flag:"parts-by" arg:"DATE" help:"when the parts come: DATE, or likely..safe"`

	Margin   *decimal.Decimal `json:"margin_percent,omitempty" flag:"margin" arg:"PERCENT" help:"profit in percent of the price"`
	Markup   *decimal.Decimal `json:"markup_percent,omitempty" flag:"markup" arg:"PERCENT" help:"profit in percent of the cost, not of the price"`
	RoundTo  *money.Amount    `json:"round_to,omitempty" flag:"round-to" arg:"AMOUNT" help:"round the net price to a multiple of AMOUNT"`
	Handling *decimal.Decimal `json:"handling_percent,omitempty" flag:"handling" arg:"PERCENT" help:"percent on the parts that you buy"`
	Unlogged string           `json:"unlogged,omitempty" flag:"unlogged" arg:"WHERE" help:"where unlogged time is charged: hours or overhead" of:"hours overhead"`

	Deposit    *decimal.Decimal `json:"deposit_percent,omitempty" flag:"deposit" arg:"PERCENT" help:"percent of the price; 30, and never below the minimum"`
	Stages     []jobs.StageAsk  `json:"stages,omitempty" flag:"stage" arg:"WHEN=PERCENT" help:"payment at a point of the work, WHEN=PERCENT"`
	ValidDays  *int             `json:"valid_days,omitempty" flag:"valid-days" arg:"DAYS" help:"how many DAYS it is valid; 30 if not given"`
	Due        *jobs.Day        `json:"due,omitempty" read:"coming" flag:"due" arg:"DATE" help:"DATE the customer wants it by"`
	DepositOn  *jobs.Day        `json:"deposit_on,omitempty" read:"coming" flag:"deposit-on" arg:"DATE" help:"DATE the deposit is expected"`
	Spec       []string         `json:"spec,omitempty" flag:"spec" arg:"TEXT" help:"a line of the description"`
	Exclusions []string         `json:"exclusions,omitempty" flag:"exclude" arg:"TEXT" help:"what is not included"`
	Words      []string         `json:"words,omitempty" flag:"word" arg:"KEY=TEXT" help:"a text: delivery, changes, wood, papers, warranty"`
	Note       *string          `json:"note,omitempty" flag:"note" arg:"TEXT" help:"a remark for yourself"`
	Seed       *uint64          `json:"seed,omitempty" flag:"seed" arg:"N" help:"seed of the simulation; 1 if not given"`
	Draws      *int             `json:"draws,omitempty" flag:"draws" arg:"N" help:"draws of the simulation; 1000 if not given"`
}

// wishes changes what was asked for and leaves the rest.
func (b *Book) wishes(w QuoteWishes, q *jobs.Quote, a *jobs.QuoteAsk) error {
	for _, f := range []struct {
		from *string
		to   *string
	}{{w.Customer, &q.Customer}, {w.Title, &q.Title}, {w.Note, &a.Note}} {
		if f.from != nil {
			*f.to = strings.TrimSpace(*f.from)
		}
	}
	if w.Route != "" {
		route, err := b.FindRoute(w.Route)
		if err != nil {
			return err
		}
		a.Route = route.Name
	}
	for _, f := range []struct {
		from string
		to   *string
	}{{w.Wood, &a.Wood}, {w.Veneer, &a.Veneer}} {
		if f.from == "" {
			continue
		}
		wood, err := b.FindWood(f.from)
		if err != nil {
			return err
		}
		*f.to = wood.Name
	}
	for _, step := range []func(QuoteWishes, *jobs.QuoteAsk) error{b.wishQuantities, b.wishParts, b.wishPrice, b.wishTerms} {
		if err := step(w, a); err != nil {
			return err
		}
	}
	return nil
}

func (b *Book) wishQuantities(w QuoteWishes, a *jobs.QuoteAsk) error {
	a.Quantities = maps.Clone(a.Quantities)
	if a.Quantities == nil {
		a.Quantities = map[string]float64{}
	}
	if w.Layout != "" {
		p, err := b.holesOf(w)
		if err != nil {
			return err
		}
		maps.Copy(a.Quantities, jobs.PlanQuantities(p))
		a.Layout, a.HoleMM, a.HoleDiaMM = p.Code, 0, 0
		if len(p.Holes) > 0 {
			a.HoleMM, a.HoleDiaMM = p.Holes[0].DepthMM, p.Holes[0].DiameterMM
		}
	}
	quantities, err := jobs.KnownQuantities(w.Quantity)
	if err != nil {
		return err
	}
	maps.Copy(a.Quantities, quantities)
	if len(w.Difficulty) > 0 {
		a.Difficulty = map[string]float64{}
	}
	for _, name := range jobs.SortedKeys(w.Difficulty) {
		if _, known := b.Operations[name]; !known {
			return &jobs.NotFoundError{Noun: "operation", Value: name, Near: jobs.Nearest(name, jobs.SortedKeys(b.Operations))}
		}
		if f := w.Difficulty[name]; f < 0.2 || f > 10 {
			return &jobs.FieldError{Field: "difficulty", Value: name + "=" + jobs.NumberText(f), Want: "a factor from 0.2 to 10, such as " + name + "=1.3"}
		}
		a.Difficulty[name] = w.Difficulty[name]
	}
	if w.Necks != nil {
		if *w.Necks < 1 || *w.Necks > 50 {
			return &jobs.FieldError{Field: "necks", Value: fmt.Sprint(*w.Necks), Want: "a number from 1 to 50, such as 2"}
		}
		a.Necks = *w.Necks
	}
	if w.Batch != nil {
		a.Batch = *w.Batch
	}
	return nil
}

func (b *Book) wishParts(w QuoteWishes, a *jobs.QuoteAsk) error {
	for _, f := range []struct {
		given []jobs.QuotePart
		wood  bool
	}{{w.Parts, false}, {w.Material, true}} {
		if len(f.given) == 0 {
			continue
		}
		a.Parts = slices.DeleteFunc(slices.Clone(a.Parts), func(p jobs.QuotePart) bool { return p.Wood == f.wood })
		for _, p := range f.given {
			a.Parts = append(a.Parts, jobs.QuotePart{Name: p.Name, Price: p.Price, Wood: f.wood})
		}
	}
	if by := w.PartsBy; by != nil {
		if by.Safe < by.Likely {
			return &jobs.FieldError{Field: "parts-by", Value: string(by.Likely) + ".." + string(by.Safe), Want: "the likely date before the safe one, such as " + string(by.Safe) + ".." + string(by.Likely)}
		}
		arrival := *by
		a.Arrival = &arrival
	}
	return nil
}

func (b *Book) wishPrice(w QuoteWishes, a *jobs.QuoteAsk) error {
	if w.Margin != nil && w.Markup != nil {
		return &jobs.Refusal{Code: "usage", Class: jobs.Invalid, Why: "give --margin or --markup, not both: 25 % margin is 33.3 % markup", Type: []string{"quote draft Q1 --margin 25"}}
	}
	for _, f := range []struct {
		name  string
		given *decimal.Decimal
		to    *decimal.Decimal
		high  int64
	}{{"margin", w.Margin, &a.Margin, 99}, {"markup", w.Markup, &a.Margin, 1000}, {"handling", w.Handling, &a.HandlingPct, 100}, {"deposit", w.Deposit, &a.DepositPct, 100}} {
		if f.given == nil {
			continue
		}
		if f.given.IsNegative() || f.given.GreaterThan(decimal.NewFromInt(f.high)) {
			return &jobs.FieldError{Field: f.name, Value: f.given.String(), Want: fmt.Sprintf("a percentage from 0 to %d, such as 25", f.high)}
		}
		*f.to = *f.given
	}
	if w.Margin != nil || w.Markup != nil {
		a.Markup = w.Markup != nil
	}
	if w.RoundTo != nil {
		if w.RoundTo.Sign() < 0 {
			return &jobs.FieldError{Field: "round-to", Value: w.RoundTo.String(), Want: "an amount of zero or more, such as 10"}
		}
		a.RoundTo = *w.RoundTo
	}
	switch w.Unlogged {
	case "":
	case "hours", "overhead":
		a.UnloggedInOverhead = w.Unlogged == "overhead"
	default:
		return &jobs.FieldError{Field: "unlogged", Value: w.Unlogged, Want: "hours or overhead, such as hours"}
	}
	return nil
}

func (b *Book) wishTerms(w QuoteWishes, a *jobs.QuoteAsk) error {
	if w.Due != nil {
		a.Due = *w.Due
	}
	if w.DepositOn != nil {
		a.DepositOn = *w.DepositOn
	}
	if w.ValidDays != nil {
		if *w.ValidDays < 1 || *w.ValidDays > 3650 {
			return &jobs.FieldError{Field: "valid-days", Value: fmt.Sprint(*w.ValidDays), Want: "days from 1 to 3650, such as 30"}
		}
		a.ValidDays = *w.ValidDays
	}
	if w.Stages != nil {
		a.Stages = w.Stages
	}
	if w.Spec != nil {
		a.Spec = w.Spec
	}
	if w.Exclusions != nil {
		a.Exclusions = w.Exclusions
	}
	a.Wording = maps.Clone(a.Wording)
	for _, word := range w.Words {
		key, text, ok := strings.Cut(word, "=")
		if !ok || !slices.Contains(quote.WordingKeys(), key) {
			return &jobs.FieldError{Field: "word", Value: word, Want: "KEY=TEXT with a key of " + strings.Join(quote.WordingKeys(), ", ")}
		}
		if a.Wording == nil {
			a.Wording = map[string]string{}
		}
		a.Wording[key] = strings.TrimSpace(text)
	}
	if w.Seed != nil {
		a.Seed = *w.Seed
	}
	if w.Draws != nil {
		if *w.Draws < 200 || *w.Draws > 20000 {
			return &jobs.FieldError{Field: "draws", Value: fmt.Sprint(*w.Draws), Want: "a number from 200 to 20000, such as 1000"}
		}
		a.Draws = *w.Draws
	}
	return nil
}
