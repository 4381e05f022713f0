package main

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"bookmatch/cmd/bench"
	"bookmatch/jobs"
	"bookmatch/jobs/store"

	"github.com/urfave/cli/v2"
)

// completionCommands print the shells' scripts, and answer what may stand next
// on a command line. The scripts ask the program itself, so that operations, necks,
// bits and supplies come from the file.
func completionCommands(e *env) []*cli.Command {
	return []*cli.Command{
		{Name: "completion", Usage: "print the completion script of a shell", ArgsUsage: "bash|zsh|fish", Action: e.completion},
		{Name: "complete", Hidden: true, Action: e.complete, SkipFlagParsing: true},
	}
}

var completionScripts = map[string]string{
	"bash": `# bookmatch completion for bash: eval "$(bookmatch completion bash)"
_bookmatch() {
  local cur="${COMP_WORDS[COMP_CWORD]}"
  local IFS=$'\n'
  COMPREPLY=( $(compgen -W "$(bookmatch complete -- "${COMP_WORDS[@]:1:COMP_CWORD}" 2>/dev/null)" -- "$cur") )
}
complete -o default -F _bookmatch bookmatch bm
`,
	"zsh": `#compdef bookmatch bm
# bookmatch completion for zsh: eval "$(bookmatch completion zsh)"
_bookmatch() {
  local -a found
  found=("${(@f)$(bookmatch complete -- "${(@)words[2,CURRENT]}" 2>/dev/null)}")
  compadd -a found
}
compdef _bookmatch bookmatch bm
`,
	"fish": `# bookmatch completion for fish: bookmatch completion fish | source
for name in bookmatch bm
  complete -c $name -f -a '(bookmatch complete -- (commandline -opc)[2..-1] (commandline -ct) 2>/dev/null)'
end
`,
}

func (e *env) completion(c *cli.Context) error {
	w, err := words(c, 1, 1)
	if err != nil {
		return err
	}
	script, ok := completionScripts[w[0]]
	if !ok {
		return bench.Usagef("bookmatch completion bash|zsh|fish", "no completion for %q", w[0])
	}
	_, err = fmt.Fprint(e.Out, script)
	return err
}

// complete prints what may stand as the last of the words. A file that cannot
// be read gives the command's own words only: completion never complains.
func (e *env) complete(c *cli.Context) error {
	typed := c.Args().Slice()
	for len(typed) > 0 && typed[0] == "--" {
		typed = typed[1:]
	}
	if len(typed) == 0 {
		typed = []string{""}
	}
	last := typed[len(typed)-1]
	cmds, flags := c.App.Commands, c.App.Flags
	var cmd *cli.Command
	args := 0
	skip := false
	for _, w := range typed[:len(typed)-1] {
		if skip {
			skip = false
			continue
		}
		if isFlag(w) {
			f := lookup(flags, strings.TrimLeft(w, "-"))
			if f == nil {
				f = lookup(c.App.Flags, strings.TrimLeft(w, "-"))
			}
			skip = f != nil && takesValue(f)
			continue
		}
		if sub := find(cmds, w); sub != nil && args == 0 {
			cmd, cmds, flags = sub, sub.Subcommands, sub.Flags
			continue
		}
		args++
	}
	var out []string
	switch {
	case strings.HasPrefix(last, "-"):
		for _, f := range slices.Concat(flags, c.App.Flags) {
			out = append(out, "--"+f.Names()[0])
		}
	case cmd == nil || len(cmds) > 0:
		for _, s := range cmds {
			if !s.Hidden {
				out = append(out, s.Name)
			}
		}
	default:
		out = e.namesFor(c, cmd.ArgsUsage, args)
		if i := strings.LastIndexByte(last, '+'); i >= 0 { // ada+b completes the second neck
			for k := range out {
				out[k] = last[:i+1] + out[k]
			}
		}
	}
	slices.Sort(out)
	for _, s := range slices.Compact(out) {
		if strings.HasPrefix(s, last) {
			fmt.Fprintln(e.Out, s)
		}
	}
	return nil
}

var usageWordRE = regexp.MustCompile(`[A-Za-z]+(\|[a-z]+)*`)

// namesFor reads a command's usage ("OPERATION NECK[+NECK]") and gives the names in
// the file that the word at a position may be.
func (e *env) namesFor(c *cli.Context, usage string, pos int) []string {
	fields := strings.Fields(usage)
	if len(fields) == 0 {
		return nil
	}
	word := usageWordRE.FindString(fields[min(pos, len(fields)-1)])
	if strings.Contains(word, "|") && strings.ToLower(word) == word {
		return strings.Split(word, "|")
	}
	var out []string
	_ = e.view(c, func(tx *store.Tx) error {
		out = namesOf(tx, word)
		return nil
	})
	return out
}

func namesOf(tx *store.Tx, what string) (out []string) {
	switch what {
	case "OPERATION":
		return each(tx, store.Operations, func(k jobs.Operation) []string { return append([]string{k.Name}, k.Aliases...) })
	case "NECK", "COUNT":
		return each(tx, store.Necks, func(n jobs.Neck) []string {
			if n.IsClosed() {
				return nil
			}
			return []string{n.Code, n.Nickname}
		})
	case "BIT":
		return each(tx, store.Bits, func(b jobs.Bit) []string { return []string{b.Code} })
	case "SUPPLY", "NAME":
		return each(tx, store.Supplies, func(s jobs.Supply) []string { return []string{s.Name} })
	case "WOOD":
		return each(tx, store.Woods, func(w jobs.Wood) []string { return []string{w.Name} })
	case "ROUTE":
		return each(tx, store.Routes, func(r jobs.Route) []string { return []string{r.Name} })
	case "KEY":
		for _, k := range jobs.ShopKeys() {
			out = append(out, k.Key)
		}
	}
	return out
}

func each[T any](tx *store.Tx, c *store.Collection[T], names func(T) []string) (out []string) {
	for v, err := range store.Each(tx, c) {
		if err != nil {
			return out
		}
		for _, n := range names(v) {
			if n != "" {
				out = append(out, n)
			}
		}
	}
	return out
}
