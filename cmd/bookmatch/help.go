package main

import (
	"bytes"
	"io"
	"regexp"
	"strings"

	"bookmatch/reports/plain"
	"bookmatch/reports/screen"

	"github.com/urfave/cli/v2"
)

// The help of a command is what it is for, an example and its flags. The help of a
// noun lists its commands.
const (
	helpOfCommand = `{{.HelpName}}{{with .ArgsUsage}} {{.}}{{end}}: {{.Usage}}
{{with .Description}}
   {{wrap . 3}}
{{end}}{{if .VisibleFlags}}
{{range .VisibleFlags}}   {{.}}
{{end}}{{end}}`
	helpOfNoun = `{{.HelpName}}{{with .ArgsUsage}} {{.}}{{end}}: {{.Usage}}
{{with .Description}}
   {{wrap . 3}}
{{end}}{{if .VisibleCommands}}
{{range .VisibleCommands}}   {{join .Names ", "}}{{"\t"}}{{.Usage}}
{{end}}{{end}}{{if .VisibleFlags}}
{{range .VisibleFlags}}   {{.}}
{{end}}{{end}}`
)

// The library prints help as wide as its words are; a terminal at the bench
// breaks them anywhere. fitHelp sets them into the width of every table here.
func init() {
	cli.CommandHelpTemplate, cli.SubcommandHelpTemplate = helpOfCommand, helpOfNoun
	cli.HelpPrinter = func(w io.Writer, template string, data any) {
		var b bytes.Buffer
		cli.HelpPrinterCustom(&b, template, data, nil)
		_, _ = io.WriteString(w, fitHelp(b.String(), screen.Usual))
	}
}

// helpColumn finds the words that explain: behind a label and two spaces.
var helpColumn = regexp.MustCompile(`^( +\S.*?  +)(\S.*)$`)

// widestLabel is how far to the right explaining words may begin; those of a
// longer label go on a line of their own.
const widestLabel = 28

// fitHelp wraps the lines of a help text that are longer than width, each under
// the column in which its words begin.
func fitHelp(text string, width int) string {
	var out []string
	for _, line := range strings.Split(text, "\n") {
		m := helpColumn.FindStringSubmatch(line)
		moved := m != nil && plain.Width(m[1]) > widestLabel && strings.HasPrefix(line, "   -")
		if plain.Width(line) <= width && !moved {
			out = append(out, line)
			continue
		}
		indent := len(line) - len(strings.TrimLeft(line, " "))
		label, words := strings.Repeat(" ", indent), line[indent:]
		if m != nil {
			label, words = strings.TrimRight(m[1], " "), m[2]
			if indent = min(plain.Width(m[1]), widestLabel); plain.Width(label)+2 > indent {
				out = append(out, label)
				label = ""
			}
			label += strings.Repeat(" ", indent-plain.Width(label))
		}
		for i, l := range plain.Wrap(words, width-indent) {
			if i > 0 {
				label = strings.Repeat(" ", indent)
			}
			out = append(out, label+l)
		}
	}
	return strings.Join(out, "\n")
}
