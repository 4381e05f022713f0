package layout

import (
	"fmt"
	"strconv"
	"strings"
)

// Answers are what a spec is started from. Lengths are in mm, measured on the parts in
// hand. Zero is "not said": Begin then writes a guess and says that it is one.
type Answers struct {
	Title          string
	Strings        int
	Bass, Treble   int       // posts on each side
	GaugesIn       []float64 // from the lowest string
	UsualGauges    bool      // the inner ones are those of a usual set
	ScaleMM        float64
	NutMM          float64      // width of the nut
	SpanMM         float64      // outer string centres, else from the nut's width
	Widths         [][2]float64 // y from the fretboard end, whole width there
	File           string       // an SVG drawing instead of widths
	HoleMM, PostMM float64
	FlangeMM       float64
	ClampLeastMM   float64
	ClampMostMM    float64
	FirstMM        float64
	PitchMM        float64
	ThicknessMM    float64 // of the finished head
}

// Guesses of a spec that was started. They are common practice without a source, and
// say so in the file.
const (
	guessEdgeMM  = 3.5 // outer string to the edge of the nut
	guessFirstMM = 45.0
	guessPitchMM = 25.0
	guessPostMM  = 6.0
)

// gaugeLine is the line of the string gauges: those given, else some in a remark.
func gaugeLine(a Answers) string {
	if len(a.GaugesIn) == 0 {
		return fmt.Sprintf("# gauges_in = %s  # from the lowest string, inches\n", someGauges(a.Strings))
	}
	remark := "from the lowest string, inches"
	if a.UsualGauges {
		remark += ": a usual set, see your packet"
	}
	list := make([]string, len(a.GaugesIn))
	for i, g := range a.GaugesIn {
		list[i] = strconv.FormatFloat(g, 'f', -1, 64)
	}
	return fmt.Sprintf("gauges_in = [%s]  # %s\n", strings.Join(list, ", "), remark)
}

// Begin writes a spec with a remark behind each value: where it comes from, or that
// it is a guess. What is not known is left out, and the plan says what it could not
// check. The text reads as a spec; guessed names the keys that are guesses.
func Begin(a Answers) (text string, guessed []string) {
	var b strings.Builder
	put := func(key string, v, guess float64, remark string) {
		if v <= 0 {
			v, remark = guess, "a guess: measure yours"
			guessed = append(guessed, key)
		}
		if v > 0 {
			fmt.Fprintf(&b, "%-25s # %s\n", key+" = "+tomlNumber(v), remark)
		}
	}
	known := func(key string, v float64, remark string) {
		if v > 0 {
			put(key, v, 0, remark)
		}
	}
	fmt.Fprintf(&b, "# %s. All lengths are millimetres.\n", strings.Join(strings.Fields(a.Title), " "))
	b.WriteString("# Straight string pull: each string runs from the nut to its post without a kink.\n")
	fmt.Fprintf(&b, "strings = %d\n", a.Strings)
	b.WriteString("shape = \"own design\"      # or \"licensed\", \"asked\": shapes can be registered\n")
	b.WriteString("\n[nut]\n")
	span, where := a.SpanMM, "centres of the outer strings"
	if span <= 0 && a.NutMM > 2*guessEdgeMM {
		span, where = a.NutMM-2*guessEdgeMM, fmt.Sprintf("nut %s wide, %s mm to each edge: a guess", tomlNumber(a.NutMM), tomlNumber(guessEdgeMM))
		guessed = append(guessed, "outer_span_mm")
	}
	known("outer_span_mm", span, where)
	b.WriteString(gaugeLine(a))
	if a.UsualGauges {
		guessed = append(guessed, "gauges_in")
	}
	b.WriteString("# thickness_mm = 5.0      # of the nut\n")
	if a.ScaleMM > 0 {
		b.WriteString("\n[pull]\n")
		known("scale_mm", a.ScaleMM, "scale length, kept with the plan")
	}
	b.WriteString("\n[posts]\n")
	fmt.Fprintf(&b, "%-25s # on the bass side\n", fmt.Sprintf("bass = %d", a.Bass))
	fmt.Fprintf(&b, "%-25s # on the treble side\n", fmt.Sprintf("treble = %d", a.Treble))
	if a.Bass > 0 && a.Treble > 0 {
		b.WriteString("mirror = true             # the shorter row follows the longer one\n")
	}
	put("diameter_mm", a.PostMM, guessPostMM, "the post where the string winds")
	put("first_mm", a.FirstMM, guessFirstMM, "first post from the fretboard end")
	put("pitch_mm", a.PitchMM, guessPitchMM, "post to post")
	b.WriteString("\n[edge]                    # post centre to the nearest edge\n")
	b.WriteString("# min_mm = 11.0           # give these three for the modes that follow the edge\n# target_mm = 13.0\n# max_mm = 16.0\n")
	b.WriteString("\n[tuner]\n")
	either := func(key string, v, such float64, remark string) {
		if v > 0 {
			put(key, v, 0, remark)
			return
		}
		fmt.Fprintf(&b, "# %-23s # %s\n", key+" = "+tomlNumber(such), remark)
	}
	either("flange_mm", a.FlangeMM, 14, "ferrule or washer on the face")
	either("clamp_least_mm", a.ClampLeastMM, 11, "what the tuners clamp, by their maker's drawing")
	either("clamp_most_mm", a.ClampMostMM, 16, "and at most")
	b.WriteString("[[tuner.bore]]            # steps of the hole; without a depth it goes through\n")
	known("diameter_mm", a.HoleMM, "by the tuner's drawing; try it in an offcut")
	b.WriteString("from = \"face\"\n")
	b.WriteString("\n[stack]\n")
	either("core_mm", a.ThicknessMM, 13, "finished head, without what is glued on")
	b.WriteString("# face_veneers_mm = [0.6] # from the core out\n# back_veneers_mm = [1.3]\n")
	b.WriteString("\n[outline]                 # x 0 on the centre line, y 0 at the fretboard end\n")
	switch {
	case a.File != "":
		fmt.Fprintf(&b, "file = %q\n", a.File)
	case len(a.Widths) > 0:
		b.WriteString("join = \"straight\"         # or \"smooth\"\nstations = [              # y, half of the width there\n")
		for _, w := range a.Widths {
			fmt.Fprintf(&b, "  [%s, %s],\n", tomlNumber(w[0]), tomlNumber(w[1]/2))
		}
		b.WriteString("]\n")
	}
	return b.String(), guessed
}

// someGauges are the gauges of so many strings, to be written over.
func someGauges(n int) string {
	some := []string{"0.046", "0.036", "0.026", "0.017", "0.013", "0.010"}
	out := make([]string, max(0, n))
	for i := range out {
		out[i] = some[min(i*len(some)/max(1, n), len(some)-1)]
	}
	return "[" + strings.Join(out, ", ") + "]"
}

// tomlNumber writes a length with a point, as TOML wants a decimal.
func tomlNumber(v float64) string {
	s := trimMM(v)
	if !strings.Contains(s, ".") {
		s += ".0"
	}
	return s
}
