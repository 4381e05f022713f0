package jobs

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"bookmatch/reports/plain"

	"github.com/google/go-cmp/cmp"
)

func TestNeedReadsAndPrints(t *testing.T) {
	for _, text := range []string{"inlay-rout", "glue-back:cured", "glue-face:handled", "drill:done", "finish-coat:168h", "finish-coat:4.5h"} {
		n, err := ParseNeed(text)
		if err != nil || n.String() != text {
			t.Errorf("%q reads as %v and prints %q", text, err, n.String())
		}
	}
	for _, text := range []string{"", "Inlay", "glue-back:", "glue-back:dry", "glue-back:0h", "glue-back:-4h", "glue-back:4", "glue-back:NaNh", "glue-back:1e9h", "a b"} {
		if n, err := ParseNeed(text); !errors.Is(err, ErrInvalid) {
			t.Errorf("%q reads as %+v, %v", text, n, err)
		}
	}
	for _, c := range []struct {
		need string
		want float64
	}{{"a", 960}, {"a:cured", 960}, {"a:handled", 600}, {"a:done", 0}, {"a:2h", 120}} {
		n, _ := ParseNeed(c.need)
		if got := n.Wait(600, 960); got != c.want {
			t.Errorf("%s waits %v min, want %v", c.need, got, c.want)
		}
	}
}

func TestMarksReadAndPrint(t *testing.T) {
	for _, text := range []string{"", "N D M", "1 K2 T", "N D M R", "1 F T", "Z S", "1 K1 T G", "A"} {
		m, err := ParseMarks(text)
		if err != nil || m.String() != text {
			t.Errorf("%q reads as %v and prints %q", text, err, m.String())
		}
	}
	for _, text := range []string{"X", "K", "K0", "1 R", "n"} {
		if m, err := ParseMarks(text); !errors.Is(err, ErrInvalid) {
			t.Errorf("%q reads as %+v, %v", text, m, err)
		}
	}
}

func TestGates(t *testing.T) {
	for _, g := range Gates() {
		got, err := ParseGate(string(g))
		if err != nil || got != g || ValidName("step", g.Errand()) != nil {
			t.Errorf("%s reads as %s, %v and is opened by %q", g, got, err, g.Errand())
		}
	}
	var nf *NotFoundError
	if _, err := ParseGate("plan-frozn"); !errors.As(err, &nf) || len(nf.Near) == 0 || nf.Near[0] != "plan-frozen" {
		t.Errorf("got %v, want plan-frozen as the nearest", err)
	}
	for _, o := range SeedGraphOperations() {
		if o.Name == "drill" && fmt.Sprint(o.AllGates()) != "[plan-frozen bit-ready]" {
			t.Errorf("gates of drill: %v", o.AllGates())
		}
	}
}

func seedRoute(t *testing.T, name string) Route {
	t.Helper()
	for _, r := range SeedRoutes() {
		if r.Name == name {
			return r
		}
	}
	t.Fatalf("no route %s", name)
	return Route{}
}

