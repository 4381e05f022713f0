package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"

	"bookmatch/cmd/words"
)

// refused is what a refusal looks like on the screen: what did not happen, why, and
// what to type.
var (
	refused  = regexp.MustCompile(`(?m)^bookmatch: [A-Z][A-Z ]+: .+\.$`)
	typeLine = regexp.MustCompile(`(?m)^  Type: (.+)$`)
)

// typedAgain runs a command and, where it is refused, holds the refusal to its three
// parts, as text and as JSON. In CI it types the first line that the refusal offers on a
// copy of the folder: the records may refuse it, as wrong usage it fails. What fails is
// printed and gives code 0, which no script expects of a refusal.
func typedAgain(ctx context.Context, args []string) int {
	var errs bytes.Buffer
	e := words.ProcessEnv()
	e.ErrOut = io.MultiWriter(os.Stderr, &errs)
	code := run(ctx, args, e)
	if code != words.ExitFailure && code != words.ExitUsage && code != words.ExitConflict {
		return code
	}
	fail := func(format string, a ...any) int {
		fmt.Fprintf(os.Stderr, "REFUSAL: "+format+"\n%s", append(a, errs.String())...)
		return 0 // the script expects a refusal, and fails
	}
	line, why := toType(errs.Bytes())
	if why != "" {
		return fail("%s", why)
	}
	if os.Getenv("CI") == "" {
		return code
	}
	folder, err := copyOfFolder()
	if err != nil {
		return fail("%v", err)
	}
	defer os.RemoveAll(folder)
	here, err := os.Getwd()
	if err != nil {
		return fail("%v", err)
	}
	if err := os.Chdir(folder); err != nil {
		return fail("%v", err)
	}
	defer os.Chdir(here)
	// An example of a value may not suit the moment ("19:30" at 22:45): the answer to
	// it then has to lead on.
	for range 2 {
		raw, err := exec.Command("sh", "-c", `printf '%s\n' `+line).Output()
		if err != nil {
			return fail("a shell does not take the line %q: %v", line, err)
		}
		var noise bytes.Buffer
		again := &words.Env{In: strings.NewReader(""), Out: io.Discard, ErrOut: &noise, Now: e.Now, Getenv: func(k string) string {
			if k == "BOOKMATCH_FILE" {
				return filepath.Join(folder, filepath.Base(os.Getenv(k)))
			}
			return os.Getenv(k)
		}}
		if run(ctx, strings.Split(strings.TrimRight(string(raw), "\n"), "\n"), again) != words.ExitUsage {
			return code
		}
		if line, why = toType(noise.Bytes()); why != "" {
			return fail("the line to type is refused, and there %s: %s", why, noise.String())
		}
	}
	return fail("the line to type and the next are wrong usage")
}

// toType gives the first line that a refusal offers, or says which part is missing.
func toType(said []byte) (line, why string) {
	if !bytes.HasPrefix(said, []byte("{")) {
		if !refused.Match(said) {
			return "", "what did not happen, in capitals, or a whole sentence why is missing"
		}
		m := typeLine.FindSubmatch(said)
		if m == nil {
			return "", "nothing to type is offered"
		}
		return string(m[1]), ""
	}
	var r struct {
		Error struct {
			What, Why string
			Type      []string
		}
	}
	if err := json.Unmarshal(said, &r); err != nil {
		return "", "the JSON cannot be read: " + err.Error()
	}
	if r.Error.What == "" || r.Error.What != strings.ToUpper(r.Error.What) || r.Error.Why == "" || len(r.Error.Type) == 0 {
		return "", "a part of what, why and type is missing"
	}
	return r.Error.Type[0], ""
}

// copyOfFolder copies the plain files of the working folder.
func copyOfFolder() (string, error) {
	to, err := os.MkdirTemp("", "bookmatch-typed")
	if err != nil {
		return "", err
	}
	files, err := os.ReadDir(".")
	if err != nil {
		return to, err
	}
	for _, f := range files {
		if info, err := f.Info(); err != nil || !info.Mode().IsRegular() || info.Size() > 64<<20 {
			continue
		}
		raw, err := os.ReadFile(f.Name())
		if err != nil {
			continue
		}
		if err := os.WriteFile(filepath.Join(to, f.Name()), raw, 0o600); err != nil {
			return to, err
		}
	}
	return to, nil
}
