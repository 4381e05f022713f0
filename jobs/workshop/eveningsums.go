package workshop

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"bookmatch/jobs"
)

// TimeSum is the time of some shares of entries. Share is the part of all time,
// 0 to 1.
type TimeSum struct {
	Shares     int     `json:"shares"`
	TotalMin   float64 `json:"total_min"`
	TotalH     float64 `json:"total_h"`
	Share      float64 `json:"share"`
	AssumedMin float64 `json:"assumed_min"`
}

// OperationSum is the time of one operation.
type OperationSum struct {
	Operation string `json:"operation"`
	TimeSum
}

// NeckSum is the time of one neck.
type NeckSum struct {
	Neck string `json:"neck"`
	Name string `json:"name"`
	TimeSum
}

// stackOperations is how many operations have hours of their own in a week.
const stackOperations = 8

// WeekSum is the time of one ISO 8601 week. OperationsH are the hours of the
// operations that took longest, OtherH those of the rest.
type WeekSum struct {
	Week        string             `json:"week"` // 2026-W13
	Evenings    int                `json:"evenings"`
	TotalH      float64            `json:"total_h"`
	OperationsH map[string]float64 `json:"operations_h"`
	OtherH      float64            `json:"other_h,omitempty"`
}

// tally adds up shares of one key.
type tally struct {
	key           string
	time, assumed time.Duration
	shares        int
}

// tallies adds up shares by a key, the longest time first.
func (b *Book) tallies(es []jobs.Entry, key func(jobs.Entry, jobs.Share) string) (out []tally, all time.Duration) {
	at := map[string]int{}
	for _, e := range es {
		parts := e.ShareOut(b.Now)
		for i, s := range e.Shares {
			k := key(e, s)
			j, ok := at[k]
			if !ok {
				j = len(out)
				at[k] = j
				out = append(out, tally{key: k})
			}
			out[j].time += parts[i]
			out[j].shares++
			all += parts[i]
			if e.Assumed {
				out[j].assumed += parts[i]
			}
		}
	}
	slices.SortFunc(out, func(a, b tally) int {
		return cmp.Or(cmp.Compare(b.time, a.time), strings.Compare(a.key, b.key))
	})
	return out, all
}

func (t tally) sum(all time.Duration) TimeSum {
	s := TimeSum{Shares: t.shares, TotalMin: jobs.Round2(t.time.Minutes()), TotalH: jobs.Round2(t.time.Hours()), AssumedMin: jobs.Round2(t.assumed.Minutes())}
	if all > 0 {
		s.Share = math.Round(t.time.Seconds()/all.Seconds()*1e4) / 1e4
	}
	return s
}

func (b *Book) operationSums(es []jobs.Entry) []OperationSum {
	out := []OperationSum{}
	ts, all := b.tallies(es, func(e jobs.Entry, _ jobs.Share) string { return e.Operation })
	for _, t := range ts {
		out = append(out, OperationSum{t.key, t.sum(all)})
	}
	return out
}

func (b *Book) neckSums(es []jobs.Entry) []NeckSum {
	out := []NeckSum{}
	ts, all := b.tallies(es, func(_ jobs.Entry, s jobs.Share) string { return s.Neck })
	for _, t := range ts {
		out = append(out, NeckSum{t.key, b.NameOf(t.key), t.sum(all)})
	}
	return out
}

// weekSums adds up ISO weeks from the first entry to the last, and names the
// operations that it counts one by one. A week without work is in the list, with
// no hours.
func (b *Book) weekSums(es []jobs.Entry) (out []WeekSum, named []string) {
	out = []WeekSum{}
	if len(es) == 0 {
		return out, nil
	}
	ts, _ := b.tallies(es, func(e jobs.Entry, _ jobs.Share) string { return e.Operation })
	for i, t := range ts {
		if i == stackOperations && len(ts) > stackOperations+1 {
			break
		}
		named = append(named, t.key)
	}
	at := map[string]int{}
	first, last := b.Shop.Evening(es[0].From), b.Shop.Evening(es[len(es)-1].From)
	for d := first; weekOf(d) <= weekOf(last); d = d.Add(7) {
		at[weekOf(d)] = len(out)
		out = append(out, WeekSum{Week: weekOf(d), OperationsH: map[string]float64{}})
	}
	spans := make([]map[string]time.Duration, len(out)) // "" is the rest
	days := make([]map[jobs.Day]bool, len(out))
	for _, e := range es {
		day := b.Shop.Evening(e.From)
		i := at[weekOf(day)]
		if spans[i] == nil {
			spans[i], days[i] = map[string]time.Duration{}, map[jobs.Day]bool{}
		}
		days[i][day] = true
		key := e.Operation
		if !slices.Contains(named, key) {
			key = ""
		}
		spans[i][key] += e.Elapsed(b.Now)
	}
	for i := range out {
		var all time.Duration
		for key, span := range spans[i] {
			all += span
			if key == "" {
				out[i].OtherH = jobs.Round2(span.Hours())
			} else {
				out[i].OperationsH[key] = jobs.Round2(span.Hours())
			}
		}
		out[i].Evenings, out[i].TotalH = len(days[i]), jobs.Round2(all.Hours())
	}
	return out, named
}

// weekOf names the ISO 8601 week of a day: 2026-W13.
func weekOf(d jobs.Day) string {
	y, w := d.Noon().ISOWeek()
	return fmt.Sprintf("%d-W%02d", y, w)
}
