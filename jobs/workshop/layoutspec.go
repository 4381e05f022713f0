package workshop

import (
	"errors"
	"fmt"
	"path/filepath"

	"bookmatch/jobs"
	"bookmatch/layout"
)

// specLimit is the most that is read of a spec and of its drawing, in bytes.
const specLimit = 1 << 20

// SpecAsk names the spec of a layout: a file, else the one that the neck's plan
// was solved from.
type SpecAsk struct {
	SpecFile string `json:"spec_file,omitempty" flag:"spec" arg:"FILE" help:"the spec in TOML, else the one last solved"`
	// Spec and Outline are the texts of the spec and of the drawing it names.
	Spec    *Document `json:"spec,omitempty"`
	Outline *Document `json:"outline,omitempty"`
}

// specWords gives the flag of the spec as it was typed, with a blank before it.
func (a *SpecAsk) specWords() string {
	if a.SpecFile == "" {
		return ""
	}
	return " --spec " + a.SpecFile
}

// Load reads the spec that is named and the drawing that it names, from the folder
// of the spec.
func (a *SpecAsk) Load(l Loader) error {
	if a.SpecFile == "" {
		return nil
	}
	raw, err := l.File(a.SpecFile, specLimit)
	if err != nil {
		return err
	}
	a.Spec = &Document{Name: filepath.Base(a.SpecFile), Text: string(raw)}
	_, err = layout.ReadSpec(raw, func(name string) ([]byte, error) {
		path := name
		if !filepath.IsAbs(path) {
			path = filepath.Join(filepath.Dir(a.SpecFile), path)
		}
		drawing, err := l.File(path, specLimit)
		a.Outline = &Document{Name: filepath.Base(name), Text: string(drawing)}
		return drawing, err
	})
	a.SpecFile = a.Spec.Name
	return specRefusal(a.Spec.Name, err)
}

// specRefusal turns a layout's complaint about its input into a refusal.
func specRefusal(where string, err error) error {
	var bad *layout.SpecError
	if errors.As(err, &bad) {
		var all layout.SpecErrors
		if errors.As(err, &all) {
			where = fmt.Sprintf("%s, %d places", where, len(all))
		}
		return &jobs.Refusal{Code: "spec", Class: jobs.Invalid, Why: fmt.Sprintf("%s: %v", where, err), Type: []string{"layout begin --help"}}
	}
	return err
}

// specText is a spec with the text that it was read from.
type specText struct {
	spec layout.Spec
	text string
	name string // of the file, "" where the plan's own text serves
	mode string // of the plan it comes from
}

// specOf gives the spec of an ask, or the one that the neck's plan was solved
// from. The thicknesses of named pieces are those of the stock.
func (b *Book) specOf(a SpecAsk, neck *jobs.Neck) (specText, error) {
	s, err := b.rawSpec(a, neck)
	if err != nil {
		return s, err
	}
	s.spec, err = b.WithPieces(s.spec)
	return s, err
}

func (b *Book) rawSpec(a SpecAsk, neck *jobs.Neck) (specText, error) {
	if a.Spec != nil {
		s := specText{text: a.Spec.Text, name: a.Spec.Name}
		var err error
		s.spec, err = layout.ReadSpec([]byte(a.Spec.Text), func(string) ([]byte, error) {
			if a.Outline == nil {
				return nil, fmt.Errorf("the drawing of the outline was not given")
			}
			return []byte(a.Outline.Text), nil
		})
		return s, specRefusal(a.Spec.Name, err)
	}
	if neck == nil {
		return specText{}, &jobs.Refusal{Code: "usage", Class: jobs.Invalid, Why: "a neck with a plan, or a spec, is needed", Type: []string{"layout compare --spec head.toml"}}
	}
	p, ok, err := b.CurrentPlan(neck.Code)
	if err != nil {
		return specText{}, err
	}
	if !ok {
		return specText{}, &jobs.Refusal{Code: "no-plan", Class: jobs.Invalid, Why: fmt.Sprintf("neck %s has no plan yet", neck.Name()), Type: []string{"layout solve " + neck.Name() + " --spec head.toml --mode balanced"}}
	}
	solved, err := SolvedOf(p)
	return specText{solved.Spec, p.Spec, p.File, p.Mode}, err
}
