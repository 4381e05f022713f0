package workshop

import (
	"errors"
	"testing"
	"time"

	"bookmatch/jobs"
	"bookmatch/jobs/store"

	"github.com/google/go-cmp/cmp"
)

// logFile is a file with one neck, and what the tests of the log need of it.
func logFile(t *testing.T) (path string, neck jobs.Neck) {
	t.Helper()
	path = newFile(t)
	update(t, path, start, "neck add", func(b *Book) error {
		shop := b.Shop
		shop.Zone = "Europe/Berlin"
		steps, quantities, err := jobs.PlanSteps(jobs.SeedRoutes()[0], b.Operations, nil)
		if err != nil {
			return err
		}
		neck = jobs.Neck{Code: "N1", Nickname: "ada", Status: jobs.Open, Wood: "hard-maple", Route: "headstock", Steps: steps, Quantities: quantities}
		if err := store.Put(b.Tx, store.Shops, shop); err != nil {
			return err
		}
		return store.Put(b.Tx, store.Necks, neck)
	})
	return path, neck
}

func layoutEntry() jobs.Entry {
	return jobs.Entry{Operation: "mark-posts", Class: jobs.First, Shares: []jobs.Share{{Neck: "N1", Step: 10}}}
}

func TestAForgottenEntryIsSettledOnce(t *testing.T) {
	path, _ := logFile(t)
	update(t, path, start, "on", func(b *Book) error {
		_, _, err := b.ClockIn(layoutEntry())
		return err
	})
	view(t, path, func(b *Book) error { // the same evening: nothing is forgotten yet
		if _, on, err := b.RunningEntry(); !on || err != nil {
			t.Errorf("on: %v %v", on, err)
		}
		return nil
	})
	next := start.Add(24 * time.Hour)
	update(t, path, next, "tonight", func(b *Book) error {
		es, err := b.NeckEntries("N1")
		if err != nil {
			return err
		}
		if shown := b.Settled(es); !shown[0].Assumed || !es[0].Running() {
			t.Errorf("a reader sees %+v and writes nothing", shown[0])
		}
		got, err := b.Settle()
		if err != nil || got == nil || !got.Entry.Assumed || !got.Entry.To.After(got.Entry.From) || got.Why == "" {
			t.Fatalf("settled %+v %v", got, err)
		}
		// Six holes are likely 15 min by the standard; 19 of 20 take less than an hour.
		if d := got.Entry.Elapsed(next); d < 15*time.Minute || d > time.Hour {
			t.Errorf("assumed %v", d)
		}
		again, err := b.Settle()
		if again != nil || err != nil {
			t.Errorf("settled twice: %+v %v", again, err)
		}
		return nil
	})
}

func TestAClockSetBackLosesNothing(t *testing.T) {
	path, _ := logFile(t)
	on := func(now time.Time) (e jobs.Entry) {
		update(t, path, now, "on", func(b *Book) (err error) { e, _, err = b.ClockIn(layoutEntry()); return err })
		return e
	}
	off := func(now time.Time) (e *jobs.Entry) {
		update(t, path, now, "off", func(b *Book) (err error) { e, err = b.ClockOff(); return err })
		return e
	}
	on(start)
	off(start.Add(30 * time.Minute))
	second := on(start.Add(10 * time.Minute)) // twenty minutes back
	if !second.ClockBack || !second.From.Equal(start.Add(30*time.Minute)) {
		t.Errorf("the second began %v, marked %v; want where the first ended", second.From, second.ClockBack)
	}
	third := on(start.Add(5 * time.Minute))
	view(t, path, func(b *Book) error {
		es, err := b.NeckEntries("N1")
		if len(es) != 3 || es[1].To == nil || es[1].Elapsed(start) != 0 {
			t.Errorf("entries %+v", es)
		}
		for i, e := range es {
			for _, f := range es[:i] {
				if e.Overlaps(f, start.Add(time.Hour)) {
					t.Errorf("%d and %d overlap", f.ID, e.ID)
				}
			}
		}
		return err
	})
	if third.ID != 3 {
		t.Errorf("the third has number %d", third.ID)
	}
	mustBeSound(t, path)
}

