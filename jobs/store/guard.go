package store

import (
	"errors"
	"fmt"
	"runtime"
	"runtime/debug"
	"strings"
)

// missingBucket is what a transaction panics with when a bucket of the schema
// is not in the file; guard makes an error of it.
type missingBucket string

// guard runs fn and turns a panic out of torn pages into ErrDamaged. The file
// is mapped into memory, so a page that is cut off or points outside it is a
// memory fault; a panic of our own code passes through.
func guard(path string, fn func() error) (err error) {
	defer debug.SetPanicOnFault(debug.SetPanicOnFault(true))
	defer func() {
		p := recover()
		if p == nil {
			return
		}
		if name, ok := p.(missingBucket); ok {
			err = fmt.Errorf("%w: %s has no %q in it", ErrDamaged, path, string(name))
			return
		}
		if !fromFile(p) {
			panic(p)
		}
		err = fmt.Errorf("%w: %s: %v", ErrDamaged, path, p)
	}()
	return fn()
}

// fromFile says whether a recovered panic came of reading memory that the file
// no longer backs, or out of bbolt. For the latter it looks at the stack of the
// panic, which is still there while a deferred function runs.
func fromFile(p any) bool {
	var fault interface {
		runtime.Error
		Addr() uintptr
	}
	if err, ok := p.(error); ok && errors.As(err, &fault) {
		return true
	}
	_, below, ok := strings.Cut(string(debug.Stack()), "\npanic(")
	if !ok {
		return false
	}
	for _, l := range strings.Split(below, "\n")[1:] {
		switch {
		case l == "", strings.HasPrefix(l, "\t"), strings.HasPrefix(l, "runtime."), strings.HasPrefix(l, "panic("):
		case strings.HasPrefix(l, "internal/runtime"), strings.HasPrefix(l, "encoding/binary"), strings.HasPrefix(l, "bytes."), strings.HasPrefix(l, "sort."):
		default:
			return strings.HasPrefix(l, "go.etcd.io/bbolt")
		}
	}
	return false
}
