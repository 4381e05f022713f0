package words

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"slices"
	"strings"

	"bookmatch/jobs"
	"bookmatch/reports"
	"bookmatch/reports/plain"
)

// Exit codes.
const (
	ExitDone     = 0 // done
	ExitFailure  = 1 // failure: a thing or a file that is not there
	ExitUsage    = 2 // wrong usage: a word or a value that cannot be used
	ExitConflict = 3 // conflicts with the records
	ExitFound    = 4 // a check found problems
)

// ExitTable says them in one line, for the help.
const ExitTable = `Exit codes: 0 done, 1 failure, 2 wrong usage, 3 conflict, 4 problems found.`

var codes = map[jobs.RefusalClass]int{jobs.Missing: ExitFailure, jobs.Invalid: ExitUsage, jobs.Conflict: ExitConflict, jobs.Damaged: ExitFound}

// Fail prints an error in three parts and gives the exit code. It is the only
// place where an error becomes text and a number. asJSON prints an object.
func (e *Env) Fail(err error, asJSON bool) int {
	if err == nil {
		return e.Code
	}
	if errors.Is(err, context.Canceled) {
		return 130
	}
	r, ok := jobs.RefusalOf("NOT DONE", err)
	if !ok {
		r = &jobs.Refusal{Code: "failure", Class: jobs.Missing, What: "NOT DONE", Why: err.Error()}
		if errors.Is(err, fs.ErrExist) {
			r.Type = []string{typed(e.Args) + " --force"}
		}
	}
	lines := e.typeLines(r)
	if asJSON {
		e.jsonTo(e.ErrOut, map[string]any{"error": map[string]any{"code": r.Code, "what": r.What, "why": r.Why, "type": lines, "lifts_at": r.Lifts}})
		return codes[r.Class]
	}
	why := strings.TrimRight(strings.ReplaceAll(strings.TrimSpace(r.Why), "\n", ". "), ".")
	if strings.Contains(why, "mm") {
		why = reports.InText(e.units(), why, e.Args...)
	}
	e.say(e.ErrOut, "", "bookmatch: "+r.What+": "+why+".")
	for i, l := range lines {
		word := "  Type: "
		if i > 0 {
			word = "    or: "
		}
		fmt.Fprintln(e.ErrOut, word+plain.Clean(l))
	}
	return codes[r.Class]
}

// typeLines gives what to type: the refusal's own lines, or what was typed with
// the one wrong word changed.
func (e *Env) typeLines(r *jobs.Refusal) []string {
	if r.Code == "exists" && len(r.Type) == 0 {
		return []string{typed(e.Args) + " --force"}
	}
	if len(r.Type) > 0 {
		return append([]string{}, r.Type...)
	}
	out := []string{}
	at := slices.IndexFunc(e.Args, func(a string) bool {
		return r.Word != "" && (a == r.Word || strings.HasSuffix(a, "="+r.Word) || strings.HasPrefix(a, r.Word+"="))
	})
	for _, s := range r.Swap {
		if at < 0 {
			break
		}
		args := slices.Clone(e.Args)
		i := strings.LastIndex(args[at], r.Word)
		args[at] = args[at][:i] + s + args[at][i+len(r.Word):]
		out = append(out, typed(args))
	}
	if len(out) == 0 {
		out = append(out, strings.TrimSpace(strings.Join(e.path(), " ")+" --help"))
	}
	return out
}

// path gives the words of the command among those typed.
func (e *Env) path() (out []string) {
	for _, a := range e.Args {
		if isFlag(a) || len(out) == 2 || strings.ContainsAny(a, ".0123456789=") {
			break
		}
		out = append(out, a)
	}
	return out
}

// Warn writes a warning to stderr: what, and what to type.
func (e *Env) Warn(w jobs.Warning) {
	e.say(e.ErrOut, "", "bookmatch: "+w.Text)
	if w.Hint != "" {
		fmt.Fprintln(e.ErrOut, "  Type: "+plain.Clean(w.Hint))
	}
}

// PrintJSON writes v as indented JSON.
func (e *Env) PrintJSON(v any) error { return e.jsonTo(e.Out, v) }

func (e *Env) jsonTo(w io.Writer, v any) error {
	enc := json.NewEncoder(plain.JSONWriter{To: w})
	enc.SetIndent("", "  ")
	enc.SetEscapeHTML(false)
	return enc.Encode(v)
}
