package workshop

import (
	"slices"
	"strings"

	"bookmatch/jobs"
)

// HoleAsk describes one hole: what a use, a test hole and a verdict have in
// common.
type HoleAsk struct {
	DepthMM     float64  `json:"depth_mm,omitempty" flag:"depth" arg:"MM" unit:"mm" help:"hole depth in MM"`
	Wood        string   `json:"wood,omitempty" flag:"wood" arg:"WOOD" help:"WOOD drilled through"`
	Layers      []string `json:"layers,omitempty" flag:"layer" arg:"WOOD:MM" help:"WOOD:MM, one for each wood, in place of --wood"`
	Backing     string   `json:"backing,omitempty" flag:"backing" help:"tight, loose or none" of:"tight loose none"`
	BackingWood string   `json:"backing_wood,omitempty" flag:"backing-wood" arg:"WOOD" help:"WOOD of the backing"`
	BackingMM   *float64 `json:"backing_mm,omitempty" flag:"backing-depth" arg:"MM" help:"MM that each hole runs into the backing"`
	GlueLines   int      `json:"glue_lines,omitempty" flag:"glue-lines" help:"cured glue lines drilled through"`
}

// described says that anything of the hole was typed.
func (h HoleAsk) described() bool {
	return h.DepthMM != 0 || h.Wood != "" || len(h.Layers) > 0 || h.BackingWood != "" || h.BackingMM != nil || h.GlueLines != 0
}

// hole puts the layers, the backing and the glue lines of a hole into u. A neck
// gives the wood and the depth that were not typed. assumed names what was taken
// for granted: "hard maple, 15 mm deep".
func (b *Book) hole(h HoleAsk, u *jobs.BitUse, neck *jobs.Neck) (assumed []string, err error) {
	table, err := b.woodTable()
	if err != nil {
		return nil, err
	}
	if h.DepthMM != 0 {
		if _, err := jobs.ParseDepth(jobs.NumberText(h.DepthMM)); err != nil {
			return nil, err
		}
	}
	if len(h.Layers) > 0 {
		err = layersOf(h, u, table)
	} else {
		assumed, err = b.oneLayer(h, u, neck, table)
	}
	if err != nil {
		return nil, err
	}
	return assumed, backingOf(h, u, table)
}

// layersOf reads WOOD:MM words.
func layersOf(h HoleAsk, u *jobs.BitUse, table jobs.WoodTable) error {
	if h.Wood != "" {
		return &jobs.Refusal{Code: "usage", Class: jobs.Invalid, Why: "--layer names the woods, so --wood says it twice", Type: []string{"bit use S10-1 --holes 6 --layer ebony:0.6 --layer hard-maple:15"}}
	}
	for _, l := range h.Layers {
		name, mm, _ := strings.Cut(l, ":")
		wood, err := table.Find(name)
		if err != nil {
			return err
		}
		d, err := jobs.ParseNumber("layer", mm, 0.05, 300)
		if err != nil {
			return &jobs.FieldError{Field: "layer", Value: l, Want: "WOOD:MM such as ebony:0.6"}
		}
		u.Layers = append(u.Layers, jobs.Layer{Wood: wood.Name, DepthMM: d})
		u.DepthMM += d
	}
	return nil
}

// oneLayer takes wood and depth as typed, else of the neck, else the usual ones.
func (b *Book) oneLayer(h HoleAsk, u *jobs.BitUse, neck *jobs.Neck, table jobs.WoodTable) (assumed []string, err error) {
	layer := jobs.Layer{Wood: h.Wood, DepthMM: h.DepthMM}
	if neck != nil && (layer.Wood == "" || layer.DepthMM == 0) {
		cut, err := b.CutOf(*neck, jobs.Operation{Drills: jobs.DrillsPosts}, FinishOptions{DepthMM: h.DepthMM})
		if err != nil {
			return nil, err
		}
		layer.DepthMM = cut.DepthMM
		if layer.Wood == "" {
			layer.Wood = neck.Wood
		}
	}
	if layer.Wood == "" {
		layer.Wood = "hard-maple"
		assumed = append(assumed, "hard maple")
	}
	if layer.DepthMM == 0 {
		layer.DepthMM, u.Estimated = b.Shop.HoleDepthMM, true
		assumed = append(assumed, jobs.FormatMM(layer.DepthMM)+" mm deep")
	}
	wood, err := table.Find(layer.Wood)
	if err != nil {
		return nil, err
	}
	layer.Wood = wood.Name
	u.Layers, u.DepthMM = []jobs.Layer{layer}, layer.DepthMM
	return assumed, nil
}

// backingOf reads the backing and the glue lines.
func backingOf(h HoleAsk, u *jobs.BitUse, table jobs.WoodTable) error {
	if h.Backing != "" && !slices.Contains(jobs.BackingStates(), h.Backing) {
		return &jobs.FieldError{Field: "backing", Value: h.Backing, Want: "tight, loose or none, such as tight"}
	}
	u.Backing.State, u.GlueLines = h.Backing, h.GlueLines
	if h.BackingWood != "" {
		wood, err := table.Find(h.BackingWood)
		if err != nil {
			return err
		}
		u.Backing.Wood = wood.Name
	}
	if h.BackingMM != nil {
		if *h.BackingMM < 0 || *h.BackingMM > 100 {
			return &jobs.FieldError{Field: "backing-depth", Value: jobs.NumberText(*h.BackingMM), Want: "millimetres from 0 to 100, such as 4"}
		}
		u.Backing.DepthMM = *h.BackingMM
	}
	if u.Backing.Wood != "" && u.Backing.DepthMM == 0 && u.Backing.State != jobs.BackingNone {
		u.Backing.DepthMM = jobs.BackingCutMM
	}
	if u.Backing.DepthMM > 0 && u.Backing.Wood == "" {
		u.Backing.Wood = u.Layers[len(u.Layers)-1].Wood
	}
	return nil
}

// RimAsk is what was seen and heard at a hole. Nothing typed means that nobody
// looked.
type RimAsk struct {
	Grade    string `json:"grade,omitempty" flag:"grade" help:"entry rim: 0 clean, 1 fuzz, 2 hidden, 3 torn" of:"clean fuzz hidden torn"`
	GradeOut string `json:"grade_out,omitempty" flag:"grade-out" help:"exit rim; it counts over a tight backing only"`
	Signs    string `json:"signs,omitempty" flag:"signs" help:"seen or heard, comma between: fuzz, burnish, squeal, burn, ..."`
}

func (r RimAsk) seen() bool { return r.Grade != "" || r.GradeOut != "" || r.Signs != "" }

// rims reads the grades and the signs into u.
func (r RimAsk) rims(u *jobs.BitUse) (err error) {
	if r.Grade != "" {
		if u.GradeIn, err = ParseGrade(r.Grade); err != nil {
			return err
		}
	}
	if r.GradeOut != "" {
		if u.GradeOut, err = ParseGrade(r.GradeOut); err != nil {
			return err
		}
	}
	u.Signs = strings.FieldsFunc(r.Signs, func(c rune) bool { return c == ',' || c == ' ' })
	return nil
}

// warnAssumed warns about what was taken for granted.
func (b *Book) warnAssumed(what []string) {
	if len(what) > 0 {
		b.Warn(jobs.Warningf("assumed", "Assumed: %s.", strings.Join(what, ", ")))
	}
}
