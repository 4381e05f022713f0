package store

import (
	"fmt"
	"runtime/debug"
	"strings"
)

// fromBolt says whether a recovered panic came out of bbolt or of reading
// memory that the file no longer backs. It looks at the stack of the panic,
// which is still there while a deferred function runs.
func fromBolt(p any) bool {
	text := fmt.Sprint(p)
	if strings.Contains(text, "unexpected fault address") {
		return true
	}
	stack := string(debug.Stack())
	_, below, ok := strings.Cut(stack, "panic(")
	if !ok {
		return false
	}
	lines := strings.Split(below, "\n")
	for _, l := range lines[1:] {
		if strings.HasPrefix(l, "\t") || l == "" {
			continue
		}
		if strings.HasPrefix(l, "runtime.") || strings.HasPrefix(l, "panic(") {
			continue
		}
		return strings.HasPrefix(l, "go.etcd.io/bbolt")
	}
	return false
}
