package main

import (
	"bytes"
	"slices"
	"strings"
	"testing"
	"time"

	"bookmatch/cmd/bench"
	"bookmatch/jobs/store"

	"github.com/urfave/cli/v2"
)

// testEnv is an environment without a home, a clock or a terminal of its own.
func testEnv(vars map[string]string) (e *env, out, errOut *bytes.Buffer) {
	out, errOut = &bytes.Buffer{}, &bytes.Buffer{}
	now := time.Date(2026, 11, 24, 19, 0, 0, 0, time.UTC)
	return newEnv(&bench.Env{In: strings.NewReader(""), Out: out, ErrOut: errOut, Now: func() time.Time { return now }, Getenv: func(k string) string { return vars[k] }}), out, errOut
}

func asksHelp(args []string) bool {
	return slices.ContainsFunc(args, func(a string) bool {
		name, _, _ := strings.Cut(strings.TrimLeft(a, "-"), "=")
		return isFlag(a) && lookup([]cli.Flag{cli.HelpFlag}, name) != nil
	})
}

// commandWords collects the names of all commands.
func commandWords(cmds []*cli.Command, into map[string]bool) map[string]bool {
	for _, c := range cmds {
		for _, n := range c.Names() {
			into[n] = true
		}
		commandWords(c.Subcommands, into)
	}
	return into
}

// Whatever is typed, reordering loses no word and adds none but the "--" that
// ends the flags; a command typed in capitals takes its own name, every other
// word stays as it was. Doing it twice changes nothing.
func FuzzReorder(f *testing.F) {
	for _, s := range []string{
		"on\ndrill\nada", "done\n6\n--grade\n0", "--json\nentry\nlist", "entry\nlist\n--json", "neck\nadd\nN1\n--title\nPlain six", "done\n-1", "spent\n-.5\ndrill\nada",
		"data\nimport\nf.csv\n--map\na=date\n--as\nuses", "--file\nx\n--\n--json", "--grade", "-", "--", "---", "--=", "-=x", "on\n--anyway", "", "shop\nset\nname\n--x", "--file=a\nneck\nlist", "neck\nshow\nada\n--help", "--bile\nh\n-h\n", "-hh\nx",
		"dOne", "OFF\nOFF", "Entry\nLIST\nAda", "on\nDone\nADA",
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, line string) {
		args := strings.Split(line, "\n")
		e, _, _ := testEnv(nil)
		app := newApp(e)
		got, err := reorder(app, args)
		if err != nil {
			return
		}
		names := commandWords(app.Commands, map[string]bool{})
		drop := func(list []string) []string {
			list = slices.DeleteFunc(slices.Clone(list), func(s string) bool { return s == "--" })
			for i, w := range list { // OFF and off are the same command
				if low := strings.ToLower(w); names[low] {
					list[i] = low
				}
			}
			slices.Sort(list)
			return list
		}
		switch was, is := drop(args), drop(got); {
		case asksHelp(got): // help needs the command and its flags: further words fall away
			for _, w := range is {
				if !slices.Contains(was, w) {
					t.Errorf("%q became %q: %q was not typed", args, got, w)
				}
			}
		case !slices.Equal(was, is):
			t.Errorf("%q became %q", args, got)
		}
		again, err := reorder(app, got)
		if err != nil || !slices.Equal(got, again) {
			t.Errorf("%q became %q, then %q, %v", args, got, again, err)
		}
	})
}

// Only the command itself is read without regard to capitals; what it is told
// keeps them.
func TestCapitalsOfWordsStay(t *testing.T) {
	e, _, _ := testEnv(nil)
	for line, want := range map[string]string{
		"OFF":                  "off",
		"On Done ADA":          "on -- Done ADA",
		"Entry LIST --neck ON": "entry list --neck ON",
		"neck ADD OFF":         "neck add -- OFF",
	} {
		got, err := reorder(newApp(e), strings.Fields(line))
		if err != nil || strings.Join(got, " ") != want {
			t.Errorf("%q: %q, %v, want %q", line, got, err, want)
		}
	}
}

// A list of any bytes is read or refused; what is read keeps to its limits and
// makes rows that can be looked at.
func FuzzReadCSV(f *testing.F) {
	for _, s := range []string{
		"date,operation\n2026-01-05,drill\n", "a;b\n1;2\n", "a\tb\n1\t2\n", "\xef\xbb\xbfdate\n2026-01-05", "date\n\"2026", "\xff\xfe", "", "\n\n\n", "a,b\n1,2,3\n", "a\r\n\"x\ny\"\r\n", "=a,+b\n@c,-d\n", strings.Repeat(",", 300),
	} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, raw []byte) {
		l, err := readCSV(raw, "list.csv")
		if err != nil {
			return
		}
		if len(l.head) == 0 || len(l.head) > maxListCols {
			t.Fatalf("a head of %d columns", len(l.head))
		}
		for i, r := range l.rows {
			if r.no < 1 || i > 0 && r.no <= l.rows[i-1].no || len(r.cells) > maxListCols {
				t.Fatalf("row %d: %+v", i, r)
			}
		}
		for _, as := range store.BringKinds() {
			fields, err := mapColumns(l.head, nil, as)
			if err != nil {
				t.Fatalf("columns of their own name: %v", err)
			}
			if rows := l.rowsBy(fields, nil, as); len(rows) != len(l.rows) {
				t.Fatalf("%d rows of %d", len(rows), len(l.rows))
			}
		}
	})
}

func FuzzReadSheet(f *testing.F) {
	book := sheetOf(f, [][]any{{"date", "from", "operation"}, {46350.0, 0.8125, "drill"}, {"2026-01-05", "19:30", "=1+1"}})
	f.Add(book)
	f.Add(book[:len(book)/2])
	f.Add([]byte("PK\x03\x04"))
	f.Fuzz(func(t *testing.T, raw []byte) {
		l, err := readSheet(raw, "list.xlsx", "")
		if err == nil && len(l.head) == 0 {
			t.Error("a list without a head")
		}
	})
}
