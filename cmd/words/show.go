package words

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"
	"bookmatch/reports/plain"

	"github.com/urfave/cli/v2"
)

// show prints or saves the answer of a command. Warnings of a verb that writes
// go to stderr. Those of a reading verb are notes of its report.
func (p Program) show(e *Env, cmd Command, c *cli.Context, res workshop.Result) error {
	m := workshop.MetaOf(res)
	if cmd.Verb.Writes() || cmd.Paper || c.Bool("json") {
		for _, w := range m.Warnings {
			if !c.Bool("json") {
				w.Text = reports.InText(m.Units, w.Text, reports.OwnWords(res)...)
				e.Warn(w)
			}
		}
	}
	out := c.String("out")
	if c.Bool("json") && out == "" {
		return e.PrintJSON(res)
	}
	if cmd.View == nil {
		return nil
	}
	if size := strings.ToLower(c.String("paper")); cmd.Paper && size != "" {
		if size != string(reports.A4) && size != string(reports.Letter) {
			return &jobs.FieldError{Field: "paper", Value: size, Want: "a4 or letter"}
		}
		m.Paper = size
	}
	r := cmd.View(res).At(cmd.DepthOf(c))
	if cmd.Paper && out == "" {
		out = r.Name + ".pdf"
	}
	if !cmd.Verb.Writes() && !cmd.Paper {
		for _, w := range m.Warnings {
			text := w.Text
			if w.Hint != "" {
				text += " Type: " + w.Hint
			}
			r.Notes = append(r.Notes, text)
			if r.Narrow != nil {
				r.Narrow.Notes = append(r.Narrow.Notes, text)
			}
		}
	}
	if cmd.Out && (out != "" || c.String("table") != "") && p.Save != nil {
		if err := e.notTheShop(c.String("file"), out); err != nil {
			return err
		}
		if !isSheet(out) {
			r = r.In(m.Units)
		}
		return p.Save(e, out, c.String("table"), c.Bool("force"), r)
	}
	r = r.In(m.Units)
	if p.Print == nil || len(r.Sections) == 0 && (cmd.Verb.Writes() || cmd.Bench && !cmd.Out || cmd.Draw != nil) {
		return e.brief(r)
	}
	return p.Print(e, e.Out, r)
}

// isSheet says that a file is for other programs, which read millimetres.
func isSheet(path string) bool {
	switch strings.ToLower(filepath.Ext(path)) {
	case ".xlsx", ".csv", ".json":
		return true
	}
	return false
}

// notTheShop refuses to write over the workshop's own file.
func (e *Env) notTheShop(said, out string) error {
	path, err := e.Path(said)
	if err != nil || out == "" {
		return err
	}
	a, errA := os.Stat(path)
	b, errB := os.Stat(out)
	if errA == nil && errB == nil && os.SameFile(a, b) {
		r := jobs.Refuse("own-file", out+" is the workshop file itself", "data backup")
		r.What = "NOT WRITTEN"
		return r
	}
	return nil
}

// brief prints a report without tables: what happened, cautions, what comes
// next.
func (e *Env) brief(r reports.Report) error {
	for i, line := range r.Headline {
		indent := ""
		if i > 0 {
			indent = "  "
		}
		e.say(e.Out, indent, line)
	}
	for _, line := range r.Cautions {
		e.say(e.Out, "! ", line)
	}
	for _, line := range r.Notes {
		e.say(e.Out, "  ", line)
	}
	if len(r.Next) > 0 {
		e.say(e.Out, "  ", "Next: "+strings.Join(r.Next, "   "))
	}
	return nil
}

// say writes one line. On a terminal it breaks at words.
func (e *Env) say(w io.Writer, indent, text string) {
	text = plain.Clean(text)
	if e.Columns == 0 {
		fmt.Fprintln(w, indent+text)
		return
	}
	for _, line := range plain.Lines(text, max(e.Columns, 40)-len(indent)-1) {
		fmt.Fprintln(w, indent+line)
		if indent == "" {
			indent = "  "
		}
	}
}
