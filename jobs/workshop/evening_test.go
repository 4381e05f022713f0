package workshop

import (
	"errors"
	"testing"
	"time"

	"bookmatch/jobs"
	"bookmatch/jobs/store"

	"github.com/google/go-cmp/cmp"
)

// enter enters a card for an evening and gives the result.
func enter(t *testing.T, path string, now time.Time, day jobs.Day, card string) *EveningEnterResult {
	t.Helper()
	return do(t, path, now, EveningEnter, &EveningEnterAsk{Evening: day, Card: card}).(*EveningEnterResult)
}

// An evening from a card leaves the same records as the bench words at the same
// times, except for when they were written.
func TestACardEqualsTheBenchWords(t *testing.T) {
	typed := corrections(t)
	card := corrections(t)
	for _, x := range []uint64{2, 1} {
		do(t, card, later, EntryDrop, &EntryDropAsk{ID: x, Reason: Reason{"again, from a card"}})
	}
	r := enter(t, card, later, "2026-01-06", "1830 glue-face ada 100, 1850 end, 1900 drill ada+bo 6+8 bit S10-1, 1940 end")
	if r.TotalMin != 60 || len(r.Entries) != 2 || len(r.Open) != 0 || !cmp.Equal(r.Bits, []HolesOn{{"S10-1", 14}}) || !cmp.Equal(r.Supplies, []SupplyOut{{"wood-glue", "4", "ml"}}) {
		t.Errorf("got %+v", r)
	}
	rows := func(path string) []EntryRow {
		l := do(t, path, later, EntryList, &EntryListAsk{All: true}).(*EntryListResult)
		for i := range l.Entries {
			l.Entries[i].ID, l.Entries[i].Written, l.Entries[i].Anyway, l.Entries[i].Bit = 0, time.Time{}, "", ""
		}
		return l.Entries
	}
	if d := cmp.Diff(rows(card), rows(typed)); d != "" {
		t.Errorf("card (-), bench words (+):\n%s", d)
	}
	mustBeSound(t, card)
}

func TestRefusedCards(t *testing.T) {
	path := corrections(t)
	for name, c := range map[string]struct {
		day             jobs.Day
		card, code, typ string
	}{
		"logged already":   {"2026-01-06", "1830 block bo, 1835 end", "overlap", "entry list --evening 2026-01-06"},
		"unknown word":     {"2026-01-05", "1900 dirll bo 6, 1930 end", "missing", `evening enter 2026-01-05 "1900 drill bo 6, 1930 end"`},
		"done by another":  {"2026-01-05", "1900 drill bo 8, 1930 end", "done", "entry list --evening 2026-01-06"},
		"no end":           {"2026-01-05", "1900 drill bo 8", "invalid", ""},
		"an hour twice":    {"2025-10-25", "2330 block cy, 0230 end", "which-hour", `evening enter 2025-10-25 "2330 block cy, 0230 end" --offset +02:00`},
		"not yet":          {"2026-01-07", "2300 block cy, 2330 end", "invalid", ""},
		"nothing readable": {"2026-01-05", " , ", "invalid", ""},
	} {
		update(t, path, later, "shop set zone", func(b *Book) error {
			b.Shop.Zone = "UTC"
			if name == "an hour twice" {
				b.Shop.Zone = "Europe/Berlin"
			}
			return store.Put(b.Tx, store.Shops, b.Shop)
		})
		err := refuse(t, path, later, EveningEnter, &EveningEnterAsk{Evening: c.day, Card: c.card})
		var r *jobs.Refusal
		if !errors.As(err, &r) || r.What != "NOT WRITTEN" || r.Code != c.code || c.typ != "" && (len(r.Type) == 0 || r.Type[0] != c.typ) {
			t.Errorf("%s: got %+v, want %s, %s", name, r, c.code, c.typ)
		}
	}
	if n := len(do(t, path, later, EntryList, &EntryListAsk{All: true}).(*EntryListResult).Entries); n != 2 {
		t.Errorf("%d entries after refused cards, want 2", n)
	}
}

// 100 s over counts of 6, 8 and 1 with a third of setup: the parts add up to the
// entry to the second. 6 January 2026 is a Tuesday of week 2 (ISO 8601).
func TestSumsOfAnEvening(t *testing.T) {
	path := corrections(t)
	update(t, path, later, "made up", func(b *Book) error {
		from := start.Add(2 * time.Hour)
		to := from.Add(100 * time.Second)
		e := jobs.Entry{Operation: "glue-back", Class: jobs.First, From: from, To: &to, Written: to, SetupPart: 1.0 / 3,
			Shares: []jobs.Share{{Neck: "N1", Count: 6}, {Neck: "N2", Count: 8}, {Neck: "N3", Count: 1}}}
		var err error
		if e.ID, err = store.NextID(b.Tx, store.Entries); err != nil {
			return err
		}
		return store.Put(b.Tx, store.Entries, e)
	})
	r := do(t, path, later, EveningShow, &EveningAsk{}).(*EveningResult)
	if r.Evening != "2026-01-06" || r.Week != "2026-W02" || r.TotalMin != 61.67 {
		t.Errorf("evening %s, week %s, %v min", r.Evening, r.Week, r.TotalMin)
	}
	sum := 0.0
	for _, n := range r.Entries[2].Necks {
		sum += n.ShareMin
	}
	if jobs.Round2(sum) != r.Entries[2].ElapsedMin || r.Entries[2].ElapsedMin != 1.67 {
		t.Errorf("shares add up to %v of %v, want 1.67", sum, r.Entries[2].ElapsedMin)
	}
	var operations []string
	whole, part := 0.0, 0.0
	for _, o := range r.Operations {
		operations = append(operations, o.Operation)
		whole += o.TotalMin
		part += o.Share
	}
	if d := cmp.Diff(operations, []string{"drill", "glue-face", "glue-back"}); d != "" || jobs.Round2(whole) != r.TotalMin || part < 0.999 || part > 1.001 {
		t.Errorf("operations %v add up to %v, parts to %v", operations, whole, part)
	}
	if w := r.Weeks; len(w) != 1 || w[0].Week != "2026-W02" || w[0].TotalH != 1.03 || w[0].Evenings != 1 || w[0].OperationsH["drill"] != 0.67 {
		t.Errorf("weeks %+v", w)
	}
}

