package words

import (
	"strings"

	"github.com/urfave/cli/v2"
)

// reorder puts flags before positional words, global flags first, so that they
// may be anywhere. A word that begins with a hyphen but reads as a number
// stays a word. After "--" nothing is moved. asJSON says whether --json was
// among them.
func reorder(app *cli.App, args []string) (out []string, asJSON bool, err error) {
	global, local, path, rest := []string{}, []string{}, []string{}, []string{}
	cmds := app.Commands
	var flags []cli.Flag
	literal, help := false, false
	for i := 0; i < len(args); i++ {
		a := args[i]
		switch {
		case literal, !isFlag(a):
			if sub := find(cmds, a); sub != nil && len(rest) == 0 && !literal {
				path = append(path, sub.Name) // OFF is off
				cmds, flags = sub.Subcommands, sub.Flags
				continue
			}
			if len(rest) == 0 {
				cmds = nil
			}
			rest = append(rest, a)
		case a == "--":
			literal = true
		default:
			name, _, hasValue := strings.Cut(strings.TrimLeft(a, "-"), "=")
			help = help || lookup([]cli.Flag{cli.HelpFlag}, name) != nil
			asJSON = asJSON || name == "json"
			to, f := &local, lookup(flags, name)
			if f == nil {
				if f = lookup(app.Flags, name); f != nil {
					to = &global
				}
			}
			*to = append(*to, a)
			if f != nil && !hasValue && takesValue(f) {
				if i+1 >= len(args) {
					return nil, asJSON, usage("flag --"+name+" needs a value", strings.Join(append(path, "--help"), " "))
				}
				i++
				*to = append(*to, args[i])
			}
		}
	}
	out = append(global, path...)
	out = append(out, local...)
	if len(rest) > 0 && !help { // the library would look for help on the words
		out = append(append(out, "--"), rest...)
	}
	return out, asJSON, nil
}

func isFlag(a string) bool {
	return len(a) > 1 && a[0] == '-' && !(a[1] >= '0' && a[1] <= '9') && a[1] != '.'
}

func find(cmds []*cli.Command, name string) *cli.Command {
	for _, c := range cmds {
		if c.HasName(name) || c.HasName(strings.ToLower(name)) {
			return c
		}
	}
	return nil
}

func lookup(flags []cli.Flag, name string) cli.Flag {
	for _, f := range flags {
		for _, n := range f.Names() {
			if n == name {
				return f
			}
		}
	}
	return nil
}

func takesValue(f cli.Flag) bool {
	d, ok := f.(cli.DocGenerationFlag)
	return ok && d.TakesValue()
}
