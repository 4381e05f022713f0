package bitlife

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"bookmatch/jobs"
)

// Does the advice pay? Invented shops, each with a true shape and life of its
// own, drill show faces for ten years under one policy after another. Costs are
// those of the shop model: a fresh edge, a test hole, and the damage of a torn
// face (fresh edge included).
const (
	simShape  = 2.5  // what the verdicts assume
	simRated  = 2.25 // what the maker says
	simChange = 9.0
	simTest   = 1.0
	simYears  = 10
	simHeads  = 8 // headstocks a year
	simHoles  = 6
	simCut    = 0.114 // six holes of 15 mm and 4 mm into the backing
	testCut   = 0.019 // one such hole
)

// Faces: plain, usual, inlaid, and how often each comes in a shop.
var (
	simDamages = []float64{45, 70, 300}
	allFaces   = []float64{0.3, 0.5, 0.2}
	plainFaces = []float64{1, 0, 0}
	dearFaces  = []float64{0, 0, 1}
)

// simFinds are true shares of failing edges that a test hole finds. The verdicts
// begin with 0.8 and learn from what they see.
var simFinds = []float64{0.8, 0.4, 0}

type simShop struct {
	shape, scale float64
	often        []float64
	faces        []int
	seed         uint64
}

// edge is one shop's edge in use; dullAt is hidden from every policy.
type simEdge struct {
	age, dullAt float64
	year        int
	tests       TestRecord // of all edges of the shop
}

type action int

const (
	drill action = iota
	testThenDrill
	freshThenDrill
)

// simRun is what each headstock of one shop cost, and how many edges had been
// closed before it.
type simRun struct {
	cost   []float64
	closed []int
}

// from gives the first headstock before which n edges were closed.
func (r simRun) from(n int) int {
	for i, c := range r.closed {
		if c >= n {
			return i
		}
	}
	return len(r.closed)
}

// run plays one shop under a policy. finds is the true share of failing edges
// that a test hole finds, whatever the policy believes.
func (s simShop) run(finds float64, policy func(e simEdge, closed []LifeDatum, face, year int) action) simRun {
	r := rand.New(rand.NewPCG(s.seed, 99))
	life := func() float64 { return s.scale * math.Pow(-math.Log(1-r.Float64()), 1/s.shape) }
	e := simEdge{dullAt: life()}
	var closed []LifeDatum
	end := func(event bool, year int) {
		if e.age > 0 {
			closed = append(closed, LifeDatum{T: e.age, Event: event})
		}
		e = simEdge{dullAt: life(), year: year, tests: e.tests}
	}
	var out simRun
	for i, face := range s.faces {
		year, cost := i/simHeads, 0.0
		out.closed = append(out.closed, len(closed))
		switch policy(e, closed, face, year) {
		case freshThenDrill:
			cost += simChange
			end(false, year)
		case testThenDrill:
			cost += simTest
			dull := e.dullAt <= e.age+simCut
			switch {
			case dull && r.Float64() < finds:
				cost += simChange
				e.tests.Found++
				end(true, year)
			case dull:
				e.tests.Missed++
			default:
				e.age += testCut
			}
		}
		if e.dullAt <= e.age+simCut {
			cost += simDamages[face]
			e.age += simCut
			end(true, year)
		} else {
			e.age += simCut
		}
		out.cost = append(out.cost, cost)
	}
	return out
}

