package main

import (
	"context"
	"os"
	"os/signal"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"bookmatch-ask": askOnce,
		"bookmatch": func() {
			ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
			code := typedAgain(ctx, os.Args[1:])
			stop()
			os.Exit(code)
		},
	})
}

// TestScripts plays every script of testdata/script: one behaviour each, typed
// as a person would. UPDATE_GOLDEN=1 writes what is compared again.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 "../../testdata/script",
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		UpdateScripts:       os.Getenv("UPDATE_GOLDEN") == "1",
		Setup: func(env *testscript.Env) error {
			env.Setenv("TZ", "UTC")
			env.Setenv("HOME", env.WorkDir)
			env.Setenv("NO_COLOR", "1")
			env.Setenv("BOOKMATCH_FILE", env.WorkDir+"/shop.db")
			return nil
		},
	})
}
