package workshop

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"bookmatch/jobs"
	"bookmatch/layout"
)

// LayoutBeginAsk asks for a spec to begin with. Lengths are in mm.
type LayoutBeginAsk struct {
	Asked
	Neck        string   `json:"neck" word:"NECK"`
	Strings     int      `json:"strings,omitempty" flag:"strings" arg:"N" help:"number of strings; 6 if not given"`
	Posts       string   `json:"posts,omitempty" flag:"posts" arg:"BASS+TREBLE" help:"posts on each side, such as 6+0 or 3+3"`
	NutMM       float64  `json:"nut_mm,omitempty" flag:"nut-width" arg:"MM" unit:"mm" help:"width of the nut"`
	SpanMM      float64  `json:"span_mm,omitempty" flag:"string-span" arg:"MM" unit:"mm" help:"outer string centres at the nut, where you know them"`
	Gauges      string   `json:"gauges,omitempty" flag:"gauges" arg:"SET" help:"SET of string gauges: 10-46, or each 10-13-17-26-36-46"`
	ScaleMM     float64  `json:"scale_mm,omitempty" flag:"scale" arg:"MM" unit:"mm" help:"scale length"`
	Widths      []string `json:"widths,omitempty" flag:"width" arg:"Y=WIDTH" help:"width of the head at a distance, such as 30mm=76mm"`
	Outline     string   `json:"outline,omitempty" flag:"outline" arg:"FILE" help:"an SVG drawing of the head instead of widths"`
	HoleMM      float64  `json:"hole_mm,omitempty" flag:"hole" arg:"MM" unit:"mm" help:"hole that the tuner wants"`
	PostMM      float64  `json:"post_mm,omitempty" flag:"post" arg:"MM" unit:"mm" help:"post where the string winds"`
	FlangeMM    float64  `json:"flange_mm,omitempty" flag:"flange" arg:"MM" unit:"mm" help:"ferrule or washer on the face"`
	Clamps      string   `json:"clamps,omitempty" flag:"clamp-range" arg:"LOW-HIGH" help:"thickness that the tuners clamp, such as 11-16mm"`
	FirstMM     float64  `json:"first_mm,omitempty" flag:"first" arg:"MM" unit:"mm" help:"first post from the fretboard end"`
	PitchMM     float64  `json:"pitch_mm,omitempty" flag:"pitch" arg:"MM" unit:"mm" help:"post to post"`
	ThicknessMM float64  `json:"thickness_mm,omitempty" flag:"thickness" arg:"MM" unit:"mm" help:"thickness of the finished head"`
	Out         string   `json:"out,omitempty" flag:"out" arg:"FILE" help:"file that ends in .toml, else the screen"`
	Force       bool     `json:"force,omitempty" flag:"force" help:"replace a file that exists"`
}

// BeginResult is a spec to begin with.
type BeginResult struct {
	Meta
	Neck    string   `json:"neck"`
	Name    string   `json:"name"`
	Text    string   `json:"text"`
	Guessed []string `json:"guessed"` // keys whose values nobody gave
	Out     string   `json:"out,omitempty"`
}

// LayoutBegin writes a spec from a few answers.
var LayoutBegin = Define("layout begin", "NOT WRITTEN", Reads, (*Book).layoutBegin)

