//go:build !linux

package store

import bolt "go.etcd.io/bbolt"

// letGo is a piece of advice that this system is not given.
func letGo(*bolt.DB, int64) {}
