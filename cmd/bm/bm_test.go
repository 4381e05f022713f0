package main

import (
	"bookmatch/cmd/words"
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/rogpeppe/go-internal/testscript"
)

// programs builds bm and bookmatch beside each other, once.
var programs = sync.OnceValues(func() (string, error) {
	dir, err := os.MkdirTemp("", "bookmatch-bm")
	if err != nil {
		return "", err
	}
	out, err := exec.Command("go", "build", "-o", dir+string(filepath.Separator), "bookmatch/cmd/bm", "bookmatch/cmd/bookmatch").CombinedOutput()
	if err != nil {
		err = fmt.Errorf("%w: %s", err, out)
	}
	return dir, err
})

func TestMain(m *testing.M) {
	code := m.Run()
	if dir, err := programs(); err == nil {
		os.RemoveAll(dir)
	}
	os.Exit(code)
}

// TestScriptsTypedAsBM plays the scripts of the whole program once more with the
// short name: what bm does itself and what it hands over, nobody can tell.
func TestScriptsTypedAsBM(t *testing.T) {
	bin, err := programs()
	if err != nil {
		t.Fatal(err)
	}
	scripts, err := filepath.Glob("../../testdata/script/*.txtar")
	if err != nil || len(scripts) < 40 {
		t.Fatalf("%d scripts, %v", len(scripts), err)
	}
	dir := t.TempDir()
	word := regexp.MustCompile(`(?m)^(!? ?)exec bookmatch `)
	bench := regexp.MustCompile(`(?m)^!? ?exec bookmatch (on|off|done|away|back|go|oops|spent|now)\b`)
	for _, p := range scripts {
		raw, err := os.ReadFile(p)
		if err != nil {
			t.Fatal(err)
		}
		if len(bench.FindAll(raw, -1)) < 4 {
			continue // handed over, for the most part
		}
		if err := os.WriteFile(filepath.Join(dir, filepath.Base(p)), word.ReplaceAll(raw, []byte("${1}exec bm ")), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	testscript.Run(t, testscript.Params{Dir: dir, RequireExplicitExec: true, Setup: func(env *testscript.Env) error {
		env.Setenv("TZ", "UTC")
		env.Setenv("HOME", env.WorkDir)
		env.Setenv("NO_COLOR", "1")
		env.Setenv("BOOKMATCH_FILE", env.WorkDir+"/shop.db")
		env.Setenv("PATH", bin+string(filepath.ListSeparator)+env.Getenv("PATH"))
		return nil
	}})
}

// TestBothWriteTheSame types an evening into two files, one with each program:
// every answer and at the end every byte of the export is the same, but for the
// name that is typed.
func TestBothWriteTheSame(t *testing.T) {
	bin, err := programs()
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	type answer struct {
		Out, Err string
		Code     int
	}
	say := func(program, now string, args ...string) answer {
		cmd := exec.Command(filepath.Join(bin, program), args...)
		file := filepath.Join(dir, program+".db")
		cmd.Env = []string{"BOOKMATCH_NOW=" + now, "BOOKMATCH_FILE=" + file, "TZ=UTC", "HOME=" + dir}
		var out, errs bytes.Buffer
		cmd.Stdout, cmd.Stderr = &out, &errs
		var exit *exec.ExitError
		if err := cmd.Run(); err != nil && !errors.As(err, &exit) {
			t.Fatal(err)
		}
		plain := func(b bytes.Buffer) string { return strings.ReplaceAll(b.String(), file, "FILE") }
		return answer{plain(out), plain(errs), cmd.ProcessState.ExitCode()}
	}
	for i, line := range []string{
		"shop setup --name T --currency EUR --zone Europe/Berlin --labour 30",
		"neck add N1 --nickname ada --wood hard-maple",
		"neck add N2 --nickname bo --wood hard-maple",
		"supply add wood-glue --unit ml",
		"bit add S10-1 --diameter 10 --point brad --keep show --price 14 --life 2m --new-edge 14",
		"off", "done", "away", "go", "oops", "on", "on drill", "on dril ada+bo --json",
		"on drill ada bo", "go", "away", "back", "done ada 6, bo 5 left --grade 1 --note tired",
		"--json on ease-holes ada", "done", "on nothing ada", "on drill nobody",
		"on flush ada --anyway later --note x --bit S10-1", "on flush ada", "off --json", "off now",
		"spent 25 choose ada --done", "spent 25 choose ada --done --on 2026-11-20", "spent x choose ada",
		"oops", "oops --redo", "oops --redo", "done --temp warm", "done --grade 9", "done -1",
		"on drill ada --rework bit --payer shop", "done 2 --depth 14 --backing tight --bit S10-1", "on glue bo --by nobody", "done --temp=12",
		"--bit S10-1 on drill ada --rework bit", "off --", "on --help", "of", "", "tonight", "on drill bo --unknown x", "--file", "on drill ada --note",
		"data check", "OFF", "On ease ada", "Done", "Neck list",
	} {
		now := fmt.Sprintf("2026-11-24T%02d:%02d:00+01:00", 18+i/12, i%12*5)
		args := strings.Fields(line)
		whole, short := say("bookmatch", now, args...), say("bm", now, args...)
		if diff := cmp.Diff(whole, short); diff != "" {
			t.Errorf("%q (-bookmatch +bm):\n%s", line, diff)
		}
	}
	now := "2026-11-24T23:59:00+01:00"
	if diff := cmp.Diff(say("bookmatch", now, "data", "export"), say("bm", now, "data", "export")); diff != "" {
		t.Errorf("the files (-bookmatch +bm):\n%s", diff)
	}
}

// A bm that is alone, or bears the other's name, says so and does not turn in
// circles.
func TestAlone(t *testing.T) {
	bin, err := programs()
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	for _, name := range []string{"bm", "bookmatch"} {
		raw, err := os.ReadFile(filepath.Join(bin, "bm"))
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, name), raw, 0o700); err != nil {
			t.Fatal(err)
		}
		cmd := exec.Command(filepath.Join(dir, name), "neck", "list")
		cmd.Env = []string{"PATH=" + dir, "HOME=" + dir}
		out, _ := cmd.CombinedOutput()
		if code := cmd.ProcessState.ExitCode(); code != words.ExitFailure || !strings.Contains(string(out), "Type: go install ./cmd/...") || strings.Count(string(out), "\n") != 2 {
			t.Errorf("%s alone: exit %d: %s", name, code, out)
		}
		os.Remove(filepath.Join(dir, name))
	}
}

func TestIsBench(t *testing.T) {
	for args, want := range map[string]bool{
		"on drill ada": true, "--json off": true, "OFF": true, "done -6": true, "--file x now": true, "--file=x back": true,
		"": false, "entry list": false, "on --help": false, "--file on": false, "tonight on": false, "of": false,
	} {
		if got := words.IsBench(strings.Fields(args)); got != want {
			t.Errorf("%q: %v, want %v", args, got, want)
		}
	}
}