func (b *Book) layoutBegin(ask *LayoutBeginAsk, res *BeginResult) error {
	n, err := b.FindNeck(ask.Neck)
	if err != nil {
		return err
	}
	if missing := ask.Missing(); len(missing) > 0 {
		return &jobs.Refusal{Code: "usage", Class: jobs.Invalid, Why: "not said: " + strings.Join(missing, ", "),
			Type: []string{fmt.Sprintf("layout begin %s --posts 3+3 --nut-width 42mm --hole 10mm --width 0=43mm --width 30=76mm --width 160=60mm --out %s.toml", n.Name(), n.Name())}}
	}
	a := layout.Answers{Title: cmp.Or(n.Title, n.Name()), Strings: cmp.Or(ask.Strings, 6), ScaleMM: ask.ScaleMM, NutMM: ask.NutMM, SpanMM: ask.SpanMM, File: ask.Outline,
		HoleMM: ask.HoleMM, PostMM: ask.PostMM, FlangeMM: ask.FlangeMM, FirstMM: ask.FirstMM, PitchMM: ask.PitchMM, ThicknessMM: cmp.Or(ask.ThicknessMM, n.HeadMM)}
	if a.Bass, a.Treble, err = ask.posts(a.Strings); err != nil {
		return err
	}
	if ask.Gauges != "" {
		if a.GaugesIn, a.UsualGauges, err = jobs.ParseGauges("gauges", ask.Gauges, a.Strings); err != nil {
			return err
		}
	}
	if a.Widths, err = b.widths(ask.Widths); err != nil {
		return err
	}
	if ask.Clamps != "" {
		low, high, ok := strings.Cut(ask.Clamps, "-")
		if a.ClampMostMM, err = b.length("clamp-range", high); err == nil && ok {
			if jobs.IsBare(low) { // 11-16mm: the unit is behind the last
				low += strings.TrimLeft(high, "0123456789., ")
			}
			a.ClampLeastMM, err = b.length("clamp-range", low)
		}
		if err != nil || !ok {
			return &jobs.FieldError{Field: "clamp-range", Value: ask.Clamps, Want: "the least and the most, such as 11-16mm"}
		}
	}
	res.Neck, res.Name, res.Out = n.Code, n.Name(), ask.Out
	res.Text, res.Guessed = layout.Begin(a)
	if _, err := layout.ReadSpec([]byte(res.Text), func(string) ([]byte, error) { return []byte(wholeDrawing), nil }); err != nil {
		return specRefusal("these answers", err)
	}
	return nil
}

// wholeDrawing takes the place of a drawing that is read where the spec is.
const wholeDrawing = `<svg xmlns="http://www.w3.org/2000/svg" width="80mm" height="200mm" viewBox="0 0 80 200"><path d="M18 200 L0 170 L10 0 L70 0 L80 170 L62 200 Z"/></svg>`

// Missing names what has to be said and was not.
func (a *LayoutBeginAsk) Missing() (out []string) {
	for _, x := range []struct {
		flag string
		said bool
	}{{"--posts", a.Posts != ""}, {"--nut-width or --string-span", a.NutMM > 0 || a.SpanMM > 0}, {"--hole", a.HoleMM > 0}, {"--width or --outline", len(a.Widths) > 0 || a.Outline != ""}} {
		if !x.said {
			out = append(out, x.flag)
		}
	}
	return out
}

// posts reads "6+0".
func (a *LayoutBeginAsk) posts(all int) (bass, treble int, err error) {
	left, right, ok := strings.Cut(a.Posts, "+")
	bass, errA := strconv.Atoi(strings.TrimSpace(left))
	treble, errB := strconv.Atoi(strings.TrimSpace(right))
	if !ok || errA != nil || errB != nil || bass < 0 || treble < 0 || bass+treble != all {
		return 0, 0, &jobs.FieldError{Field: "posts", Value: a.Posts, Want: fmt.Sprintf("the posts on the bass side and on the treble side, %d in all, such as %d+0", all, all)}
	}
	return bass, treble, nil
}

// widths reads "27=78mm" words, sorted from the fretboard end.
func (b *Book) widths(list []string) (out [][2]float64, err error) {
	for _, s := range list {
		y, w, ok := strings.Cut(s, "=")
		var x [2]float64
		if ok && strings.Trim(y, ` 0.,minch"`) == "" && strings.Contains(y, "0") {
			y = "0"
		}
		if ok && y != "0" {
			x[0], err = b.length("width", y)
		}
		if ok && err == nil {
			x[1], err = b.length("width", w)
		}
		if !ok || err != nil {
			return nil, &jobs.FieldError{Field: "width", Value: s, Want: "a distance from the fretboard end and the width there, such as 30mm=76mm"}
		}
		out = append(out, x)
	}
	slices.SortFunc(out, func(a, b [2]float64) int { return cmp.Compare(a[0], b[0]) })
	return out, nil
}

// length reads a length. A shop in inches has to say which unit it means.
func (b *Book) length(field, s string) (float64, error) {
	if b.Shop.Units == jobs.Inches && jobs.IsBare(s) {
		return 0, &jobs.FieldError{Field: field, Value: s, Want: "the unit as well, such as " + strings.TrimSpace(s) + "in"}
	}
	return jobs.ParseLength(field, s)
}
