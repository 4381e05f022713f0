package main

import (
	"fmt"

	"bookmatch/jobs"

	"github.com/urfave/cli/v2"
)

// completionScripts ask the program itself what may come next.
var completionScripts = map[string]string{
	"bash": `_bookmatch() {
  local words=("${COMP_WORDS[@]:0:$COMP_CWORD}")
  COMPREPLY=($(compgen -W "$("${words[@]}" --generate-bash-completion 2>/dev/null)" -- "${COMP_WORDS[$COMP_CWORD]}"))
}
complete -o default -F _bookmatch bookmatch
`,
	"zsh": `#compdef bookmatch
_bookmatch() {
  local -a opts
  opts=("${(@f)$(${words[@]:0:$((CURRENT-1))} --generate-bash-completion 2>/dev/null)}")
  compadd -- ${opts[@]%%:*}
}
compdef _bookmatch bookmatch
`,
}

func completionCommands(e *env) []*cli.Command {
	return []*cli.Command{{Name: "completion", Usage: "print the tab completion script for your shell", ArgsUsage: "bash|zsh", Action: func(c *cli.Context) error {
		w, err := typedWords(c, 1, 1)
		if err != nil {
			return err
		}
		script, ok := completionScripts[w[0]]
		if !ok {
			return &jobs.FieldError{Field: "shell", Value: w[0], Want: "bash or zsh, such as bash"}
		}
		_, err = fmt.Fprint(e.Out, script)
		return err
	}}}
}
