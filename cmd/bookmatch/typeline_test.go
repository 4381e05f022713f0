package main

import (
	"bytes"
	"context"
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

// typedAnew runs a command and, where it is refused, holds the refusal to its three
// parts and types its Type line on a copy of the folder: it may be refused by the
// records, never as wrong usage. What fails is printed and gives code 0, which no script expects of a refusal.
func typedAnew(ctx context.Context, args []string) int {
	var errs bytes.Buffer
	e := words.ProcessEnv()
	e.ErrOut = io.MultiWriter(os.Stderr, &errs)
	code := run(ctx, args, e)
	if os.Getenv("CI") == "" {
		return code // this is for CI
	}
	if code != words.ExitFailure && code != words.ExitUsage && code != words.ExitConflict || bytes.HasPrefix(errs.Bytes(), []byte("{")) {
		return code
	}
	fail := func(format string, a ...any) int {
		fmt.Fprintf(os.Stderr, "REFUSAL: "+format+"\n%s", append(a, errs.String())...)
		return 0 // the script expects a refusal, and fails
	}
	if !refused.Match(errs.Bytes()) {
		return code // found problems, or a failure of the machine
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
	said := errs.String()
	for range 2 {
		m := typeLine.FindStringSubmatch(said)
		if m == nil {
			return fail("nothing to type")
		}
		raw, err := exec.Command("sh", "-c", `printf '%s\n' `+m[1]).Output()
		if err != nil {
			return fail("a shell does not take the line %q: %v", m[1], err)
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
		said = noise.String()
	}
	fail("the Type line and the next are wrong usage: %s", said)
	return 0
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
