package workshop

import (
	"time"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// recentDays is how far back entry list goes when no range is asked for: four
// weeks, so that a long log stays quick to list.
const recentDays = 28

// EntryListAsk asks for entries of the log.
type EntryListAsk struct {
	Asked
	Evening   jobs.Day `json:"evening,omitempty" flag:"evening" arg:"DATE" help:"only the evening of DATE"`
	Neck      string   `json:"neck,omitempty" flag:"neck" arg:"NECK" help:"only one NECK, all its evenings"`
	Operation string   `json:"operation,omitempty" flag:"operation" arg:"OPERATION" help:"only one OPERATION"`
	From      jobs.Day `json:"from,omitempty" flag:"from" arg:"DATE" help:"evenings from DATE on"`
	To        jobs.Day `json:"to,omitempty" flag:"to" arg:"DATE" help:"evenings up to DATE"`
	All       bool     `json:"all,omitempty" flag:"all" help:"the whole log, not only the last 4 weeks"`
	Assumed   bool     `json:"assumed,omitempty" flag:"assumed" help:"only entries whose end was assumed"`
	History   bool     `json:"history,omitempty" flag:"history" help:"also older versions, and entries that were removed"`
}

// EntryListResult is a part of the log in order of time.
type EntryListResult struct {
	Meta
	Entries  []EntryRow `json:"entries"`
	TotalMin float64    `json:"total_min"`
	// From and To are the evenings asked for, empty where the range is open.
	From jobs.Day `json:"from,omitempty"`
	To   jobs.Day `json:"to,omitempty"`
	// Recent says that only the last four weeks are listed, as no range was asked.
	Recent bool `json:"recent,omitempty"`
	// Neck is the neck asked for, NeckMin its own part of the entries.
	Neck    string   `json:"neck,omitempty"`
	NeckMin *float64 `json:"neck_min,omitempty"`
	// Dropped are entries that were removed, with --history.
	Dropped []EntryRow `json:"dropped,omitempty"`
}

// EntryList lists the log.
var EntryList = Define("entry list", "", Long, (*Book).entryList)

func (b *Book) entryList(ask *EntryListAsk, res *EntryListResult) error {
	f, err := b.entryFilter(ask, res)
	if err != nil {
		return err
	}
	es, err := b.FindEntries(store.EntryFilter{Neck: f.Neck, Operation: f.Operation, From: f.From, To: f.To}, b.Shop)
	if err != nil {
		return err
	}
	res.Entries = []EntryRow{}
	var whole, own time.Duration
	for _, e := range b.Settled(es) {
		if f.Assumed && !e.Assumed {
			continue
		}
		res.Entries = append(res.Entries, b.Row(e))
		whole += e.Elapsed(b.Now)
		if i := e.ShareOf(f.Neck); i >= 0 {
			own += e.ShareOut(b.Now)[i]
		}
	}
	res.TotalMin = jobs.Round2(whole.Minutes())
	if f.Neck != "" {
		min := jobs.Round2(own.Minutes())
		res.Neck, res.NeckMin = b.NameOf(f.Neck), &min
	}
	if ask.History {
		return b.entryHistory(res, f)
	}
	return nil
}

// entryFilter reads what is asked for. Without a neck and a range it takes the
// last four weeks up to the newest evening of the log.
func (b *Book) entryFilter(ask *EntryListAsk, res *EntryListResult) (store.EntryFilter, error) {
	f := store.EntryFilter{From: ask.From, To: ask.To, Assumed: ask.Assumed}
	if ask.Evening != "" {
		f.From, f.To = ask.Evening, ask.Evening
	}
	if f.From != "" && f.To != "" && f.To < f.From {
		return f, &jobs.FieldError{Field: "to", Value: string(f.To), Want: "a date on or after " + string(f.From) + ", such as " + string(f.From)}
	}
	if ask.Neck != "" {
		n, err := b.FindNeck(ask.Neck)
		if err != nil {
			return f, err
		}
		f.Neck = n.Code
	}
	f.Operation = ask.Operation
	if _, ok := b.Operations[f.Operation]; !ok && f.Operation != "" { // the exact name also finds what was renamed
		o, err := jobs.FindOperation(f.Operation, b.Operations, nil)
		if err != nil {
			return f, err
		}
		f.Operation = o.Name
	}
	if !ask.All && f.Neck == "" && f.From == "" {
		last := f.To
		if last == "" {
			day, err := b.lastEvening()
			if err != nil {
				return f, err
			}
			last = day
		}
		f.From, res.Recent = last.Add(1-recentDays), true
	}
	res.From, res.To = f.From, f.To
	return f, nil
}

// lastEvening is the newest evening with work, tonight when nothing is logged.
func (b *Book) lastEvening() (jobs.Day, error) {
	last, err := b.LatestEntries(1)
	if err != nil || len(last) == 0 {
		return b.Tonight(), err
	}
	return min(b.Shop.Evening(last[0].From), b.Tonight()), nil
}
