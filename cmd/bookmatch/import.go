package main

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"

	"github.com/urfave/cli/v2"
)

// importShown is how many rows a person is shown of each sort.
const importShown = 20

func dataImportCommand(e *env) *cli.Command {
	help := "Without --as FILE is an export; it becomes the workshop file. With --as it is a list, CSV or .xlsx with a\nhead row, and its rows become records: all of them or none, as one change that oops takes back.\n"
	for _, as := range workshop.BringKinds() {
		help += as + ":\n"
		for _, f := range workshop.BringFields(as) {
			need := ""
			if f.Required {
				need = ", needed"
			}
			help += fmt.Sprintf("   %-12s %s%s\n", f.Name, f.Help, need)
		}
	}
	return &cli.Command{
		Name: "import", Usage: "take in an export, or a list of entries, uses, lots or samples", ArgsUsage: "FILE", Action: e.dataImport,
		Description: strings.TrimSpace(help),
		Flags: []cli.Flag{
			&cli.BoolFlag{Name: "dry-run", Usage: "show what would be created and which rows cannot be, change nothing"},
			&cli.BoolFlag{Name: "replace", Usage: "an export: keep the present file beside and take its place"},
			&cli.StringFlag{Name: "as", Usage: "a list of `KIND`: " + strings.Join(workshop.BringKinds(), ", ")},
			&cli.StringSliceFlag{Name: "map", Usage: "`COLUMN=FIELD`, repeatable; a column whose head is a field needs none"},
			&cli.StringSliceFlag{Name: "set", Usage: "`FIELD=VALUE` where a row has none, repeatable"},
			&cli.StringFlag{Name: "dates", Usage: "order of dates with points or slashes: dmy or mdy"},
			&cli.StringFlag{Name: "sheet", Usage: "`NAME` of the sheet; the first otherwise"},
			&cli.BoolFlag{Name: "skip-duplicates", Usage: "leave out rows that are there already"},
		},
	}
}

// errNotKept ends the transaction of a list that is not to be kept.
var errNotKept = errors.New("not kept")

func (e *env) dataImport(c *cli.Context) error {
	w, err := typedWords(c, 1, 1)
	if err != nil {
		return err
	}
	as := c.String("as")
	if as == "" {
		for _, f := range []string{"map", "set", "dates", "sheet", "skip-duplicates"} {
			if c.IsSet(f) {
				return usagef("add --as "+strings.Join(workshop.BringKinds(), "|"), "--%s is for lists", f)
			}
		}
		return e.importWhole(c, w[0])
	}
	if !slices.Contains(workshop.BringKinds(), as) {
		return &jobs.FieldError{Field: "as", Value: as, Want: strings.Join(workshop.BringKinds(), ", ")}
	}
	if d := c.String("dates"); d != "" && d != "dmy" && d != "mdy" {
		return &jobs.FieldError{Field: "dates", Value: d, Want: "dmy or mdy"}
	}
	list, err := readList(w[0], c.String("sheet"))
	if err != nil {
		return err
	}
	fields, err := mapColumns(list.head, c.StringSlice("map"), as)
	if err != nil {
		return err
	}
	preset, err := presets(c.StringSlice("set"), as)
	if err != nil {
		return err
	}
	if err := needed(fields, preset, as); err != nil {
		return err
	}
	rows := list.rowsBy(fields, preset, as)
	var got workshop.Brought
	err = e.update(c, func(tx *workshop.Book) (err error) {
		got, err = tx.BringIn(as, rows, workshop.BringOptions{SkipDuplicates: c.Bool("skip-duplicates"), Dates: c.String("dates")})
		if err == nil && (len(got.Rejected) > 0 || c.Bool("dry-run")) {
			err = errNotKept
		}
		return err
	})
	kept := err == nil
	if err != nil && !errors.Is(err, errNotKept) {
		return err
	}
	if len(got.Rejected) > 0 {
		e.Found()
	}
	if wantJSON(c) {
		return e.PrintJSON(struct {
			workshop.Brought
			Kept   bool     `json:"kept"`
			Unused []string `json:"unused_columns"`
		}{got, kept, unused(list.head, fields)})
	}
	return e.sayBrought(got, kept, c.Bool("dry-run"), unused(list.head, fields))
}

