package schedule

import (
	"slices"
	"testing"
	"time"
)

// BenchmarkPropose plans random evenings of 2 to 8 necks with up to 48 steps
// that could begin and 60 to 240 minutes, and reports the quantiles of a
// search. Goals: half under 20 ms, 99 % under 50 ms, the worst under 200 ms.
func BenchmarkPropose(b *testing.B) {
	m := newShopMaker(b, 7)
	var situations []Situation
	most := 0
	for len(situations) < 300 {
		s := m.situation(2+m.IntN(7), 60+m.IntN(181))
		if n := startableSteps(s); n <= 48 {
			most = max(most, n)
			situations = append(situations, s)
		}
	}
	reportQuantiles(b, situations)
	b.ReportMetric(float64(most), "steps-most")
}

// BenchmarkProposeFull plans evenings of 8 necks with 40 to 48 steps that
// could begin.
func BenchmarkProposeFull(b *testing.B) {
	m := newShopMaker(b, 8)
	var situations []Situation
	for len(situations) < 300 {
		s := m.situation(8, 60+m.IntN(181))
		if n := startableSteps(s); n >= 40 && n <= 48 {
			situations = append(situations, s)
		}
	}
	reportQuantiles(b, situations)
}

func reportQuantiles(b *testing.B, situations []Situation) {
	var took []time.Duration
	var nodes []int
	stopped := 0
	b.ResetTimer()
	for b.Loop() {
		for _, s := range situations {
			// The fastest of three: other work on the machine counts little.
			fastest := time.Hour
			var p Proposal
			for range 3 {
				from := time.Now()
				p = Propose(s)
				fastest = min(fastest, time.Since(from))
			}
			took, nodes = append(took, fastest), append(nodes, p.Nodes)
			if p.Gap > 0 {
				stopped++
			}
		}
	}
	b.StopTimer()
	slices.Sort(took)
	slices.Sort(nodes)
	at := func(share float64) float64 {
		return float64(took[int(share*float64(len(took)-1))].Microseconds()) / 1000
	}
	b.ReportMetric(at(0.5), "ms-median")
	b.ReportMetric(at(0.9), "ms-90%")
	b.ReportMetric(at(0.99), "ms-99%")
	b.ReportMetric(at(1), "ms-worst")
	b.ReportMetric(float64(nodes[len(nodes)-1]), "nodes-worst")
	b.ReportMetric(float64(stopped)/float64(len(took))*100, "%-with-gap")
}

// BenchmarkRemaining counts the evenings of a whole neck. Goal: under 5 us.
func BenchmarkRemaining(b *testing.B) {
	m := newShopMaker(b, 9)
	var neck Neck
	for _, n := range m.necks {
		if len(n.Steps) > len(neck.Steps) {
			neck = n
		}
	}
	steps := slices.Clone(neck.Steps)
	for i := range steps {
		steps[i].Done = false
	}
	e := m.evening(120)
	row := newEvenings(e.Later)
	o, _ := newOutlook(steps, &row, e)
	p := o.now()
	for b.Loop() {
		o.evenings(p, 1)
	}
}
