// Command bookmatch keeps the log of a guitar workshop: it clocks operations
// per evening, says when a drill bit should retire and quotes custom builds.
package main

import (
	"context"
	"os"
	"os/signal"
	"runtime/debug"
	"syscall"
	"time"
	_ "time/tzdata" // a bench machine may have no zone data of its own
)

func main() {
	debug.SetGCPercent(400) // a bench word ends before a first collection would pay
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	code := run(ctx, os.Args[1:], processEnv())
	stop()
	os.Exit(code)
}

func processEnv() *env {
	return &env{in: os.Stdin, out: os.Stdout, errOut: os.Stderr, now: time.Now, getenv: os.Getenv, isTerminal: isTerminal(os.Stdout), errTerminal: isTerminal(os.Stderr)}
}

func isTerminal(f *os.File) bool {
	info, err := f.Stat()
	return err == nil && info.Mode()&os.ModeCharDevice != 0
}
