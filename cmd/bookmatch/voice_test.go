package main

import (
	"bytes"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"bookmatch/cmd/words"
	"bookmatch/reports/plain"

	"github.com/urfave/cli/v2"
)

// helpMost is how many characters a line of help has at most, so that it fits
// behind its word in 80 columns.
const helpMost = 62

// TestVoice reads every string and comment of the program, its helps, and the lines
// that its refusals offer to type.
func TestVoice(t *testing.T) {
	rules := bannedWords(t)
	comments := slices.DeleteFunc(slices.Clone(rules), func(r banned) bool { return r.where != "B" })
	tree := words.Tree(groups, verbs(), nil)
	eachSource(t, func(set *token.FileSet, file *ast.File) {
		for _, c := range file.Comments {
			held(t, set.Position(c.Pos()).String(), c.Text(), comments)
		}
		ast.Inspect(file, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.ImportSpec:
				return false
			case *ast.Field:
				n.Tag = nil // the key of a record is no word of a screen
			case *ast.BasicLit:
				if text, ok := literal(n); ok {
					held(t, set.Position(n.Pos()).String(), text, rules)
					if strings.Contains(text, "; ") && strings.HasSuffix(text, ".") {
						t.Errorf("%s: two ideas in a sentence: %s", set.Position(n.Pos()), text)
					}
				}
			case *ast.CallExpr, *ast.CompositeLit, *ast.KeyValueExpr:
				for _, e := range offers(n) {
					if why := unparsed(tree, sketch(e)); why != "" {
						t.Errorf("%s: type %q: %s", set.Position(e.Pos()), sketch(e), why)
					}
				}
			}
			return true
		})
	})
}

var (
	pageCode = regexp.MustCompile("(?ms)^```.*?^```|^    .*?$|`[^`]*`")
	pageCell = regexp.MustCompile(`(?m)^\|.*$`)
)

// README.md and DEVELOPERS.md keep to the whole list, also over the end of a line, and
// have one idea a sentence.
func TestVoiceOfPages(t *testing.T) {
	rules := bannedWords(t)
	for _, name := range []string{"README.md", "DEVELOPERS.md"} {
		raw, err := os.ReadFile("../../" + name)
		if err != nil {
			t.Fatal(err)
		}
		held(t, name, strings.Join(strings.Fields(string(raw)), " "), rules)
		prose := pageCell.ReplaceAllString(pageCode.ReplaceAllString(string(raw), ""), "")
		for l := range strings.Lines(prose) {
			if strings.Contains(l, ";") {
				t.Errorf("%s: two ideas in a sentence: %s", name, l)
			}
		}
		if n := bytes.Count(raw, []byte("\n")); name == "README.md" && n >= 250 {
			t.Errorf("%s has %d lines, 250 is too long", name, n)
		}
	}
}

// TestVoiceOfHelp checks the length of every help line and that every example
// is a command with flags it has.
func TestVoiceOfHelp(t *testing.T) {
	tree := words.Tree(groups, verbs(), nil)
	for _, g := range groups {
		if n := utf8.RuneCountInString(g.Help); n > helpMost {
			t.Errorf("%s: help of %d characters: %s", g.Name, n, g.Help)
		}
	}
	for _, c := range verbs() {
		if n := utf8.RuneCountInString(c.Help); n > helpMost || n == 0 {
			t.Errorf("%s: help of %d characters: %s", c.Path, n, c.Help)
		}
		if c.Example != "" && !strings.HasPrefix(c.Example+" ", c.Path+" ") {
			t.Errorf("%s: its example is another command: %s", c.Path, c.Example)
		}
		if why := unparsed(tree, c.Example); why != "" {
			t.Errorf("%s: example %q: %s", c.Path, c.Example, why)
		}
	}
}

// The help of every command fits 24 lines, or takes at most 12 besides its flags. That
// of the program fits 60 and names every noun.
func TestHelpFits(t *testing.T) {
	say := func(args ...string) []string {
		var out bytes.Buffer
		e := &words.Env{In: strings.NewReader(""), Out: &out, ErrOut: &out, Now: time.Now, Getenv: func(string) string { return "" }}
		if code := run(t.Context(), append(args, "--help"), e); code != 0 {
			t.Fatalf("%v --help: exit %d", args, code)
		}
		return strings.Split(strings.TrimRight(out.String(), "\n"), "\n")
	}
	all := say()
	if len(all) > 60 {
		t.Errorf("the help of the program takes %d lines", len(all))
	}
	for _, g := range groups {
		if !strings.Contains(strings.Join(all, "\n"), "\n     "+g.Name+" ") {
			t.Errorf("the help does not name %s", g.Name)
		}
	}
	for _, c := range verbs() {
		text := say(strings.Fields(c.Path)...)
		flags := len(text)
		for i, l := range text {
			if strings.HasPrefix(l, "   --") && flags == len(text) {
				flags = i
			}
			if w := plain.Width(l); w > 80 {
				t.Errorf("%s: a line of %d: %s", c.Path, w, l)
			}
		}
		if len(text) > 24 && flags > 12 {
			t.Errorf("%s takes %d lines, %d of them before its flags", c.Path, len(text), flags)
		}
	}
}

// A banned word, where it is banned (S: strings, B: comments too) and what to write instead.
type banned struct {
	word           *regexp.Regexp
	where, instead string
}

