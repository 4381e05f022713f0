package main

import (
	"bytes"
	"context"
	"io"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"bookmatch/cmd/words"
	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"
	"bookmatch/reports/screen"
)

// demoFiles plays the demo once for all tests and gives its files by name: those
// of the story alone, and with the workbooks and papers it shows at its end.
var demoFiles = sync.OnceValues(func() (files struct{ played, presented map[string][]byte }, err error) {
	dir, err := os.MkdirTemp("", "bookmatch-demo-test")
	if err != nil {
		return files, err
	}
	defer os.RemoveAll(dir)
	e := &words.Env{In: strings.NewReader(""), Out: io.Discard, ErrOut: io.Discard, Now: time.Now, Getenv: func(string) string { return "" }}
	p := newPlayer(context.Background(), e, dir, filepath.Join(dir, "demo.db"))
	if err := p.play(); err != nil {
		return files, err
	}
	if files.played, err = filesIn(dir); err != nil {
		return files, err
	}
	if err := p.present(e); err != nil {
		return files, err
	}
	files.presented, err = filesIn(dir)
	return files, err
})

func filesIn(dir string) (map[string][]byte, error) {
	files := map[string][]byte{}
	names, err := filepath.Glob(filepath.Join(dir, "*.*"))
	for _, name := range names {
		if files[filepath.Base(name)], err = os.ReadFile(name); err != nil {
			return nil, err
		}
	}
	return files, err
}

// demoShop is a copy of the demo's shop on the evening of the demo, for one test.
type demoShop struct {
	t       testing.TB
	dir     string
	file    string
	evening jobs.Day
	columns int // of the terminal, 0 for a pipe
	// What the last command asked and answered, and the report as it was shown.
	ask   workshop.Ask
	res   workshop.Result
	view  func(workshop.Result) reports.Report
	shown reports.Report
	told  string // its warnings
}

func newDemoShop(t testing.TB) *demoShop {
	t.Helper()
	files, err := demoFiles()
	if err != nil {
		t.Fatal(err)
	}
	d := &demoShop{t: t, dir: t.TempDir(), columns: screen.Widest}
	for name, raw := range files.played {
		if err := os.WriteFile(filepath.Join(d.dir, name), raw, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	d.file = filepath.Join(d.dir, "demo.db")
	p := &player{file: d.file, now: demoNow}
	if d.evening, err = p.lastEvening(); err != nil {
		t.Fatal(err)
	}
	return d
}

// line splits a command line. EVENING is the demo's last evening, DIR its folder.
func (d *demoShop) line(line string) []string {
	return strings.Fields(strings.NewReplacer(theEvening, string(d.evening), "DIR", d.dir).Replace(line))
}

// say types a command and keeps its answer.
func (d *demoShop) say(typed ...string) string {
	d.t.Helper()
	var out, noise bytes.Buffer
	e := &words.Env{In: strings.NewReader(""), Out: &out, ErrOut: &noise, Columns: d.columns, Now: func() time.Time { return demoNow }, Getenv: func(k string) string {
		return map[string]string{"BOOKMATCH_FILE": d.file, "NO_COLOR": "1"}[k]
	}}
	d.res, d.view, d.shown = nil, nil, reports.Report{}
	cmds := verbs()
	for i := range cmds {
		d.watch(&cmds[i])
	}
	p := words.Program{Groups: groups, Commands: cmds, Sheet: sheet,
		Print: func(e *words.Env, w io.Writer, r reports.Report) error {
			d.shown = r
			return printReport(e, w, r)
		},
		Save: func(e *words.Env, path, table string, force bool, r reports.Report) error {
			d.shown = r
			return save(e, path, table, force, r)
		}}
	if code := p.Run(context.Background(), typed, e); code != words.ExitDone && code != words.ExitFound {
		d.t.Fatalf("bookmatch %s: exit %d: %s", strings.Join(typed, " "), code, noise.String())
	}
	d.told = noise.String()
	return out.String()
}

// watch keeps what a command asks and what its view is given.
func (d *demoShop) watch(c *words.Command) {
	if c.Bare != nil {
		bare := *c.Bare
		d.watch(&bare)
		c.Bare = &bare
	}
	before := c.Before
	c.Before = func(e *words.Env, w *workshop.Workshop, ask workshop.Ask) error {
		if d.ask = ask; before != nil {
			return before(e, w, ask)
		}
		return nil
	}
	if view := c.View; view != nil {
		c.View = func(r workshop.Result) reports.Report {
			d.res, d.view = r, view
			return view(r)
		}
	}
}

// encoded is a result as --json prints it.
func encoded(t testing.TB, r workshop.Result) string {
	t.Helper()
	var out bytes.Buffer
	if err := (&words.Env{Out: &out}).PrintJSON(r); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

// reading gives the lines to type for every command that only reads, by its path.
func reading() map[string][]string {
	return map[string][]string{
		"now":             {""},
		"tonight":         {"--until 22:00", "--until 22:00 --why"},
		"neck list":       {"", "--all"},
		"neck show":       {"swift", "finch"},
		"report neck":     {"swift", ""},
		"find":            {"walnut"},
		"customer list":   {""},
		"calendar":        {""},
		"part list":       {"", "swift"},
		"piece list":      {""},
		"layout begin":    {"siskin --posts 3+3 --nut-width 42 --hole 10 --width 0=43 --width 30=76 --width 160=60"},
		"operation list":  {""},
		"operation show":  {"drill"},
		"route list":      {""},
		"route show":      {"headstock"},
		"overhead show":   {""},
		"supply list":     {""},
		"supply show":     {"wood-glue"},
		"supply lot":      {"1"},
		"report supplies": {""},
		"shopping":        {""},
		"wood list":       {""},
		"wood show":       {"hard-maple"},
		"entry list":      {"--evening EVENING", "--neck swift --history"},
		"evening show":    {"EVENING"},
		"report evening":  {"EVENING", "--from 2026-10-01", "--blank"},
		"shop show":       {""},
		"bit list":        {"", "--all"},
		"bit show":        {"S10-1"},
		"bit verdict":     {"S10-3 --neck finch"},
		"bit compare":     {""},
		"report bits":     {""},
		"layout compare":  {"finch"},
		"layout try":      {"curlew 2=66.4 --string 2"},
		"layout check":    {"finch --spec DIR/six-in-line.toml"},
		"layout show":     {"finch"},
		"layout draw":     {"finch --out DIR/finch.pdf --force"},
		"layout marks":    {"swift 1 end 50.1, 1 edge 13.4, 2 1 26.0, 2 edge 13.6"},
		"stack show":      {"finch"},
		"data check":      {""},
		"data history":    {""},
		"quote show":      {"Q3", "Q5"},
		"quote list":      {""},
		"quote try":       {"Q5 --margin 30"},
		"quote review":    {"Q1", ""},
		"report quote":    {"Q3", "Q3 --customer"},
		"report year":     {"2026"},
	}
}

// readers gives the commands that read. One without a line fails the test.
func readers(t *testing.T) []words.Command {
	t.Helper()
	// These only read by their mode: they work on the file as a whole.
	whole := map[string]bool{"data backup": true, "data restore": true, "data import": true}
	var out []words.Command
	lines := reading()
	for _, c := range verbs() {
		if c.Act != nil || c.Paper || c.Verb.Writes() || whole[c.Path] { // papers: TestPapers
			continue
		}
		if len(lines[c.Path]) == 0 {
			t.Errorf("%s reads, but no line is typed for it in reading()", c.Path)
		}
		out = append(out, c)
	}
	return out
}
