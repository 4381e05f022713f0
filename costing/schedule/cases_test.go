package schedule

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// The form of a file of cases. Times are minutes from now. The points and the
// plans of the project's own file were found by a search over all sequences
// that shares no code with this package.
type caseFile []struct {
	Case    string `json:"case"`
	Note    string `json:"note"`
	Evening struct {
		Minutes      int          `json:"minutes"`
		NoiseUntil   int          `json:"noise_until"`
		MachineUntil *int         `json:"machine_until"`
		ClampSets    int          `json:"clamp_sets"`
		DustFreeRoom bool         `json:"dust_free_room"`
		Unlogged     float64      `json:"unlogged"`
		EveningMin   float64      `json:"evening_min"`
		Later        [][2]float64 `json:"later"`
	} `json:"evening"`
	Necks []struct {
		Neck   string     `json:"neck"`
		Weight int        `json:"weight"`
		Ops    []caseStep `json:"ops"`
	} `json:"necks"`
	Expect struct {
		Points       int      `json:"points"`
		FillerPoints int      `json:"filler_points"`
		Plan         []string `json:"plan"`
		Sessions     int      `json:"sessions"`
	} `json:"expect"`
}

type caseStep struct {
	Name      string   `json:"name"`
	Operation string   `json:"operation"`
	DoneMin   *float64 `json:"done_min"`
	Needs     []struct {
		Op      string  `json:"op"`
		WaitMin float64 `json:"wait_min"`
	} `json:"needs"`
	Place        string  `json:"place"`
	Marks        string  `json:"marks"`
	PlanSetupMin int     `json:"plan_setup_min"`
	PlanRunMin   int     `json:"plan_run_min"`
	MeanSetupMin float64 `json:"mean_setup_min"`
	MeanRunMin   float64 `json:"mean_run_min"`
	Left         float64 `json:"left"`
	HandledMin   float64 `json:"handled_min"`
	CuredMin     float64 `json:"cured_min"`
}

func readCases(t testing.TB) caseFile {
	t.Helper()
	name := os.Getenv("BOOKMATCH_CASES")
	if name == "" {
		name = filepath.Join("..", "..", "testdata", "schedule", "cases.json")
	}
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	var out caseFile
	if err := json.Unmarshal(text, &out); err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	return out
}

// caseMarks reads the letters of a case: K and a digit are clamp sets, the
// letters of gates, temperature and daylight mean nothing to the search.
func caseMarks(text string) (m Marks, clamps int) {
	letters := map[rune]Marks{'N': Noisy, 'D': Dusty, 'M': Machine, '1': NoStop, 'R': Resumable, 'F': Wet, 'Z': IsErrand, 'H': NeedsParts}
	afterK := false
	for _, r := range text {
		if afterK {
			clamps = int(r - '0')
		} else {
			m |= letters[r]
		}
		afterK = r == 'K'
	}
	return m, clamps
}

// situations turns a file into situations.
func (f caseFile) situations(t testing.TB) []Situation {
	t.Helper()
	places := map[string]Place{"off": Off, "light": Light, "force": Force}
	var out []Situation
	for _, c := range f {
		e := c.Evening
		s := Situation{Evening: Evening{Minutes: e.Minutes, NoiseUntil: e.NoiseUntil, MachinesUntil: e.Minutes, ClampSets: e.ClampSets, DustFreeRoom: e.DustFreeRoom, Unlogged: e.Unlogged, UsualMin: e.EveningMin}}
		if e.MachineUntil != nil {
			s.Evening.MachinesUntil = *e.MachineUntil
		}
		for _, w := range e.Later {
			s.Evening.Later = append(s.Evening.Later, Window{w[0], w[1]})
		}
		for _, n := range c.Necks {
			neck := Neck{Code: n.Neck, Weight: n.Weight}
			index := map[string]int{}
			for i, o := range n.Ops {
				index[o.Name] = i
			}
			for _, o := range n.Ops {
				st := Step{Name: o.Name, Operation: o.Operation, Place: places[o.Place], SafeSetupMin: o.PlanSetupMin, SafeRunMin: o.PlanRunMin, MeanSetupMin: o.MeanSetupMin, MeanRunMin: o.MeanRunMin, Left: o.Left, HandledMin: o.HandledMin, CuredMin: o.CuredMin}
				st.Marks, st.Clamps = caseMarks(o.Marks)
				if o.DoneMin != nil {
					st.Done, st.DoneMin = true, *o.DoneMin
				}
				for _, nd := range o.Needs {
					i, ok := index[nd.Op]
					if !ok {
						t.Fatalf("%s: %s needs %s, which is not there", c.Case, o.Name, nd.Op)
					}
					st.Needs = append(st.Needs, Need{i, nd.WaitMin})
				}
				neck.Steps = append(neck.Steps, st)
			}
			s.Necks = append(s.Necks, neck)
		}
		out = append(out, s)
	}
	return out
}

// planText writes a plan as the cases do.
func planText(p Proposal) []string {
	var out []string
	for _, l := range p.Lines {
		part := ""
		if l.Share < 1 {
			part = fmt.Sprintf("part %.2f ", l.Share)
		}
		out = append(out, fmt.Sprintf("%s %s %s%d-%d", l.Neck, l.Step, part, l.FromMin, l.ToMin))
	}
	return out
}

func TestTonightCases(t *testing.T) {
	f := readCases(t)
	for i, s := range f.situations(t) {
		c := f[i]
		t.Run(c.Case, func(t *testing.T) {
			p := Propose(s)
			if p.Points != c.Expect.Points {
				t.Errorf("points %d, want %d", p.Points, c.Expect.Points)
			}
			if p.FillerPoints != c.Expect.FillerPoints {
				t.Errorf("filler points %d, want %d", p.FillerPoints, c.Expect.FillerPoints)
			}
			if p.Sessions != c.Expect.Sessions {
				t.Errorf("%d sessions, want %d", p.Sessions, c.Expect.Sessions)
			}
			if got, want := strings.Join(planText(p), "\n"), strings.Join(c.Expect.Plan, "\n"); got != want {
				t.Errorf("plan\n%s\nwant\n%s", got, want)
			}
			t.Logf("%d nodes, gap %g, waiting %+v", p.Nodes, p.Gap, p.Waiting)
		})
	}
	t.Run("A10 lengths of evenings", checkLengths)
	t.Run("A10 remaining evenings of the seeds", checkSeeds)
}
