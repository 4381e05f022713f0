package workshop

import (
	"fmt"
	"slices"
	"time"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
	"bookmatch/layout"
)

// NeckCareAsk asks for what goes with a neck when it leaves the shop.
type NeckCareAsk struct {
	Asked
	Neck string `json:"neck" word:"NECK"`
}

// NeckCareResult is what a neck is made of and how it is looked after, as far as it is
// on record. It has no hours and no prices.
type NeckCareResult struct {
	Meta
	NeckHead
	Veneer   string       `json:"veneer,omitempty"`
	Finished *time.Time   `json:"finished,omitempty"`
	Letter   *Letter      `json:"letter"`
	Plan     *layout.Plan `json:"plan,omitempty"`
	Woods    []CareWood   `json:"woods"`
	Coats    int          `json:"coats"`
	Finishes []string     `json:"finishes,omitempty"` // what was used for them
	Parts    []string     `json:"parts,omitempty"`
	Dates    []CareDate   `json:"dates"`
	Repairs  []CareDate   `json:"repairs,omitempty"`
}

// CareWood is one wood of a neck. Papers is a document number, empty where none is on
// record; Listed says that trade in it is controlled.
type CareWood struct {
	Part      string `json:"part"`
	Wood      string `json:"wood"`
	Botanical string `json:"botanical,omitempty"`
	Papers    string `json:"papers,omitempty"`
	Piece     string `json:"piece,omitempty"`
	Received  string `json:"received,omitempty"`
	Listed    bool   `json:"listed,omitempty"`
}

// CareDate is a day on which something was done.
type CareDate struct {
	What string   `json:"what"`
	On   jobs.Day `json:"on"`
}

// NeckCare gathers what goes with a neck.
var NeckCare = Define("paper care", "", Reads, (*Book).neckCare)

func (b *Book) neckCare(ask *NeckCareAsk, res *NeckCareResult) error {
	n, err := b.FindNeck(ask.Neck)
	if err != nil {
		return err
	}
	res.NeckHead, res.Veneer = headOf(n), n.Veneer
	if n.Status == jobs.Finished && n.Closed != nil {
		at := b.Wall(*n.Closed)
		res.Finished = &at
	} else {
		b.Warn(jobs.Warning{Code: "open", Text: n.Name() + " is not finished: the paper says so.", Hint: "neck show " + n.Name()})
	}
	if res.Letter, err = b.letterTo(n.Customer); err != nil {
		return err
	}
	b.letterLacks(res.Letter, "", false)
	if len(res.Letter.Care) == 0 {
		b.Warn(jobs.Warning{Code: "left-out", Text: "No line on care on record: left out.", Hint: `shop set care-1 "..."`})
	}
	if rec, ok, err := b.CurrentPlan(n.Code); err != nil {
		return err
	} else if ok {
		p, err := SolvedOf(rec)
		if err != nil {
			return err
		}
		res.Plan = &p
	}
	for _, step := range []func(jobs.Neck, *NeckCareResult) error{b.careWoods, b.careSteps, b.careParts} {
		if err := step(n, res); err != nil {
			return err
		}
	}
	return nil
}

// careWoods lists the woods: those of the neck, and each piece that went into it.
func (b *Book) careWoods(n jobs.Neck, res *NeckCareResult) error {
	table, err := b.woodTable()
	if err != nil {
		return err
	}
	add := func(part, wood string) *CareWood {
		w, known := table[wood]
		if !known {
			w.Title = WoodWords(wood)
		}
		res.Woods = append(res.Woods, CareWood{Part: part, Wood: w.Title, Botanical: w.Botanical, Listed: w.TradeControl != ""})
		return &res.Woods[len(res.Woods)-1]
	}
	if n.Wood != "" {
		add("neck", n.Wood).Papers = n.Papers
	}
	veneered := false
	for p, err := range store.Each(b.Tx, store.Pieces) {
		if err != nil {
			return err
		}
		if p.Neck != n.Code {
			continue
		}
		x := add(string(p.Kind), p.Wood)
		x.Piece, x.Papers, x.Received = p.Code, p.Papers, string(jobs.DayOf(b.Wall(p.Received)))
		veneered = veneered || p.Wood == n.Veneer
	}
	if n.Veneer != "" && !veneered {
		add("face", n.Veneer)
	}
	return nil
}

// careSteps reads the days that matter and what the coats were made with.
func (b *Book) careSteps(n jobs.Neck, res *NeckCareResult) error {
	st, err := b.NeckState(n)
	if err != nil {
		return err
	}
	coats := map[int]bool{}
	last := map[string]jobs.Day{}
	for _, v := range st.Steps {
		k := b.Operations[v.Operation]
		if k.Per == "coats" {
			coats[v.No] = true
		}
		if v.DoneAt == nil {
			continue
		}
		on := b.Shop.Evening(*v.DoneAt)
		switch {
		case k.Per == "coats":
			res.Coats++
			last["last coat"] = max(last["last coat"], on)
		case k.Drills == jobs.DrillsPosts:
			last["drilled"] = max(last["drilled"], on)
		case gluesUp(k):
			last["glued up"] = max(last["glued up"], on)
		}
	}
	res.Dates = []CareDate{}
	for _, what := range []string{"glued up", "drilled", "last coat"} {
		if last[what] != "" {
			res.Dates = append(res.Dates, CareDate{what, last[what]})
		}
	}
	uses, err := store.By(b.Tx, store.Uses, store.UsesByNeck, n.Code)
	if err != nil {
		return err
	}
	for _, u := range uses {
		if !coats[u.Step] {
			continue
		}
		s, ok, err := store.Get(b.Tx, store.Supplies, u.Supply)
		if err != nil || !ok {
			return err
		}
		name := WoodWords(s.Name)
		if s.Title != "" {
			name = s.Title
		}
		if !slices.Contains(res.Finishes, name) {
			res.Finishes = append(res.Finishes, name)
		}
	}
	entries, err := b.NeckEntries(n.Code)
	for _, e := range b.Settled(entries) {
		if b.Operations[e.Operation].Repair {
			res.Repairs = append(res.Repairs, CareDate{fmt.Sprintf("repair: %s", e.Cause), b.Shop.Evening(e.From)})
		}
	}
	return err
}

// gluesUp says that an operation leaves glue to cure.
func gluesUp(k jobs.Operation) bool { return k.Graph().CuredH > 0 && k.Per != "coats" }

func (b *Book) careParts(n jobs.Neck, res *NeckCareResult) error {
	parts, err := store.By(b.Tx, store.Parts, store.PartsByNeck, n.Code)
	for _, p := range parts {
		if p.Returned == "" {
			res.Parts = append(res.Parts, p.Name)
		}
	}
	return err
}