// verdictPolicy does what Decide says, from the closed edges and the assumed
// shape alone. Best ages are kept as long as the closed edges are the same.
// With past a test hole before every job is tried where an edge would be moved,
// as long as that should cost less.
func verdictPolicy(past bool) func(simEdge, []LifeDatum, int, int) action {
	type ages struct {
		retire Replacement
		until  float64
	}
	var m EdgeModel
	var cache [3]*ages
	known, tests := -1, TestRecord{}
	return func(e simEdge, closed []LifeDatum, face, _ int) action {
		if len(closed) != known || e.tests != tests {
			m, _ = NewEdgeModel(simShape, simRated, closed)
			known, tests, cache = len(closed), e.tests, [3]*ages{}
		}
		costs := FaceCosts{simChange, simDamages[face], simTest, e.tests.Share()}
		if cache[face] == nil {
			r := RetireAge(simShape, m.ScaleM(), costs.Change, costs.TornHoleCost)
			cache[face] = &ages{r, TestUntil(simShape, m.ScaleM(), simCut, testCut, costs, r)}
		}
		state := EdgeState{Keep: jobs.KeepShow, AgeM: e.age, CutM: simCut, Known: true, Chance: m.ChanceDull(e.age, simCut),
			Costs: costs, Retire: cache[face].retire, UntilM: cache[face].until}
		verdict, _ := Decide(state)
		switch {
		case verdict == VerdictRetire && past && e.age+simCut <= state.UntilM && costs.TestPays(state.Chance):
			return testThenDrill
		case verdict == VerdictRetire:
			return freshThenDrill
		case verdict == VerdictTest, verdict == VerdictLast && costs.TestPays(state.Chance):
			return testThenDrill
		}
		return drill
	}
}

func runToTear(simEdge, []LifeDatum, int, int) action { return drill }

func freshEachYear(e simEdge, _ []LifeDatum, _, year int) action {
	if year > e.year && e.age > 0 {
		return freshThenDrill
	}
	return drill
}

// oracle knows the true shape and life, though not when this edge will dull:
// the best of all policies over drill, test and fresh edge, by relative value
// iteration over the age in holes (R. Howard, Dynamic Programming and Markov
// Processes, 1960). perJob is its long-run cost of a headstock.
type oracle struct {
	perJob float64
	best   [][]action // by face, then by age in holes
}

func newOracle(shape, scale float64, often []float64, tests bool, finds float64) oracle {
	n := int(min(800, max(240, 3*scale/testCut)))
	q := make([]float64, n+1)
	for k := range q {
		t := float64(k) * testCut
		q[k] = -math.Expm1(math.Pow(t/scale, shape) - math.Pow((t+simCut)/scale, shape))
	}
	v, next := make([]float64, n), make([]float64, n)
	o := oracle{best: make([][]action, len(simDamages))}
	for f := range o.best {
		o.best[f] = make([]action, n)
	}
	for range 2000 {
		clear(next)
		for f, tornHole := range simDamages {
			torn := tornHole + v[0]
			fresh := simChange + q[0]*torn + (1-q[0])*v[simHoles]
			for k := range v {
				least, act := q[k]*torn+(1-q[k])*v[min(k+simHoles, n-1)], drill
				if tests {
					q1 := q[k+1]
					if p := simTest + (1-q1)*v[min(k+simHoles+1, n-1)] + q1*((1-finds)*torn+finds*fresh); p < least {
						least, act = p, testThenDrill
					}
				}
				if fresh < least {
					least, act = fresh, freshThenDrill
				}
				next[k] += often[f] * least
				o.best[f][k] = act
			}
		}
		gain, moved := next[0], 0.0
		for k := range next {
			next[k] -= gain
			moved = max(moved, math.Abs(next[k]-v[k]))
		}
		v, next = next, v
		o.perJob = gain
		if moved < 1e-4 {
			break
		}
	}
	return o
}

func (o oracle) policy(e simEdge, _ []LifeDatum, face, _ int) action {
	k := int(math.Round(e.age / testCut))
	return o.best[face][min(k, len(o.best[face])-1)]
}

