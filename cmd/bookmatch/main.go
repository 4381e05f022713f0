// Command bookmatch keeps the log of a guitar workshop: it clocks operations
// per evening, says when a drill bit should retire and quotes custom builds.
package main

import (
	"bookmatch/cmd/words"
	"context"
	"fmt"
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
	go endSoon(ctx, stop)
	code := run(ctx, os.Args[1:], words.ProcessEnv())
	stop()
	os.Exit(code)
}

// endSoon ends the process a moment after a first signal, and at once with a
// second. No word looks out for signals: a change is kept whole or not at all
// however the process ends, and what is half written under a passing name is
// swept later.
func endSoon(ctx context.Context, stop func()) {
	<-ctx.Done()
	stop()
	time.Sleep(300 * time.Millisecond)
	fmt.Fprintln(os.Stderr, "bookmatch: STOPPED. Every change that you saw is saved.")
	os.Exit(words.ExitFailure)
}
