//go:build !unix

package main

import (
	"os"
	"os/exec"
)

// become runs another program as if it were this one.
func become(name string, args []string) error {
	cmd := exec.Command(name, args[1:]...)
	cmd.Stdin, cmd.Stdout, cmd.Stderr = os.Stdin, os.Stdout, os.Stderr
	return cmd.Run()
}
