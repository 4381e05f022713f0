package words

import (
	"strings"

	"bookmatch/jobs/workshop"

	"github.com/urfave/cli/v2"
)

// flagOf makes a flag of the command-line library of a field.
func flagOf(f workshop.Field) cli.Flag {
	help := f.Help
	if f.Arg != "" && !strings.Contains(help, "`") {
		if strings.Contains(help, f.Arg) {
			help = strings.Replace(help, f.Arg, "`"+f.Arg+"`", 1)
		} else {
			help = "`" + f.Arg + "`: " + help
		}
	}
	switch {
	case f.Switch():
		return &cli.BoolFlag{Name: f.Flag, Usage: help, DisableDefaultText: true}
	case f.List():
		return &cli.StringSliceFlag{Name: f.Flag, Usage: help}
	}
	return &cli.StringFlag{Name: f.Flag, Usage: help}
}
