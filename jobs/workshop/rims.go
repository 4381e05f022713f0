package workshop

import (
	"fmt"
	"strings"

	"bookmatch/jobs"
)

// RimTale is what a graded rim did to the bit that drilled it.
type RimTale struct {
	Bit   string `json:"bit"`
	Neck  string `json:"neck"`
	Grade int    `json:"grade"`
	// Says is clean, normal, dull or not counted. Text says it in a sentence, Type
	// what to type then.
	Says string   `json:"says"`
	Text string   `json:"text"`
	Type []string `json:"type,omitempty"`
}

// rimTales says of each use with a graded rim what it did to the bit.
func (b *Book) rimTales(uses []jobs.BitUse) ([]RimTale, error) {
	table, err := b.woodTable()
	if err != nil {
		return nil, err
	}
	var out []RimTale
	for _, u := range uses {
		grade, wood := u.GradeIn, ""
		if len(u.Layers) > 0 {
			wood = u.Layers[0].Wood
		}
		if grade == nil && u.GradeOut != nil {
			grade, wood = u.GradeOut, u.Layers[len(u.Layers)-1].Wood
		}
		if grade == nil {
			continue
		}
		t := RimTale{Bit: u.Bit, Neck: b.NameOf(u.Neck), Grade: *grade, Says: "clean", Text: "The rim is clean."}
		switch tale, _ := u.Tale(table); {
		case tale == jobs.TaleDull:
			t.Says = "dull"
			t.Text = fmt.Sprintf("%s is DULL: it tore a rim (grade %d).", u.Bit, *grade)
			if *grade < 2 {
				t.Text = fmt.Sprintf("%s is DULL: a rim of grade %d, where %s leaves %d.", u.Bit, *grade, WoodWords(wood), table.Expected(wood))
			}
			if u.Face != jobs.FaceHidden {
				t.Text += " Retired from show holes."
			}
			t.Type = []string{"bit sharpen " + u.Bit, fmt.Sprintf("bit move %s --to general --why dull", u.Bit)}
		case tale != jobs.TaleClean:
			t.Says = "not counted"
			why := "the backing was loose"
			switch u.Backing.State {
			case jobs.BackingNone:
				why = "there was no backing"
			case "":
				why = "the backing is not known"
			}
			t.Text = fmt.Sprintf("Rim grade %d is not counted against %s: %s.", *grade, u.Bit, why)
		case *grade > 0:
			t.Says = "normal"
			t.Text = fmt.Sprintf("Rim grade %d is normal for %s: a sharp bit leaves %d.", *grade, WoodWords(wood), table.Expected(wood))
		}
		out = append(out, t)
	}
	return out, nil
}

// checkGrade refuses a grade where nothing is drilled, and one that does not say
// which of several necks it is of. A clean worst rim is clean on all.
func (b *Book) checkGrade(e jobs.Entry, grade *int, counts []jobs.Count) error {
	graded := grade != nil
	for _, c := range counts {
		graded = graded || c.Grade != nil
	}
	if !graded {
		return nil
	}
	if b.Operations[e.Operation].Drills == "" {
		r := jobs.Refuse("no-rim", fmt.Sprintf("%s drills nothing, so there is no rim to grade%s", e.Operation, b.stillOn(e)), "done")
		r.Class = jobs.Invalid
		return r
	}
	if grade == nil || *grade == 0 || len(e.Shares) < 2 {
		return nil
	}
	words := func(graded int) string {
		var parts []string
		for i, s := range e.Shares {
			x := b.NameOf(s.Neck)
			for _, c := range counts {
				if c.Neck == s.Neck && c.N >= 0 {
					x += " " + jobs.NumberText(c.N)
				}
			}
			if i == graded {
				x += fmt.Sprintf(" grade %d", *grade)
			}
			parts = append(parts, x)
		}
		return strings.Join(parts, ", ")
	}
	var typed []string
	for i := range e.Shares {
		line := "done " + words(i)
		if !e.Running() {
			line = fmt.Sprintf("entry amend %d --count %q --why \"seen by daylight\"", e.ID, words(i))
		}
		typed = append(typed, line)
	}
	return jobs.Refuse("which-neck", fmt.Sprintf("grade %d is of one neck, and this session has %s", *grade, b.NecksText(e)), typed...)
}

// stillOn says what goes on running: ". Still on: drill ada".
func (b *Book) stillOn(e jobs.Entry) string {
	if !e.Running() {
		return ""
	}
	return fmt.Sprintf(". Still on: %s %s", e.Operation, b.NecksText(e))
}