// TestGraphRefuses checks what is refused, and that a refused
// change leaves the route as it was.
func TestGraphRefuses(t *testing.T) {
	g := seedRoute(t, "headstock").Steps
	before := fmt.Sprint(g)
	edit := func(step string, changes ...string) error {
		_, err := g.WithNeeds(step, changes)
		return err
	}
	many := Graph{}
	for i := range 201 {
		many = append(many, GraphStep{Name: fmt.Sprintf("s%d", i)})
	}
	window := func(from, to float64) error {
		_, err := g.WithStep(GraphStep{Name: "burn-logo", Window: &Window{from, to}})
		return err
	}
	_, twice := g.WithStep(GraphStep{Name: "drill"})
	_, gone := g.WithoutStep("dril")
	for _, c := range []struct {
		name string
		err  error
		is   error
		says string
	}{
		{"a loop", edit("inlay-draw", "+inlay-cut"), ErrConflict, "inlay-draw needs inlay-cut needs inlay-draw"},
		{"a long loop", edit("thickness-head", "+flush-sand"), ErrConflict, "thickness-head needs flush-sand needs glue-back needs thickness-head"},
		{"an unknown need", edit("inlay-cut", "inlay-drew"), ErrNotFound, `no step "inlay-drew"`},
		{"an unknown step", edit("inlay-cutt", "drill"), ErrNotFound, `no step "inlay-cutt"`},
		{"a need on itself", edit("drill", "+drill"), ErrConflict, "line 14, step drill: drill needs itself"},
		{"a need that is not there taken away", edit("inlay-cut", "-drill"), ErrNotFound, `no need of inlay-cut "drill"`},
		{"an empty change", edit("inlay-cut", "+"), ErrInvalid, "after"},
		{"a quantity below zero", CheckQuantities(map[string]float64{"inlay": -1}), ErrInvalid, "quantity inlay"},
		{"a window upside down", window(48, 4), ErrInvalid, "line 26, step burn-logo: window"},
		{"a window below zero", window(-1, 4), ErrInvalid, "window"},
		{"a name twice", twice, ErrConflict, "has a step drill"},
		{"taking out what is not there", gone, ErrNotFound, `no step "dril"`},
		{"no step", Graph{}.Check(), ErrConflict, "no start"},
		{"no start", Graph{{Name: "a", After: []Need{{Step: "b"}}}, {Name: "b", After: []Need{{Step: "a"}}}}.Check(), ErrConflict, "a needs b needs a"},
		{"over 200 steps", many.Check(), ErrConflict, "201 steps"},
	} {
		if !errors.Is(c.err, c.is) || !strings.Contains(c.err.Error(), c.says) {
			t.Errorf("%s: got %v, want %q", c.name, c.err, c.says)
		}
	}
	var nf *NotFoundError
	if !errors.As(edit("inlay-cut", "inlay-drew"), &nf) || len(nf.Near) == 0 || nf.Near[0] != "inlay-draw" {
		t.Errorf("nearest to inlay-drew: %+v", nf)
	}
	if fmt.Sprint(g) != before {
		t.Errorf("a refused change changed the route")
	}
}

func TestGraphEdits(t *testing.T) {
	g := seedRoute(t, "headstock").Steps
	after := func(step string, changes ...string) string {
		out, err := g.WithNeeds(step, changes)
		if err != nil {
			t.Fatalf("%s %v: %v", step, changes, err)
		}
		i, _ := out.Step(step)
		var text []string
		for _, n := range out[i].After {
			text = append(text, n.String())
		}
		return strings.Join(text, " ")
	}
	for _, c := range []struct {
		step    string
		changes []string
		want    string
	}{
		{"inlay-cut", []string{"choose-veneer"}, "choose-veneer"},
		{"inlay-cut", []string{"choose-veneer", "print-template"}, "choose-veneer print-template"},
		{"inlay-rout", []string{"+glue-back:cured"}, "inlay-cut ease-holes glue-back:cured"},
		{"inlay-rout", []string{"-ease-holes"}, "inlay-cut"},
		{"inlay-rout", []string{"+ease-holes:handled", "-inlay-cut"}, "ease-holes:handled"},
		{"glue-face", []string{"-"}, ""},
	} {
		if got := after(c.step, c.changes...); got != c.want {
			t.Errorf("%s %v: needs %q, want %q", c.step, c.changes, got, c.want)
		}
	}
	out, err := g.WithStep(GraphStep{Name: "burn-logo", Operation: "burn-logo", When: "logo", After: []Need{{Step: "block-sand"}}})
	if err != nil || len(out) != len(g)+1 {
		t.Errorf("a new step: %v", err)
	}
	out, err = g.WithoutStep("drill")
	if err != nil {
		t.Fatal(err)
	}
	i, _ := out.Step("ease-holes")
	if got := out[i].After; len(got) != 1 || got[0].Step != "fit-backing" {
		t.Errorf("ease-holes needs %v once drill is taken out, want fit-backing", got)
	}
}