func inventShops(n int, seed uint64, often []float64) []simShop {
	r := rand.New(rand.NewPCG(seed, 1))
	shops := make([]simShop, n)
	for i := range shops {
		s := simShop{shape: 1.5 + 2.5*r.Float64(), scale: simRated * math.Exp2(2*r.Float64()-1), often: often, seed: r.Uint64()}
		for range simYears * simHeads {
			x, f := r.Float64(), 0
			for ; f < len(often)-1 && x > often[f]; f++ {
				x -= often[f]
			}
			s.faces = append(s.faces, f)
		}
		shops[i] = s
	}
	return shops
}

// simRow is one policy over all shops: cost and holes of every headstock, and
// of those that came after the verdicts had closed three edges in that shop
// (the same headstocks for each policy).
type simRow struct {
	name                             string
	cost, holes, lateCost, lateHoles float64
}

func (r simRow) perHole() float64 { return r.cost / r.holes }
func (r simRow) late() float64    { return r.lateCost / r.lateHoles }

func simulatePolicies(shops []simShop, finds float64) []simRow {
	rows := []simRow{{name: "the verdicts"}, {name: "run until it tears"}, {name: "a fresh edge each year"}, {name: "oracle"}, {name: "oracle without test holes"}, {name: "verdicts, tested past best age"}}
	for _, s := range shops {
		best, blind := newOracle(s.shape, s.scale, s.often, true, finds), newOracle(s.shape, s.scale, s.often, false, 0)
		late := -1
		for i, p := range []func(simEdge, []LifeDatum, int, int) action{verdictPolicy(false), runToTear, freshEachYear, best.policy, blind.policy, verdictPolicy(true)} {
			r := s.run(finds, p)
			if late < 0 {
				late = r.from(3)
			}
			for k, cost := range r.cost {
				rows[i].cost += cost
				rows[i].holes += simHoles
				if k >= late {
					rows[i].lateCost += cost
					rows[i].lateHoles += simHoles
				}
			}
		}
	}
	return rows
}

func simTable(rows []simRow) string {
	var b strings.Builder
	best := rows[3]
	fmt.Fprintf(&b, "%-31s %13s %9s %19s %9s\n", "policy", "cost per hole", "x oracle", "after 3 edges", "x oracle")
	for _, r := range rows {
		fmt.Fprintf(&b, "%-31s %13.3f %9.2f %19.3f %9.2f\n", r.name, r.perHole(), r.perHole()/best.perHole(), r.late(), r.late()/best.late())
	}
	return b.String()
}

const simSeed = 20261125

// The verdicts beat both habits and come within 15 % of the oracle after three
// closed edges. Seeded: the table is the same each time.
func TestTheAdvicePays(t *testing.T) {
	rows := simulatePolicies(inventShops(500, simSeed, allFaces), simFinds[0])
	t.Logf("seed %d\n%s", simSeed, simTable(rows))
	verdicts, tear, yearly, best := rows[0], rows[1], rows[2], rows[3]
	if verdicts.perHole() >= tear.perHole() || verdicts.perHole() >= yearly.perHole() {
		t.Errorf("the verdicts do not beat the habits:\n%s", simTable(rows))
	}
	if verdicts.late() > 1.15*best.late() {
		t.Errorf("after three closed edges the verdicts are not within 15 %% of the oracle:\n%s", simTable(rows))
	}
}

// BenchmarkTheAdvicePays prints the tables: each share of failing edges that a test
// hole may find, in shops with all faces, plain ones and dear ones.
func BenchmarkTheAdvicePays(b *testing.B) {
	number := 500
	if testing.Short() {
		number = 10
	}
	for b.Loop() {
		for _, x := range []struct {
			name  string
			often []float64
		}{{"all faces", allFaces}, {"plain faces (45)", plainFaces}, {"dear faces (300)", dearFaces}} {
			shops := inventShops(number, simSeed, x.often)
			for _, finds := range simFinds {
				b.Logf("%d shops, %d years, seed %d; %s; a test hole finds %.0f %% of failing edges\n%s", number, simYears, simSeed, x.name, 100*finds, simTable(simulatePolicies(shops, finds)))
			}
		}
	}
}
