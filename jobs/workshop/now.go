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
	Bit        string      `json:"bit,omitempty"`
}

// CureNow is a cure that is not over.
type CureNow struct {
	Neck      string    `json:"neck"`
	Name      string    `json:"name"`
	Operation string    `json:"operation"`
	Until     time.Time `json:"until"`
	FreeAt    time.Time `json:"clamps_free_at"`
	Today     bool      `json:"today"` // ends before the evening does
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
			if v.State == jobs.Curing && v.ReadyAt != nil {
				res.Cures = append(res.Cures, CureNow{Neck: n.Code, Name: n.Name(), Operation: v.Operation, Until: b.Wall(*v.ReadyAt), FreeAt: b.Wall(*v.FreeAt), Today: b.Shop.Evening(*v.ReadyAt) == b.Tonight()})
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
	row := b.Row(e)
	return &RunningNow{Entry: e.ID, Operation: e.Operation, Necks: row.Necks, From: row.From, ElapsedMin: row.ElapsedMin, LikelyMin: jobs.Round2(est.LikelyMin), SafeMin: jobs.Round2(est.SafeMin),
		Away: row.Away, Planned: jobs.UnitText(q, b.Operations[e.Operation]), Bit: e.Bit}, nil
}
