package jobs

import (
	"math/rand/v2"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

func done(neck string, step int, count float64) Share {
	return Share{Neck: neck, Step: step, Count: count, Done: true}
}

func nextDay(e Entry, days int) Entry {
	d := time.Duration(days) * 24 * time.Hour
	e.From = e.From.Add(d)
	if e.To != nil {
		to := e.To.Add(d)
		e.To = &to
	}
	return e
}

// TestPasses holds what counts as one past job.
func TestPasses(t *testing.T) {
	shop := testShop()
	now := time.Date(2026, 4, 1, 12, 0, 0, 0, time.UTC)
	assumed := work(1, "drill", "19:00", "19:40", done("N1", 12, 6))
	assumed.Assumed = true
	friend := work(1, "drill", "19:00", "19:40", done("N1", 12, 6))
	friend.Person = "friend"
	again := work(2, "drill", "20:00", "20:20", done("N1", 12, 6))
	again.Class, again.Cause = Rework, "bit"
	for _, tc := range []struct {
		name    string
		entries []Entry
		want    []string // quantity, minutes, evenings after the first, why not a past job
	}{
		{"a session over two necks is one past job of the whole quantity",
			[]Entry{work(1, "drill", "19:00", "19:40", done("N1", 12, 6), done("N2", 12, 8))},
			[]string{"14 40 0 "}},
		{"a gap on the same evening merges",
			[]Entry{work(1, "drill", "19:00", "19:10", Share{Neck: "N1", Step: 12}), work(2, "drill", "20:00", "20:30", done("N1", 12, 6))},
			[]string{"6 40 0 "}},
		{"two evenings merge and add a resumed set-up",
			[]Entry{work(1, "drill", "19:00", "19:10", Share{Neck: "N1", Step: 12}), nextDay(work(2, "drill", "20:00", "20:30", done("N1", 12, 6)), 2)},
			[]string{"6 40 1 "}},
		{"over midnight is one evening",
			[]Entry{work(1, "drill", "23:30", "23:50", Share{Neck: "N1", Step: 12}), work(2, "drill", "00:10", "00:30", done("N1", 12, 6))},
			[]string{"6 40 0 "}},
		{"an assumed end is no past job", []Entry{assumed}, []string{"6 40 0 assumed end"}},
		{"work of another person is no past job", []Entry{friend}, []string{"6 40 0 by friend"}},
		{"rework is a pass of its own and no past job",
			[]Entry{work(1, "drill", "19:00", "19:40", done("N1", 12, 6)), again},
			[]string{"6 40 0 ", "6 20 0 rework"}},
		{"a step started and not done is no past job", []Entry{work(1, "drill", "19:00", "19:40", Share{Neck: "N1", Step: 12})}, []string{"0 40 0 not done yet"}},
		{"what still runs is no past job", []Entry{work(1, "drill", "19:00", "", done("N1", 12, 6))}, nil},
		{"a minute or less is kept and teaches nothing", []Entry{work(1, "drill", "19:00", "19:01", done("N1", 12, 6))}, []string{"6 1 0 a minute or less"}},
		{"no minute at all", []Entry{work(1, "drill", "19:00", "19:00", done("N1", 12, 6))}, []string{"6 0 0 a minute or less"}},
		{"no count is cost, not a standard", []Entry{work(1, "drill", "19:00", "19:40", done("N1", 12, 0))}, []string{"0 40 0 no count"}},
		{"one neck of the sitting left midway: split by actual counts",
			[]Entry{work(1, "drill", "19:00", "19:40", done("N1", 12, 6), Share{Neck: "N2", Step: 12, Count: 2, Left: true})},
			[]string{"8 40 0 "}},
		{"and finished another evening: one pass with a resumed set-up",
			[]Entry{work(1, "drill", "19:00", "19:40", done("N1", 12, 6), Share{Neck: "N2", Step: 12, Count: 2, Left: true}), nextDay(work(2, "drill", "19:00", "19:20", done("N2", 12, 6)), 1)},
			[]string{"14 60 1 "}},
		{"two necks started apart and finished together are one pass",
			[]Entry{work(1, "drill", "19:00", "19:10", Share{Neck: "N1", Step: 12}), work(2, "drill", "19:10", "19:20", Share{Neck: "N2", Step: 12}), work(3, "drill", "19:20", "19:40", done("N1", 12, 6), done("N2", 12, 6))},
			[]string{"12 40 0 "}},
		{"another step of the same operation is another pass",
			[]Entry{work(1, "drill", "19:00", "19:20", done("N1", 12, 6)), work(2, "drill", "19:20", "19:40", done("N1", 13, 6))},
			[]string{"6 20 0 ", "6 20 0 "}},
		{"an operation renamed midway stays one pass",
			[]Entry{work(1, "drill", "19:00", "19:10", Share{Neck: "N1", Step: 12}), work(2, "drill-posts", "20:00", "20:30", done("N1", 12, 6))},
			[]string{"6 40 0 "}},
	} {
		t.Run(tc.name, func(t *testing.T) {
			var got []string
			for _, p := range Passes(tc.entries, shop, now) {
				if p.Assumed && p.To.Equal(now) { // runs
					if p.Excluded() == "" {
						t.Error("a running pass is a past job")
					}
					continue
				}
				got = append(got, trim(p.Quantity())+" "+trim(p.Elapsed.Minutes())+" "+trim(float64(p.Resumed()))+" "+p.Excluded())
			}
			if d := cmp.Diff(got, tc.want); d != "" {
				t.Errorf("(-got +want)\n%s", d)
			}
		})
	}
}

func TestGradesAndBatchesOfAPass(t *testing.T) {
	two := 2
	a := work(1, "drill", "19:00", "19:10", Share{Neck: "N1", Step: 12})
	b := work(2, "drill", "19:20", "19:40", done("N1", 12, 6), done("N2", 12, 8))
	b.Grade = &two
	p := Passes([]Entry{b, a}, testShop(), *b.To)
	if len(p) != 1 || p[0].Grade == nil || *p[0].Grade != 2 || p[0].Operation != "drill" || !cmp.Equal(p[0].Necks(), []string{"N1", "N2"}) || !cmp.Equal(p[0].Entries, []uint64{1, 2}) {
		t.Errorf("got %+v", p)
	}
}

// TestPassesLoseNoTime plays random evenings: whatever is merged, every entry
// stands in exactly one pass and their times add to the whole, and the order in
// which the entries come does not matter.
func TestPassesLoseNoTime(t *testing.T) {
	const seed = 38
	rng := rand.New(rand.NewPCG(seed, 2))
	shop := testShop()
	for i := range 400 {
		es := randomEvenings(rng, 1+rng.IntN(5))
		now := es[len(es)-1].From.Add(100 * 24 * time.Hour)
		passes := Passes(es, shop, now)
		seen, whole, sum := map[uint64]bool{}, time.Duration(0), time.Duration(0)
		for _, e := range es {
			whole += e.Elapsed(now)
		}
		for _, p := range passes {
			sum += p.Elapsed
			for _, id := range p.Entries {
				if seen[id] {
					t.Fatalf("seed %d case %d: entry %d in two passes", seed, i, id)
				}
				seen[id] = true
			}
		}
		if sum != whole || len(seen) != len(es) {
			t.Fatalf("seed %d case %d: passes hold %v of %v, %d of %d entries", seed, i, sum, whole, len(seen), len(es))
		}
		rng.Shuffle(len(es), func(a, b int) { es[a], es[b] = es[b], es[a] })
		if d := cmp.Diff(Passes(es, shop, now), passes); d != "" {
			t.Fatalf("seed %d case %d: the order of reading matters\n%s", seed, i, d)
		}
	}
}

// randomEvenings plays evenings of work on three necks: switching, breaks,
// sittings over several necks, steps left open, rework, forgotten ends.
func randomEvenings(rng *rand.Rand, evenings int) []Entry {
	operations := []string{"drill", "flush-sand", "glue-face", "mark-posts", "decide"}
	var out []Entry
	id := uint64(0)
	for d := range evenings {
		at := time.Date(2026, 3, 20+d, 17+rng.IntN(3), rng.IntN(60), rng.IntN(60), 0, time.UTC)
		for range 1 + rng.IntN(7) {
			id++
			e := Entry{ID: id, Operation: operations[rng.IntN(len(operations))], Class: First, From: at, Written: at, SetupPart: rng.Float64()}
			at = at.Add(time.Duration(rng.IntN(70*60)) * time.Second)
			to := at
			e.To = &to
			first := rng.IntN(3)
			for n := range 1 + rng.IntN(2) {
				s := Share{Neck: []string{"N1", "N2", "N3"}[(first+n)%3], Step: 1 + rng.IntN(4)*rng.IntN(2), Count: float64(rng.IntN(9))}
				s.Done = rng.IntN(2) == 0
				s.Left = !s.Done && rng.IntN(4) == 0
				e.Shares = append(e.Shares, s)
			}
			switch rng.IntN(8) {
			case 0:
				e.Class, e.Cause, e.Payer = Rework, "bit", "shop"
			case 1:
				e.Assumed = true
			case 2:
				a := e.From.Add(to.Sub(e.From) / 3).Truncate(time.Second)
				b := e.From.Add(to.Sub(e.From) / 2).Truncate(time.Second)
				e.Away = []Span{{a, &b}}
			}
			out = append(out, e)
			at = at.Add(time.Duration(rng.IntN(15*60)) * time.Second)
		}
	}
	return out
}
