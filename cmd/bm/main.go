// Command bm is Bookmatch at the bench: on, off, done, away, back, go, oops and
// spent, from a program that starts in a third of the time because it carries no
// workbooks and drawings. Whatever else is typed it hands over to bookmatch, word
// for word, so that one short name will do for everything.
package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"runtime/debug"
	_ "time/tzdata" // a bench machine may have no zone data of its own

	"bookmatch/cmd/words"
)

func main() {
	debug.SetGCPercent(400) // a bench word ends before a first collection would pay
	e := words.ProcessEnv()
	args := os.Args[1:]
	if !words.IsBench(args) {
		os.Exit(handOver(e, args))
	}
	os.Exit(words.Program{Commands: words.Bench()}.Run(context.Background(), args, e))
}

// handOver gives the words to bookmatch: the one next to this program, else the
// one on the path. Where the system can it takes this process's place.
func handOver(e *words.Env, args []string) int {
	name, err := whole()
	if err == nil {
		err = become(name, append([]string{name}, args...))
	}
	var exit *exec.ExitError
	if errors.As(err, &exit) {
		return exit.ExitCode()
	}
	if err == nil {
		return words.ExitDone
	}
	fmt.Fprintf(e.ErrOut, "bookmatch: bm hands this over to bookmatch, which cannot be started: %v\n", err)
	fmt.Fprintln(e.ErrOut, "  Type: go install ./cmd/...")
	return words.ExitFailure
}

// whole finds bookmatch. What goes by that name and is this very program (a copy
// under the other's name, a link) would hand over for ever.
func whole() (string, error) {
	self, err := os.Executable()
	if err != nil {
		return "", err
	}
	own, err := os.Stat(self)
	if err != nil {
		return "", err
	}
	name := filepath.Join(filepath.Dir(self), "bookmatch"+filepath.Ext(self))
	found, err := os.Stat(name)
	if errors.Is(err, fs.ErrNotExist) || err == nil && os.SameFile(own, found) {
		if name, err = exec.LookPath("bookmatch"); err == nil {
			found, err = os.Stat(name)
		}
	}
	if err == nil && os.SameFile(own, found) {
		err = fmt.Errorf("%s is bm itself", name)
	}
	return name, err
}