// TestUnfold takes the steps without a quantity out: 17 steps are left of a
// plain headstock, 30 with 14 inlays and 6 coats, 49 of a neck with 6 coats.
func TestUnfold(t *testing.T) {
	with := func(name string, change map[string]float64) Graph {
		r := seedRoute(t, name)
		for k, v := range change {
			r.Quantities[k] = v
		}
		g := r.Steps.Unfold(r.Quantities)
		if err := g.Loop(); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		return g
	}
	plain := with("headstock", nil)
	for _, c := range []struct {
		g    Graph
		want int
	}{
		{plain, 17},
		{with("headstock", map[string]float64{"inlay": 14, "coats": 6}), 30},
		{with("neck", nil), 49},
	} {
		if len(c.g) != c.want {
			t.Errorf("%d steps, want %d", len(c.g), c.want)
		}
	}
	i, _ := plain.Step("fit-tuners")
	var needs []string
	for _, n := range plain[i].After {
		needs = append(needs, n.String())
	}
	// The needs of the inlay steps that fall away come down to the tuners.
	if diff := cmp.Diff([]string{"choose-veneer", "freeze-plan", "ease-holes", "pilot-holes", "order-parts:cured"}, needs); diff != "" {
		t.Errorf("needs of fit-tuners: %s", diff)
	}
	neck := with("neck", nil)
	i, _ = neck.Step("rub-out")
	if got := neck[i].After[0].String(); got != "finish-coat#6:168h" {
		t.Errorf("rub-out needs %s", got)
	}
	i, _ = neck.Step("finish-coat#4")
	if got := neck[i].After[0].String(); got != "finish-coat#3:cured" {
		t.Errorf("the fourth coat needs %s", got)
	}
}

func TestLongestPath(t *testing.T) {
	g := Graph{
		{Name: "order"}, {Name: "cut"}, {Name: "glue", After: []Need{{Step: "cut"}}},
		{Name: "sand", After: []Need{{Step: "glue"}}}, {Name: "fit", After: []Need{{Step: "sand"}, {Step: "order"}}},
	}
	minutes := map[string]float64{"order": 5, "cut": 30, "glue": 20, "sand": 10, "fit": 15}
	waits := map[string]float64{"glue": 600, "order": 100}
	path, total := g.LongestPath(func(s GraphStep) float64 { return minutes[s.Name] }, func(n Need, on GraphStep) float64 { return waits[on.Name] })
	if got := strings.Join(path, " "); got != "cut glue sand fit" || total != 675 {
		t.Errorf("path %s, %v min", got, total)
	}
}

// TestGraphSeeds checks the seeds against themselves: every step has an
// operation, every route can be worked, and what can hurt has a caution.
func TestGraphSeeds(t *testing.T) {
	ops := map[string]GraphOperation{}
	for _, o := range SeedGraphOperations() {
		if _, twice := ops[o.Name]; twice {
			t.Errorf("%s is there twice", o.Name)
		}
		ops[o.Name] = o
		risk := o.Marks.Machine || o.Marks.Noisy || o.Marks.Dusty || o.Marks.Wet || o.Place == PlaceForce
		if texts := o.CautionTexts(); risk && len(texts) == 0 || len(texts) > 2 {
			t.Errorf("%s has %d cautions", o.Name, len(texts))
		}
		for _, text := range o.Cautions {
			// Two lines on a screen of 60 columns, each behind its mark.
			if text == "" || strings.Contains(text, ";") || len(plain.Lines(text, 57)) > 2 {
				t.Errorf("%s: caution %q", o.Name, text)
			}
		}
		if o.CuredH < o.HandledH || o.Title == "" || o.Group == "" || o.SetupMin+o.RunMin <= 0 {
			t.Errorf("%s: %+v", o.Name, o)
		}
		o.Cautions = nil
		if texts := o.CautionTexts(); risk && len(texts) == 0 {
			t.Errorf("%s is silent without its own caution", o.Name)
		}
	}
	for _, r := range SeedRoutes() {
		if err := r.Steps.Check(); err != nil {
			t.Errorf("%s: %v", r.Name, err)
		}
		for _, s := range r.Steps {
			o, ok := ops[s.Operation]
			if !ok {
				t.Errorf("%s: no operation %s", r.Name, s.Operation)
			}
			for _, quantity := range []string{s.When, s.Repeat, o.Per} {
				if _, ok := r.Quantities[quantity]; quantity != "" && !ok {
					t.Errorf("%s: %s has no quantity %s", r.Name, s.Name, quantity)
				}
			}
		}
	}
}
