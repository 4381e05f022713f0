//go:build unix

package main

import (
	"os"
	"syscall"
)

// become puts another program in this one's place.
func become(name string, args []string) error { return syscall.Exec(name, args, os.Environ()) }