// held reports the banned words of a text with what is around them.
func held(t *testing.T, where, text string, rules []banned) {
	t.Helper()
	for _, r := range rules {
		for _, at := range r.word.FindAllStringIndex(text, -1) {
			t.Errorf("%s: %q: say %q", where, text[max(0, at[0]-30):min(len(text), at[1]+30)], r.instead)
		}
	}
}

func bannedWords(t *testing.T) (out []banned) {
	raw, err := os.ReadFile("../../testdata/voice/banned.txt")
	if err != nil {
		t.Fatal(err)
	}
	for _, line := range strings.Split(strings.TrimSpace(string(raw)), "\n") {
		if strings.HasPrefix(line, "#") {
			continue
		}
		f := strings.Split(line, "\t")
		if len(f) != 3 || f[1] != "S" && f[1] != "B" {
			t.Fatalf("not a word, S or B and what instead: %q", line)
		}
		out = append(out, banned{regexp.MustCompile(`(?i)\b` + regexp.QuoteMeta(f[0]) + `\b`), f[1], f[2]})
	}
	return out
}

// eachSource parses every source file that is no test.
func eachSource(t *testing.T, see func(*token.FileSet, *ast.File)) {
	files := 0
	err := filepath.WalkDir("../..", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		set := token.NewFileSet()
		file, err := parser.ParseFile(set, path, nil, parser.SkipObjectResolution|parser.ParseComments)
		if err == nil {
			files++
			see(set, file)
		}
		return err
	})
	if err != nil || files < 100 {
		t.Fatalf("%d files read: %v", files, err)
	}
}

func literal(e ast.Expr) (string, bool) {
	b, ok := e.(*ast.BasicLit)
	if !ok || b.Kind != token.STRING {
		return "", false
	}
	text, err := strconv.Unquote(b.Value)
	return text, err == nil
}

// offers gives the lines to type of a call of Refuse, of a field Type with a list
// of strings, of a Hint, and of what a ConflictError says to do.
func offers(n ast.Node) []ast.Expr {
	switch n := n.(type) {
	case *ast.CallExpr:
		name := ""
		switch f := n.Fun.(type) {
		case *ast.Ident:
			name = f.Name
		case *ast.SelectorExpr:
			name = f.Sel.Name
		}
		if name == "Refuse" && len(n.Args) > 2 && !n.Ellipsis.IsValid() {
			return n.Args[2:]
		}
	case *ast.KeyValueExpr:
		key, _ := n.Key.(*ast.Ident)
		if key == nil {
			return nil
		}
		if list, ok := n.Value.(*ast.CompositeLit); ok && key.Name == "Type" {
			return list.Elts
		}
		if key.Name == "Hint" || key.Name == "How" {
			return []ast.Expr{n.Value}
		}
	case *ast.CompositeLit:
		name := ""
		switch t := n.Type.(type) {
		case *ast.Ident:
			name = t.Name
		case *ast.SelectorExpr:
			name = t.Sel.Name
		}
		if name == "ConflictError" && len(n.Elts) == 2 {
			return n.Elts[1:]
		}
	}
	return nil
}

// gap is the place of a value in a sketch.
const gap = "?"

var verbMark = regexp.MustCompile(`%[-+# 0-9.\[\]]*[a-zA-Z]`)

// sketch writes a line with gaps where the program fills in values.
func sketch(e ast.Expr) string {
	if text, ok := literal(e); ok {
		return text
	}
	switch e := e.(type) {
	case *ast.BinaryExpr:
		return sketch(e.X) + sketch(e.Y)
	case *ast.CallExpr:
		if f, ok := e.Fun.(*ast.SelectorExpr); ok && f.Sel.Name == "Sprintf" && len(e.Args) > 0 {
			return verbMark.ReplaceAllString(sketch(e.Args[0]), gap)
		}
	}
	return gap
}

// unparsed says why a line reaches no command, or names a flag that its command
// lacks. A line that begins with a gap, and an empty one, are left alone.
func unparsed(cmds []*cli.Command, line string) string {
	var at *cli.Command
	quoted := false
	for i, word := range strings.Fields(line) {
		if strings.HasPrefix(word, gap) && (at == nil || at.Action == nil) {
			return ""
		}
		if next := commandNamed(cmds, word); next != nil && !quoted {
			at, cmds = next, next.Subcommands
			continue
		}
		if at == nil || at.Action == nil && word != "--help" {
			return "word " + strconv.Itoa(i+1) + " is no command"
		}
		cmds = nil
		if name, ok := strings.CutPrefix(word, "--"); ok && !quoted && !hasFlag(at, name) {
			return at.Name + " has no flag --" + name
		}
		if strings.Count(word, `"`)%2 == 1 {
			quoted = !quoted
		}
	}
	if at != nil && at.Action == nil {
		return "a verb is missing"
	}
	return ""
}

func commandNamed(cmds []*cli.Command, word string) *cli.Command {
	for _, c := range cmds {
		if c.HasName(word) {
			return c
		}
	}
	return nil
}

func hasFlag(c *cli.Command, name string) bool {
	name, _, _ = strings.Cut(name, "=")
	if name == "help" || name == "json" || name == "file" || strings.HasPrefix(name, gap) {
		return true
	}
	for _, f := range c.Flags {
		for _, known := range f.Names() {
			if known == name {
				return true
			}
		}
	}
	return false
}