func (e *env) sayBrought(got workshop.Brought, kept, dry bool, unused []string) error {
	t := reports.Table{Name: "create", Columns: []reports.Column{{Key: "row", Header: "row", Kind: reports.KindCount}, {Key: "what", Header: "becomes"}}}
	for i, c := range got.Create {
		if i == importShown {
			t.Note("and %d more rows", len(got.Create)-i)
			break
		}
		t.Add(reports.Count(c.Row), reports.Text(c.Text))
	}
	bad := reports.Table{Name: "rejected", Columns: []reports.Column{{Key: "row", Header: "row", Kind: reports.KindCount}, {Key: "reason", Header: "cannot be brought in"}}}
	for _, r := range got.Rejected { // every one: nothing comes in until they are mended
		bad.Add(reports.Count(r.Row), reports.Text(r.Reason))
	}
	rep := reports.Report{Name: "import", Title: fmt.Sprintf("%d rows of %s", got.Rows, got.As)}
	if len(got.Create) > 0 && (dry || kept) {
		rep.Add(t)
	}
	if len(got.Rejected) > 0 {
		rep.Add(bad)
	}
	if len(rep.Sections) > 0 {
		if err := e.print(rep); err != nil {
			return err
		}
	}
	if len(unused) > 0 {
		e.Say("columns not used: %s", strings.Join(unused, ", "))
	}
	if got.Skipped > 0 {
		e.Say("%d rows were there already and were left out", got.Skipped)
	}
	for _, n := range got.Necks {
		e.Say("neck %s takes what belongs to no neck", n)
	}
	switch {
	case len(got.Rejected) > 0:
		e.Say("nothing was imported: %d of %d rows cannot be brought in", len(got.Rejected), got.Rows)
	case dry:
		e.Say("nothing was changed; without --dry-run %d records are made", len(got.Create))
	default:
		e.Say("%d records made; oops takes them back", len(got.Create))
	}
	return nil
}

// mapColumns gives the field of each column; -1 columns are not used.
func mapColumns(head, maps []string, as string) (map[int]string, error) {
	known := map[string]bool{}
	var names []string
	for _, f := range workshop.BringFields(as) {
		known[f.Name] = true
		names = append(names, f.Name)
	}
	out, taken := map[int]string{}, map[string]string{}
	take := func(col int, field, how string) error {
		if by, twice := taken[field]; twice {
			return usagef("map one column to each field", "field %q is taken by %s already", field, by)
		}
		taken[field], out[col] = how, field
		return nil
	}
	for _, m := range maps {
		i := strings.LastIndexByte(m, '=')
		if i < 1 {
			return nil, &jobs.FieldError{Field: "map", Value: m, Want: "COLUMN=FIELD"}
		}
		column, field := strings.TrimSpace(m[:i]), strings.TrimSpace(m[i+1:])
		if !known[field] {
			return nil, &jobs.NotFoundError{Noun: "field of " + as, Value: field, Near: append(jobs.Nearest(field, names), "")[:1]}
		}
		col := slices.IndexFunc(head, func(h string) bool { return strings.EqualFold(h, column) })
		if n, err := strconv.Atoi(column); col < 0 && err == nil && n >= 1 && n <= len(head) {
			col = n - 1
		}
		if col < 0 {
			return nil, &jobs.NotFoundError{Noun: "column", Value: column, Near: jobs.Nearest(column, head)}
		}
		if err := take(col, field, "column "+head[col]); err != nil {
			return nil, err
		}
	}
	for i, h := range head {
		field := strings.ToLower(h)
		if _, mapped := out[i]; !mapped && known[field] && taken[field] == "" {
			if err := take(i, field, "column "+h); err != nil {
				return nil, err
			}
		}
	}
	return out, nil
}

func presets(sets []string, as string) (map[string]string, error) {
	out := map[string]string{}
	for _, s := range sets {
		field, v, ok := strings.Cut(s, "=")
		if !ok || !slices.ContainsFunc(workshop.BringFields(as), func(f workshop.BringField) bool { return f.Name == field }) {
			return nil, &jobs.FieldError{Field: "set", Value: s, Want: "FIELD=VALUE with a field of " + as}
		}
		out[field] = strings.TrimSpace(v)
	}
	return out, nil
}

// needed refuses a list that lacks a field no row can be made without.
func needed(fields map[int]string, preset map[string]string, as string) error {
	for _, f := range workshop.BringFields(as) {
		if !f.Required || preset[f.Name] != "" {
			continue
		}
		found := false
		for _, have := range fields {
			found = found || have == f.Name
		}
		if !found {
			return usagef(fmt.Sprintf("add --map COLUMN=%s or --set %s=VALUE", f.Name, f.Name), "%s need the field %q and no column has it", as, f.Name)
		}
	}
	return nil
}

func unused(head []string, fields map[int]string) []string {
	out := []string{}
	for i, h := range head {
		if _, ok := fields[i]; !ok && h != "" {
			out = append(out, h)
		}
	}
	return out
}
