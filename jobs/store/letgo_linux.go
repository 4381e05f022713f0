package store

import (
	"syscall"

	bolt "go.etcd.io/bbolt"
)

// letGo lets the system know that the pages of the file looked at so far are not
// needed any more. The file is mapped: without it, reading a long file from end to
// end keeps all of it in this process's memory.
func letGo(db *bolt.DB, size int64) {
	if at := db.Info().Data; at != 0 && size > 0 {
		syscall.Syscall(syscall.SYS_MADVISE, at, uintptr(size), syscall.MADV_DONTNEED) // advice: what comes of it does not matter
	}
}
