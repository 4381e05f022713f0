package store

import (
	"time"

	bolt "go.etcd.io/bbolt"
)

// indexPrefix begins the name of every bucket that is made from others.
const indexPrefix = "ix_"

func makeBuckets(tx *bolt.Tx, now time.Time, version int) error {
	meta, err := tx.CreateBucket([]byte(bucketMeta))
	if err != nil {
		return err
	}
	if err := ensureBuckets(tx); err != nil {
		return err
	}
	return writeHead(meta, head{Schema: version, Made: now.UTC().Format(time.RFC3339), Numbers: map[string]uint64{}})
}

// bucketNames lists every bucket but meta: records, indexes, journal.
func bucketNames() []string {
	names := []string{bucketJournal, bucketAnswers, answersByTime}
	for _, c := range collections {
		names = append(names, c.name())
		names = append(names, c.indexNames()...)
	}
	return append(names, BitSummaries)
}

func ensureBuckets(tx *bolt.Tx) error {
	for _, n := range bucketNames() {
		if _, err := tx.CreateBucketIfNotExists([]byte(n)); err != nil {
			return err
		}
	}
	return nil
}
