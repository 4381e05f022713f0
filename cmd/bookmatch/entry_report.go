package main

import (
	"strings"
	"time"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
	"bookmatch/reports"
)

// history adds what became of each entry, and those that were dropped.
func (b *desk) history(res *entryList, f store.EntryFilter, names map[string]string) error {
	rows, shown := map[uint64]*entryRow{}, map[uint64]bool{}
	for i := range res.Entries {
		rows[res.Entries[i].ID], shown[res.Entries[i].ID] = &res.Entries[i], true
	}
	changes, err := b.EntryHistory(shown, func(x jobs.Entry) bool {
		day := b.Shop.Evening(x.From)
		return (f.Neck == "" || x.ShareOf(f.Neck) >= 0) && (f.Operation == "" || x.Operation == f.Operation) && (f.From == "" || day >= f.From) && (f.To == "" || day <= f.To)
	})
	if err != nil {
		return err
	}
	ids := make([]uint64, 0, len(changes))
	for id := range changes {
		ids = append(ids, id)
	}
	for _, id := range sortedIDs(ids) {
		var past []historyRow
		var last *jobs.Entry
		for _, ch := range changes[id] {
			past = append(past, historyRow{At: ch.At.In(b.Shop.Location()), Change: ch.Seq, Command: ch.Words, Why: ch.Why, What: changeWords(ch, b.Shop)})
			if ch.After == nil {
				last = ch.Before
			}
		}
		if r := rows[id]; r != nil {
			r.History = past
			continue
		}
		if end := changes[id][len(changes[id])-1]; end.After == nil && last != nil {
			r := b.row(*last, names)
			r.Dropped, r.History = true, past
			res.Dropped = append(res.Dropped, r)
		}
	}
	return nil
}

func changeWords(ch store.EntryChange, shop jobs.Shop) []string {
	switch {
	case ch.Before == nil && ch.Undone:
		return []string{"there again"}
	case ch.Before == nil:
		return []string{"logged"}
	case ch.After == nil && ch.Undone:
		return []string{"taken back"}
	case ch.After == nil:
		return []string{"dropped"}
	}
	return jobs.Difference(*ch.Before, *ch.After, shop)
}

func entryReport(res entryList, b *desk, neck string, own time.Duration) reports.Report {
	t := reports.Table{Name: "entries", Empty: "nothing is logged there", Columns: []reports.Column{
		{Key: "id", Header: "id", Kind: reports.KindCount}, {Key: "evening", Header: "evening", Kind: reports.KindDate}, {Key: "from", Header: "from", Kind: reports.KindClock}, {Key: "to", Header: "to", Kind: reports.KindClock},
		{Key: "operation", Header: "operation", Max: 16}, {Key: "necks", Header: "necks", Max: 12}, {Key: "count", Header: "count", Max: 10}, {Key: "elapsed_min", Header: "min", Kind: reports.KindMinutes, Sum: true}, {Key: "marks", Header: "marks", Max: 24},
	}}
	for _, r := range append(append([]entryRow{}, res.Entries...), res.Dropped...) {
		to := reports.Empty()
		if r.To != nil {
			to = reports.Clock(*r.To)
		}
		elapsed := reports.Minutes(r.elapsed)
		if r.Dropped {
			elapsed = reports.Empty()
		}
		t.Add(reports.Count(int(r.ID)), reports.Day(string(r.Evening)), reports.Clock(r.From), to, reports.Text(r.Operation), reports.Text(r.neckNames()), reports.Text(r.counts()), elapsed, reports.Text(r.marks()))
	}
	if neck != "" {
		t.Note("%s of it on %s", jobs.MinutesText(own), neck)
	}
	if res.AsOf != "" {
		t.Note("as the file knew it at %s", res.AsOf)
	}
	for _, r := range res.Entries {
		if r.Assumed {
			t.Note(`assumed ends are costed and never teach a standard: entry amend ID --confirm, or --to HH:MM --why "..."`)
		}
	}
	rep := reports.Report{Name: "entries", Title: "Entries", Zone: b.Shop.Location(), Sections: reports.Sections(t)}
	var past reports.Table
	for _, r := range append(append([]entryRow{}, res.Entries...), res.Dropped...) {
		for _, h := range r.History {
			past.Add(reports.Count(int(r.ID)), reports.Instant(h.At), reports.Text(strings.Join(h.What, "; ")), reports.Text(h.Why))
		}
	}
	if len(past.Rows) > 0 {
		past.Name, past.Title = "history", "What was there"
		past.Columns = []reports.Column{{Key: "id", Header: "id", Kind: reports.KindCount}, {Key: "at", Header: "written", Kind: reports.KindInstant}, {Key: "what", Header: "what", Max: 36}, {Key: "why", Header: "why", Max: 20}}
		rep.Add(past)
	}
	return rep
}