// Weeks without work are in the list, across the end of a year. 2026 has 53 ISO
// weeks, since its first of January is a Thursday (ISO 8601).
func TestWeeksWithoutWork(t *testing.T) {
	path := corrections(t)
	now := time.Date(2027, 1, 20, 20, 0, 0, 0, time.UTC)
	enter(t, path, now, "2026-12-22", "1900 block cy, 1930 end")
	enter(t, path, now, "2027-01-12", "1900 block cy, 1945 end")
	r := do(t, path, now, EveningShow, &EveningAsk{From: "2026-12-22", To: "2027-01-12"}).(*EveningResult)
	var weeks []string
	for _, w := range r.Weeks {
		weeks = append(weeks, w.Week)
	}
	if d := cmp.Diff(weeks, []string{"2026-W52", "2026-W53", "2027-W01", "2027-W02"}); d != "" {
		t.Error(d)
	}
	if r.Weeks[1].Evenings != 0 || r.Weeks[1].TotalH != 0 || r.Weeks[3].TotalH != 0.75 || r.SpanMin != 0 {
		t.Errorf("got %+v", r.Weeks)
	}
}

// A list without a range has the last four weeks of the log, not of the calendar.
func TestTheListHasFourWeeks(t *testing.T) {
	path := corrections(t)
	now := start.AddDate(1, 0, 0)
	for _, c := range []struct {
		name   string
		ask    *EntryListAsk
		n      int
		recent bool
	}{
		{"a log that ended long ago", &EntryListAsk{}, 2, true},
		{"one neck", &EntryListAsk{Neck: "bo"}, 1, false},
		{"one operation", &EntryListAsk{Operation: "glue-face"}, 1, true},
		{"from before", &EntryListAsk{From: "2025-12-01"}, 2, false},
		{"up to before", &EntryListAsk{To: "2026-01-05"}, 0, true},
		{"one evening", &EntryListAsk{Evening: "2026-01-06"}, 2, false},
		{"all", &EntryListAsk{All: true}, 2, false},
		{"assumed", &EntryListAsk{All: true, Assumed: true}, 0, false},
	} {
		r := do(t, path, now, EntryList, c.ask).(*EntryListResult)
		if len(r.Entries) != c.n || r.Recent != c.recent {
			t.Errorf("%s: %d entries, recent %v, want %d, %v", c.name, len(r.Entries), r.Recent, c.n, c.recent)
		}
	}
	enter(t, path, now, "2026-02-03", "1900 block cy, 1930 end")
	for day, want := range map[jobs.Day]int{"2026-02-02": 2, "2026-02-03": 1} { // 6 January is 28 days before the latter
		r := do(t, path, now, EntryList, &EntryListAsk{To: day}).(*EntryListResult)
		if len(r.Entries) != want {
			t.Errorf("up to %s: %d entries, want %d", day, len(r.Entries), want)
		}
	}
	if r := do(t, path, now, EntryList, &EntryListAsk{Neck: "ada"}).(*EntryListResult); r.Neck != "ada" || r.NeckMin == nil || *r.NeckMin >= r.TotalMin {
		t.Errorf("ada's own part: %+v", r.NeckMin)
	}
}

// The history has each version with its reason, and entries that were removed.
func TestTheHistoryOfAList(t *testing.T) {
	path := corrections(t)
	do(t, path, later, EntryAmend, amend(1, func(a *EntryAmendAsk) { a.Count = "140" }))
	do(t, path, later, EntryDrop, &EntryDropAsk{ID: 2, Reason: Reason{"never was"}})
	r := do(t, path, later, EntryList, &EntryListAsk{History: true}).(*EntryListResult)
	if len(r.Entries) != 1 || len(r.Dropped) != 1 || !r.Dropped[0].Dropped || r.Dropped[0].ID != 2 {
		t.Fatalf("got %+v", r)
	}
	past := r.Entries[0].History
	if n := len(past); n != 3 || past[0].What[0] != "logged" || past[2].Why != "a test" || past[2].What[0] != "necks ada 140 done (was ada 100 done)" {
		t.Errorf("got %+v", past)
	}
	if past = r.Dropped[0].History; past[len(past)-1].Why != "never was" || past[len(past)-1].What[0] != "removed" {
		t.Errorf("got %+v", past)
	}
}

// The blank card names what each neck waits for.
func TestTheBlankCard(t *testing.T) {
	path := corrections(t)
	c := do(t, path, start.Add(2*time.Hour), EveningShow, &EveningAsk{Blank: true}).(*EveningResult).Card
	if c == nil || len(c.Necks) != 3 || c.Necks[0].Operation != "glue-back" || c.Necks[2].Operation != "glue-face" || c.Necks[0].ReadyAt == nil {
		t.Errorf("got %+v", c)
	}
}