func TestReadingTheLog(t *testing.T) {
	path, _ := logFile(t)
	put := func(from time.Time, min int, operation string) {
		update(t, path, from.Add(24*time.Hour), "evening enter", func(b *Book) (err error) {
			e := layoutEntry()
			to := from.Add(time.Duration(min) * time.Minute)
			e.Operation, e.From, e.To, e.Written = operation, from, &to, b.Now
			if e.ID, err = store.NextID(b.Tx, store.Entries); err != nil {
				return err
			}
			return store.Put(b.Tx, store.Entries, e)
		})
	}
	put(start, 30, "mark-posts")                            // Tuesday 19:30 in Berlin
	put(start.Add(5*time.Hour), 20, "mark-posts")           // 00:30, still Tuesday's evening
	put(start.Add(9*time.Hour+45*time.Minute), 20, "drill") // 05:15 on Wednesday
	put(start.Add(-24*time.Hour), 20, "mark-posts")         // entered late: the day before
	ids := func(es []jobs.Entry, err error) (out []uint64) {
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range es {
			out = append(out, e.ID)
		}
		return out
	}
	view(t, path, func(b *Book) error {
		for name, got := range map[string][2][]uint64{
			"the evening, past midnight": {ids(b.Evening(b.Shop, "2026-01-06")), {1, 2}},
			"the next evening":           {ids(b.Evening(b.Shop, "2026-01-07")), {3}},
			"in order of time":           {ids(b.NeckEntries("N1")), {4, 1, 2, 3}},
			"the newest two":             {ids(b.LatestEntries(2)), {2, 3}},
			"between":                    {ids(b.EntriesBetween(start, start.Add(5*time.Hour))), {1}},
			"of an operation":            {ids(b.OperationEntries("mark-posts")), {4, 1, 2}},
			"by days":                    {ids(b.FindEntries(store.EntryFilter{From: "2026-01-06", To: "2026-01-06"}, b.Shop)), {1, 2}},
			"all":                        {ids(b.FindEntries(store.EntryFilter{}, b.Shop)), {4, 1, 2, 3}},
		} {
			if d := cmp.Diff(got[0], got[1]); d != "" {
				t.Errorf("%s (-got +want)\n%s", name, d)
			}
		}
		probe := layoutEntry()
		to := start.Add(35 * time.Minute)
		probe.From, probe.To = start.Add(29*time.Minute), &to
		if got := ids(b.Overlapping([]jobs.Entry{probe})); len(got) != 1 || got[0] != 1 {
			t.Errorf("a minute of overlap hits %v", got)
		}
		probe.From = start.Add(30 * time.Minute)
		if got := ids(b.Overlapping([]jobs.Entry{probe})); len(got) != 0 {
			t.Errorf("touching hits %v", got)
		}
		if _, err := b.Overlapping([]jobs.Entry{probe, probe}); !errors.Is(err, jobs.ErrConflict) {
			t.Errorf("two that overlap each other: %v", err)
		}
		if _, err := b.Entry(77); !errors.Is(err, jobs.ErrNotFound) {
			t.Errorf("entry 77: %v", err)
		}
		return nil
	})
}

func TestHistoryOfAnEntry(t *testing.T) {
	path, _ := logFile(t)
	update(t, path, start, "on", func(b *Book) error { _, _, err := b.ClockIn(layoutEntry()); return err })
	update(t, path, start.Add(time.Hour), "off", func(b *Book) error { _, err := b.ClockOff(); return err })
	update(t, path, start.Add(48*time.Hour), "entry drop 1", func(b *Book) error {
		e, err := b.Entry(1)
		if err != nil {
			return err
		}
		_, _, err = b.DropEntry(e)
		return err
	})
	view(t, path, func(b *Book) error {
		past, err := b.EntryHistory(nil, func(jobs.Entry) bool { return true })
		if err != nil || len(past[1]) != 3 || past[1][0].Before != nil || past[1][2].After != nil || WordsOf(past[1][2].Verb, past[1][2].Ask) != "entry drop 1" {
			t.Errorf("history %+v %v", past, err)
		}
		return nil
	})
}

// What a step's difficulty makes slow does not teach that its operation is slow; a neck
// without one, whatever its title says, counts as it is.
func TestSamplesHoldDifficulty(t *testing.T) {
	path := newFile(t)
	update(t, path, start, "made up", func(b *Book) error {
		var err error
		for i, n := range []jobs.Neck{
			{Code: "N1", Title: `a "difficulty": 3`, Steps: []jobs.Step{{No: 1, Operation: "drill", Quantity: 6}}},
			{Code: "N2", Steps: []jobs.Step{{No: 1, Operation: "drill", Quantity: 6, Difficulty: 1.5}}},
		} {
			n.Status, n.Wood, n.Added = jobs.Open, "hard-maple", start
			if err := store.Put(b.Tx, store.Necks, n); err != nil {
				return err
			}
			from := start.Add(time.Duration(i) * time.Hour)
			to := from.Add(30 * time.Minute)
			e := jobs.Entry{Operation: "drill", Class: jobs.First, Shares: []jobs.Share{{Neck: n.Code, Step: 1, Count: 6, Done: true}}, From: from, To: &to, Written: to}
			if e.ID, err = store.NextID(b.Tx, store.Entries); err != nil {
				return err
			}
			if err := store.Put(b.Tx, store.Entries, e); err != nil {
				return err
			}
		}
		pastJobs, err := b.Est().PastJobs("drill")
		if err != nil || len(pastJobs) != 2 {
			t.Fatalf("%d past jobs, %v", len(pastJobs), err)
		}
		plain, hard := pastJobs[0], pastJobs[1]
		if plain.Difficulty != 0 || hard.Difficulty != 1.5 || hard.StandardMin <= plain.StandardMin {
			t.Errorf("plain %+v\nhard %+v", plain, hard)
		}
		return nil
	})
}
