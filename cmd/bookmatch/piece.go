package main

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"bookmatch/jobs"
	"bookmatch/jobs/store"

	"github.com/urfave/cli/v2"
)

func pieceCommand(e *env) *cli.Command {
	size := []cli.Flag{
		&cli.StringFlag{Name: "thickness", Usage: "`MM` measured by caliper"},
		&cli.StringFlag{Name: "length", Usage: "`MM`"},
		&cli.StringFlag{Name: "width", Usage: "`MM`"},
		&cli.StringFlag{Name: "papers", Usage: "document number of a wood under trade controls"},
		&cli.StringFlag{Name: "note", Usage: "a remark"},
	}
	bought := []cli.Flag{
		&cli.StringFlag{Name: "kind", Usage: "veneer or blank", Value: "veneer"},
		&cli.StringFlag{Name: "wood", Usage: "`WOOD` of wood list"},
		&cli.StringFlag{Name: "price", Usage: "`PRICE`; 0 for a gift"},
		&cli.StringFlag{Name: "replacement", Usage: "what a gift would cost to buy"},
		&cli.StringFlag{Name: "on", Usage: "`DATE` it came; today if not said"},
	}
	return &cli.Command{
		Name: "piece", Usage: "veneers and blanks kept one by one, by measured thickness",
		Subcommands: []*cli.Command{
			{Name: "add", Usage: "a piece came in", ArgsUsage: "CODE --wood WOOD --thickness MM --price PRICE", Flags: append(bought, size...), Action: e.pieceAdd},
			{Name: "set", Usage: "measure a piece again", ArgsUsage: "CODE", Flags: size, Action: e.pieceSet},
			{Name: "use", Usage: "a piece goes to a neck", ArgsUsage: "CODE NECK", Flags: []cli.Flag{&cli.StringFlag{Name: "on", Usage: "`DATE`"}}, Action: e.pieceUse},
			{Name: "offcut", Usage: "what was cut off a used piece is kept, at a chosen value", ArgsUsage: "CODE NEWCODE", Action: e.pieceOffcut,
				Flags: append([]cli.Flag{&cli.StringFlag{Name: "value", Usage: "`VALUE`, taken off the neck", Value: "0"}}, size...)},
			{Name: "list", Usage: "pieces in stock, or those that fit", Action: e.pieceList, Flags: []cli.Flag{
				&cli.StringFlag{Name: "fits", Usage: "thickness `LOW-HIGH` in mm"}, &cli.StringFlag{Name: "length", Usage: "at least `MM`"}, &cli.StringFlag{Name: "width", Usage: "at least `MM`"},
				&cli.StringFlag{Name: "kind", Usage: "veneer or blank"}, &cli.BoolFlag{Name: "all", Usage: "also those that were used"}}},
		},
	}
}

func pieceSize(c *cli.Context, p *jobs.Piece) error {
	for _, f := range []struct {
		flag string
		most float64
		to   *float64
	}{{"thickness", 200, &p.ThicknessMM}, {"length", 5000, &p.LengthMM}, {"width", 2000, &p.WidthMM}} {
		if !c.IsSet(f.flag) {
			continue
		}
		v, err := jobs.ParseNumber(f.flag, strings.TrimSuffix(c.String(f.flag), "mm"), 0.01, f.most)
		if err != nil {
			return err
		}
		*f.to = v
	}
	for flag, to := range map[string]*string{"papers": &p.Papers, "note": &p.Note} {
		if c.IsSet(flag) {
			*to = strings.TrimSpace(c.String(flag))
		}
	}
	return nil
}

func (b *desk) piece(code string) (jobs.Piece, error) {
	p, ok, err := store.Get(b.Tx, store.Pieces, code)
	if ok || err != nil {
		return p, err
	}
	all, err := store.All(b.Tx, store.Pieces)
	if err != nil {
		return p, err
	}
	var names []string
	for _, x := range all {
		names = append(names, x.Code)
	}
	if hits := jobs.Candidates(code, names); len(hits) == 1 {
		return all[slices.Index(names, hits[0])], nil
	}
	return p, &jobs.NotFoundError{Noun: "piece", Value: code, Near: jobs.Nearest(code, names)}
}

func (b *desk) newPiece(p jobs.Piece) error {
	if err := p.Validate(); err != nil {
		return err
	}
	if as := store.Taken(b.Tx, store.Pieces, p.Code); as != "" {
		return &jobs.ConflictError{What: fmt.Sprintf("there is a piece %q already", as), How: "choose another code, or change it with piece set"}
	}
	return store.Put(b.Tx, store.Pieces, p)
}

func pieceText(p jobs.Piece) string {
	s := fmt.Sprintf("%s: %s, %s", p.Code, p.Kind, p.Wood)
	if p.ThicknessMM > 0 {
		s += fmt.Sprintf(", %s mm thick", mmText(p.ThicknessMM))
	} else {
		s += ", thickness not measured"
	}
	if p.LengthMM > 0 && p.WidthMM > 0 {
		s += fmt.Sprintf(", %s x %s mm", mmText(p.LengthMM), mmText(p.WidthMM))
	}
	return s
}

