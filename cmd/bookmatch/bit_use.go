package main

import (
	"fmt"
	"strconv"
	"strings"

	"bookmatch/costing/bitlife"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
	"bookmatch/jobs/workshop"

	"github.com/urfave/cli/v2"
)

// holeFlags reads the flags that describe one hole into u: layers, backing and
// glue lines. neck fills in wood and depth that are not said.
func (b *desk) holeFlags(c *cli.Context, u *jobs.BitUse, neck *jobs.Neck) error {
	woods, err := store.All(b.Tx, store.Woods)
	if err != nil {
		return err
	}
	table := jobs.NewWoodTable(woods)
	depth := 0.0
	if c.IsSet("depth") {
		if depth, err = jobs.ParseDepth(c.String("depth")); err != nil {
			return err
		}
	}
	switch layers := c.StringSlice("layer"); {
	case len(layers) > 0:
		if c.IsSet("wood") {
			return usagef("--layer ebony:0.6 --layer hard-maple:15", "--layer names the woods: leave --wood away")
		}
		for _, l := range layers {
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
	default:
		layer := jobs.Layer{Wood: c.String("wood"), DepthMM: depth}
		if neck != nil && (layer.Wood == "" || layer.DepthMM == 0) {
			cut, err := b.CutOf(*neck, jobs.Operation{Drills: "posts"}, workshop.FinishOptions{DepthMM: depth})
			if err != nil {
				return err
			}
			layer.DepthMM = cut.DepthMM
			if layer.Wood == "" {
				layer.Wood = neck.Wood
			}
		}
		if layer.Wood == "" {
			layer.Wood = "hard-maple"
			b.Warn("no wood said: counted as hard maple")
		}
		if layer.DepthMM == 0 {
			layer.DepthMM, u.Estimated = b.Shop.HoleDepthMM, true
			b.Warn("no depth said: the shop's usual %s mm taken, marked as guessed", jobs.FormatMM(layer.DepthMM))
		}
		wood, err := table.Find(layer.Wood)
		if err != nil {
			return err
		}
		layer.Wood = wood.Name
		u.Layers, u.DepthMM = []jobs.Layer{layer}, layer.DepthMM
	}
	u.Backing.State, u.GlueLines = c.String("backing"), c.Int("glue-lines")
	if c.IsSet("backing-wood") {
		wood, err := table.Find(c.String("backing-wood"))
		if err != nil {
			return err
		}
		u.Backing.Wood = wood.Name
	}
	if c.IsSet("backing-depth") {
		if u.Backing.DepthMM, err = jobs.ParseNumber("backing-depth", c.String("backing-depth"), 0, 100); err != nil {
			return err
		}
	}
	if u.Backing.Wood != "" && u.Backing.DepthMM == 0 && u.Backing.State != jobs.BackingNone {
		u.Backing.DepthMM = jobs.BackingCutMM
	}
	if u.Backing.DepthMM > 0 && u.Backing.Wood == "" {
		u.Backing.Wood = u.Layers[len(u.Layers)-1].Wood
	}
	return nil
}

// seenFlags reads the grades and signs.
func seenFlags(c *cli.Context, u *jobs.BitUse) (err error) {
	if c.IsSet("grade") {
		if u.GradeIn, err = parseGrade("grade", c.String("grade")); err != nil {
			return err
		}
	}
	if c.IsSet("grade-out") {
		if u.GradeOut, err = parseGrade("grade-out", c.String("grade-out")); err != nil {
			return err
		}
	}
	u.Signs = strings.FieldsFunc(c.String("signs"), func(r rune) bool { return r == ',' || r == ' ' })
	return nil
}

func (e *env) bitUse(c *cli.Context) error {
	w, err := typedWords(c, 0, 1)
	if err != nil {
		return err
	}
	if (len(w) == 0) != c.IsSet("unknown") {
		return usagef("bit use S10-1 --holes 6, or bit use --unknown 10 --holes 6", "name a bit, or the size of an unknown one")
	}
	return e.deskWord(c, func(b *desk) error {
		u := jobs.BitUse{Holes: c.Int("holes"), Face: jobs.FaceShow, Note: c.String("note"), Estimated: c.Bool("estimated")}
		if c.Bool("hidden") {
			u.Face = jobs.FaceHidden
		}
		if len(w) == 1 {
			bit, err := b.FindBit(w[0])
			if err != nil {
				return err
			}
			u.Bit = bit.Code
		} else if u.UnknownMM, _, err = jobs.ParseDiameter(c.String("unknown")); err != nil {
			return err
		}
		var neck *jobs.Neck
		if name := c.String("neck"); name != "" {
			n, err := b.FindNeck(name)
			if err != nil {
				return err
			}
			neck, u.Neck = &n, n.Code
		}
		if err := b.holeFlags(c, &u, neck); err != nil {
			return err
		}
		if err := seenFlags(c, &u); err != nil {
			return err
		}
		return b.logUse(c, u)
	})
}

func (e *env) bitTest(c *cli.Context) error {
	w, err := typedWords(c, 1, 1)
	if err != nil {
		return err
	}
	if !c.IsSet("grade") && !c.IsSet("grade-out") && !c.IsSet("signs") {
		return usagef("bit test "+w[0]+" --wood hard-maple --grade 0", "a test hole that nobody looked at proves nothing")
	}
	return e.deskWord(c, func(b *desk) error {
		bit, err := b.FindBit(w[0])
		if err != nil {
			return err
		}
		u := jobs.BitUse{Bit: bit.Code, Holes: c.Int("holes"), Test: true, Note: c.String("note")}
		if err := b.holeFlags(c, &u, nil); err != nil {
			return err
		}
		if u.Backing.State == "" {
			u.Backing.State = jobs.BackingTight
		}
		if err := seenFlags(c, &u); err != nil {
			return err
		}
		return b.logUse(c, u)
	})
}

// useResult is what a logged use came to.
type useResult struct {
	Use    jobs.BitUse   `json:"use"`
	CutM   float64       `json:"cut_m"`
	Tale   string        `json:"tale"` // what it tells of the edge
	Life   jobs.EdgeLife `json:"life"`
	Before float64       `json:"age_before_m"`
}

// logUse writes a use and says what it tells of the edge.
func (b *desk) logUse(c *cli.Context, u jobs.BitUse) error {
	var err error
	if u.On, err = b.stamp(c, true); err != nil {
		return err
	}
	if err := u.Validate(); err != nil {
		return err
	}
	before, err := b.bitLife(u.Bit)
	if err != nil {
		return err
	}
	if u.Bit != "" && jobs.DayOf(u.On.In(b.Shop.Location())) < jobs.DayOf(before.Started.In(b.Shop.Location())) && before.Edge == 1 {
		b.Warn("%s is on file since %s only: the holes count on its first edge", u.Bit, jobs.DayOf(before.Started.In(b.Shop.Location())))
	}
	if u, err = b.LogUse(u); err != nil {
		return err
	}
	woods, err := store.All(b.Tx, store.Woods)
	if err != nil {
		return err
	}
	table := jobs.NewWoodTable(woods)
	res := useResult{Use: u, CutM: u.Cut(table), Tale: "not seen", Before: before.WearM}
	b.Data = &res
	if u.Bit == "" {
		b.Say("use %d: %d holes with an unknown bit of %s mm, %s: counted in full for each it may have been", u.ID, u.Holes, jobs.FormatMM(u.UnknownMM), bitlife.HolesText(res.CutM))
		return nil
	}
	tale, why := u.Tale(table)
	life, err := b.bitLife(u.Bit)
	if err != nil {
		return err
	}
	res.Life = life
	what := map[bool]string{true: "hole", false: "holes"}[u.Holes == 1]
	if u.Test {
		what = "test " + what
	}
	line := fmt.Sprintf("use %d: %s %d %s = %s; edge %d at %s", u.ID, u.Bit, u.Holes, what, bitlife.HolesText(res.CutM), u.Edge, bitlife.HolesText(life.WearM))
	switch tale {
	case jobs.TaleClean:
		res.Tale = "clean"
		line += "; clean"
	case jobs.TaleDull:
		res.Tale = "dull"
		line += "; dull: " + why
	case jobs.TaleShock:
		res.Tale = "struck"
		line += "; " + why + ": out at once"
	}
	b.Say("%s", line)
	if tale == jobs.TaleDull || tale == jobs.TaleShock {
		b.Say("      the edge is over: bit move %s --to general --why %s, or bit sharpen %s", u.Bit, map[bool]string{true: "dull", false: "broken"}[tale == jobs.TaleDull], u.Bit)
	}
	if u.GradeOut != nil && u.Backing.State != jobs.BackingTight {
		b.Warn("the exit rim was not over a tight backing: it says nothing about the bit")
	}
	if before.Event && u.Face != jobs.FaceHidden && !u.Test {
		b.Warn("edge %d of %s was dull before (%s)", before.Edge, u.Bit, before.End)
	}
	if before.Missing || before.Cause == jobs.CauseBroken {
		down := before.Cause
		if before.Missing {
			down = jobs.CauseLost
		}
		b.Warn("%s is down as %s; if it turned up: bit move %s --to show --why found", u.Bit, down, u.Bit)
	}
	return nil
}

// bitLife derives the present edge of a bit; empty for an unknown one.
func (b *desk) bitLife(code string) (jobs.EdgeLife, error) {
	if code == "" {
		return jobs.EdgeLife{}, nil
	}
	book, err := b.BitBook(code)
	if err != nil {
		return jobs.EdgeLife{}, err
	}
	l, _ := book.Life(code)
	return l, nil
}

func (e *env) bitDrop(c *cli.Context) error {
	w, err := typedWords(c, 1, 1)
	if err != nil {
		return err
	}
	id, err := strconv.ParseUint(w[0], 10, 64)
	if err != nil {
		return &jobs.FieldError{Field: "use", Value: w[0], Want: "the number of a use, as bit show prints it"}
	}
	return e.deskWord(c, func(b *desk) error {
		u, ok, err := store.GetID(b.Tx, store.BitUses, id)
		if err != nil {
			return err
		}
		if !ok {
			return &jobs.NotFoundError{Noun: "use of a bit", Value: w[0]}
		}
		if u.Entry != 0 {
			return &jobs.ConflictError{What: fmt.Sprintf("use %d belongs to entry %d", id, u.Entry), How: fmt.Sprintf("amend or drop the entry, and the holes follow: entry drop %d", u.Entry)}
		}
		if err := store.Delete(b.Tx, store.BitUses, u); err != nil {
			return err
		}
		life, err := b.bitLife(u.Bit)
		if err != nil {
			return err
		}
		b.Data = map[string]any{"dropped": u, "life": life}
		b.Say("use %d dropped: %d holes; every figure is as if it had not been", id, u.Holes)
		return nil
	})
}
