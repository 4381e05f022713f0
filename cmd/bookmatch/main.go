// Command bookmatch keeps the log of a guitar workshop: it clocks operations
// per evening, says when a drill bit should retire and quotes custom builds.
package main

import (
	"context"
	"os"
	"os/signal"
	"runtime/debug"
	"syscall"
	_ "time/tzdata" // a bench machine may have no zone data of its own
)

func main() {
	debug.SetGCPercent(400) // a bench word ends before a first collection would pay
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	code := run(ctx, os.Args[1:], processEnv())
	stop()
	os.Exit(code)
}
