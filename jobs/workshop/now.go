package workshop

import (
	"slices"
	"time"

	"bookmatch/jobs"
)

// NowAsk asks what is going on.
type NowAsk struct{ Asked }

// NowResult is what runs, what cures, and what the necks need next.
type NowResult struct {
	Meta
	Running *RunningNow `json:"running"`
	Cures   []CureNow   `json:"cures"`
	Next    []NextStep  `json:"next"`
}

// RunningNow is the work on the clock.
type RunningNow struct {
	Entry      uint64      `json:"entry"`
	Operation  string      `json:"operation"`
	Necks      []EntryNeck `json:"necks"`
	From       time.Time   `json:"from"`
	ElapsedMin float64     `json:"elapsed_min"`
	LikelyMin  float64     `json:"likely_min"`
	SafeMin    float64     `json:"safe_min"`
	Away       *time.Time  `json:"away"`
	Planned    string      `json:"planned"`
	Count      float64     `json:"count"` // planned
	Unit       string      `json:"unit"`
	Bit        string      `json:"bit,omitempty"`
	// Drills says that rims are graded, Backed that a backing was fitted on every
	// neck of it, Setup that its setup goes on.
	Drills   bool     `json:"drills,omitempty"`
	Backed   bool     `json:"backed,omitempty"`
	Setup    bool     `json:"setup,omitempty"`
	Plans    []string `json:"plans,omitempty"`
	Cautions []string `json:"cautions"`
}

// CureNow is a cure that is not over.
type CureNow struct {
	Neck      string    `json:"neck"`
	Name      string    `json:"name"`
	Operation string    `json:"operation"`
	Since     time.Time `json:"since"`
	Until     time.Time `json:"until"`
	FreeAt    time.Time `json:"clamps_free_at"`
	Today     bool      `json:"today"` // ends before the evening does
	Own       bool      `json:"own"`   // its hours are the shop's, not the defaults of this program
	Factor    float64   `json:"cold_factor,omitempty"`
}

// Now answers what runs, what cures and what comes next.
var Now = Define("now", "", Reads, (*Book).nowVerb)

func (b *Book) nowVerb(_ *NowAsk, res *NowResult) error {
	res.Cures, res.Next = []CureNow{}, []NextStep{}
	on, running, err := b.RunningEntry()
	if err != nil {
		return err
	}
	if running {
		if res.Running, err = b.runningNow(on); err != nil {
			return err
		}
	}
	necks, err := b.NecksOf(jobs.Open)
	if err != nil {
		return err
	}
	for _, n := range necks {
		st, err := b.NeckState(n)
		if err != nil {
			return err
		}
		for _, v := range st.Steps {
			if b.Operations[jobs.PresentName(v.Operation, b.Operations)].Decide {
				continue // a delivery is no cure
			}
			if v.State == jobs.Curing && v.ReadyAt != nil && v.DoneAt != nil {
				c := CureNow{Neck: n.Code, Name: n.Name(), Operation: v.Operation, Since: b.Wall(*v.DoneAt), Until: b.Wall(*v.ReadyAt), FreeAt: b.Wall(*v.FreeAt), Today: b.Shop.Evening(*v.ReadyAt) == b.Tonight()}
				if c.Own = b.ownCure(v.Operation); v.Cold {
					c.Factor = b.Shop.ColdFactor
				}
				res.Cures = append(res.Cures, c)
			}
		}
		next := NextStep{Neck: n.Code, Name: n.Name()}
		if v, ok := st.Next(); ok {
			next.Operation = v.Operation
		}
		res.Next = append(res.Next, next)
	}
	slices.SortStableFunc(res.Cures, func(a, c CureNow) int { return a.Until.Compare(c.Until) })
	return nil
}

// ownCure says that the shop set the hours of a cure itself, by a label.
func (b *Book) ownCure(operation string) bool {
	for _, seed := range jobs.SeedOperations() {
		if seed.Name == operation {
			return seed.CureMin != b.Operations[operation].CureMin
		}
	}
	return true
}

// runningNow gives the entry that runs with the time it is likely to take.
func (b *Book) runningNow(e jobs.Entry) (*RunningNow, error) {
	states, err := b.ShareStates(e)
	if err != nil {
		return nil, err
	}
	q := PlannedOf(e, states)
	est, err := b.Est().Step(e.Operation, q)
	if err != nil {
		return nil, err
	}
	row, o := b.Row(e), b.Operations[e.Operation]
	r := &RunningNow{Entry: e.ID, Operation: e.Operation, Necks: row.Necks, From: row.From, ElapsedMin: row.ElapsedMin, LikelyMin: jobs.Round2(est.LikelyMin), SafeMin: jobs.Round2(est.SafeMin),
		Away: row.Away, Planned: jobs.UnitText(q, o), Count: q, Unit: o.Unit(), Bit: e.Bit, Drills: o.Drills != "", Backed: o.Drills != "", Setup: o.SetupMin > 0 && e.Go == nil, Cautions: withLabels(o.Graph().CautionTexts())}
	for _, st := range states {
		r.Backed = r.Backed && slices.ContainsFunc(st.Steps, func(v jobs.StepView) bool { return v.Operation == fitBacking && v.DoneAt != nil })
		if !o.PlanNeed && o.Drills == "" {
			continue
		}
		if p, ok, err := b.CurrentPlan(st.Neck.Code); err != nil {
			return nil, err
		} else if ok {
			r.Plans = append(r.Plans, p.Code)
		}
	}
	return r, nil
}

// fitBacking is the step after which a backing is tight.
const fitBacking = "fit-backing"
