package main

import (
	"fmt"

	"bookmatch/cmd/words"
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

// apartVerbs lists what is no verb of the shop.
func apartVerbs() []words.Command {
	return []words.Command{
		{Path: "demo", Help: "build an invented workshop and show what it prints", Example: "demo --dir demo", Act: demo, Flags: []cli.Flag{
			&cli.StringFlag{Name: "dir", Usage: "`FOLDER` for the demo's file and papers", TakesFile: true},
			&cli.BoolFlag{Name: "force", Usage: "replace an older demo in FOLDER", DisableDefaultText: true},
		}},
		{Path: "completion", Help: "print the tab completion script for your shell", Example: "completion bash", Act: completion, Args: "bash|zsh"},
	}
}

func completion(e *words.Env, c *cli.Context) error {
	script, ok := completionScripts[c.Args().First()]
	if !ok || c.NArg() != 1 {
		return &jobs.Refusal{Code: "usage", Class: jobs.Invalid, What: "NOT SHOWN", Why: "the name of one shell is needed, bash or zsh", Type: []string{"completion bash", "completion zsh"}}
	}
	_, err := fmt.Fprint(e.Out, script)
	return err
}
