package words

import (
	"bytes"
	"slices"
	"strings"
	"testing"

	"bookmatch/jobs/workshop"

	"github.com/urfave/cli/v2"
)

// testApp has the bench words and some commands of two words.
func testApp() *cli.App {
	var out bytes.Buffer
	groups := []Group{{"neck", "necks"}, {"entry", "entries"}, {"shop", "the shop"}, {"data", "the file"}}
	cmds := append(Bench(), Command{Path: "neck add", Verb: workshop.Off}, Command{Path: "neck show", Verb: workshop.Off}, Command{Path: "entry list", Verb: workshop.Spent},
		Command{Path: "shop set", Verb: workshop.ShopSet}, Command{Path: "data import", Verb: workshop.Off})
	return Program{Groups: groups, Commands: cmds}.app(&Env{Out: &out, ErrOut: &out})
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
		app := testApp()
		got, _, err := reorder(app, args)
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
		again, _, err := reorder(app, got)
		if err != nil || !slices.Equal(got, again) {
			t.Errorf("%q became %q, then %q, %v", args, got, again, err)
		}
	})
}

// Only the command itself is read without regard to capitals; what it is told
// keeps them.
func TestCapitalsOfWordsStay(t *testing.T) {
	for line, want := range map[string]string{
		"OFF":                  "off",
		"On Done ADA":          "on -- Done ADA",
		"Spent LIST --note ON": "spent --note ON -- LIST",
		"neck ADD OFF":         "neck add -- OFF",
	} {
		got, _, err := reorder(testApp(), strings.Fields(line))
		if err != nil || strings.Join(got, " ") != want {
			t.Errorf("%q: %q, %v, want %q", line, got, err, want)
		}
	}
}