func mmText(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

func (e *env) pieceAdd(c *cli.Context) error {
	w, err := typedWords(c, 1, 1)
	if err != nil {
		return err
	}
	return e.deskWord(c, func(b *desk) error {
		if !c.IsSet("price") || !c.IsSet("wood") {
			return usagef("piece "+"add V1 --wood walnut --thickness 0.6 --price 9.00", "piece %s: say its wood and its price", w[0])
		}
		p := jobs.Piece{Code: w[0], Kind: jobs.PieceKind(c.String("kind"))}
		wood, err := b.wood(c.String("wood"))
		if err != nil {
			return err
		}
		p.Wood = wood
		if p.Price, err = jobs.ParseAmount("price", c.String("price")); err != nil {
			return err
		}
		if c.IsSet("replacement") {
			if p.Replacement, err = jobs.ParseAmount("replacement", c.String("replacement")); err != nil {
				return err
			}
		}
		if p.Received, err = b.stamp(c, false); err != nil {
			return err
		}
		if err := pieceSize(c, &p); err != nil {
			return err
		}
		b.Data = p
		b.Say("%s, %s", pieceText(p), b.Shop.Currency.Print(p.Price))
		return b.newPiece(p)
	})
}

// wood resolves the name of a wood.
func (b *desk) wood(word string) (string, error) {
	woods, err := store.All(b.Tx, store.Woods)
	if err != nil {
		return "", err
	}
	var names []string
	for _, x := range woods {
		names = append(names, x.Name)
	}
	if hits := jobs.Candidates(word, names); len(hits) == 1 {
		return hits[0], nil
	}
	return "", &jobs.NotFoundError{Noun: "wood", Value: word, Near: jobs.Nearest(word, names)}
}

func (e *env) pieceSet(c *cli.Context) error {
	w, err := typedWords(c, 1, 1)
	if err != nil {
		return err
	}
	return e.deskWord(c, func(b *desk) error {
		p, err := b.piece(w[0])
		if err != nil {
			return err
		}
		if err := pieceSize(c, &p); err != nil {
			return err
		}
		b.Data = p
		b.Say("%s", pieceText(p))
		return store.Put(b.Tx, store.Pieces, p)
	})
}

func (e *env) pieceUse(c *cli.Context) error {
	w, err := typedWords(c, 2, 2)
	if err != nil {
		return err
	}
	return e.deskWord(c, func(b *desk) error {
		p, err := b.piece(w[0])
		if err != nil {
			return err
		}
		n, err := b.FindNeck(w[1])
		if err != nil {
			return err
		}
		if !p.InStock() {
			return &jobs.ConflictError{What: fmt.Sprintf("piece %s went to %s", p.Code, b.neckName(p.Neck)), How: "take it back with oops, or use another"}
		}
		if n.IsClosed() {
			return &jobs.ConflictError{What: fmt.Sprintf("neck %q is %s", n.Name(), n.Status), How: "neck list --all shows what is open"}
		}
		if p.Used, err = b.stamp(c, true); err != nil {
			return err
		}
		p.Neck = n.Code
		b.Data = p
		b.Say("%s goes to %s: %s", p.Code, n.Name(), b.Shop.Currency.Print(p.Price))
		if p.Papers != "" {
			b.Say("      papers %s: check current rules before the guitar is sold or leaves the country", p.Papers)
		}
		return store.Put(b.Tx, store.Pieces, p)
	})
}

func (e *env) pieceOffcut(c *cli.Context) error {
	w, err := typedWords(c, 2, 2)
	if err != nil {
		return err
	}
	return e.deskWord(c, func(b *desk) error {
		from, err := b.piece(w[0])
		if err != nil {
			return err
		}
		if from.InStock() {
			return &jobs.ConflictError{What: fmt.Sprintf("piece %s was not used yet", from.Code), How: "piece use " + from.Code + " NECK"}
		}
		p := jobs.Piece{Code: w[1], Kind: from.Kind, Wood: from.Wood, ThicknessMM: from.ThicknessMM, Received: b.Now, From: from.Code, Papers: from.Papers}
		if p.Price, err = jobs.ParseAmount("value", c.String("value")); err != nil {
			return err
		}
		left := from.Price
		all, err := store.All(b.Tx, store.Pieces)
		if err != nil {
			return err
		}
		for _, x := range all {
			if x.From == from.Code {
				left = left.Sub(x.Price)
			}
		}
		if p.Price.Cmp(left) > 0 {
			return &jobs.FieldError{Field: "value", Value: c.String("value"), Want: "at most " + b.Shop.Currency.Print(left) + ", what the neck bears of " + from.Code}
		}
		if err := pieceSize(c, &p); err != nil {
			return err
		}
		b.Data = p
		b.Say("%s, kept at %s", pieceText(p), b.Shop.Currency.Print(p.Price))
		return b.newPiece(p)
	})
}
