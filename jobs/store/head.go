package store

import (
	"encoding/json"
	"fmt"
	"time"

	bolt "go.etcd.io/bbolt"
)

// head is what the file says of itself. It is one sealed value, so that neither
// the schema nor a number to be given next can change unnoticed.
type head struct {
	Schema int    `json:"schema"`
	Made   string `json:"made"` // RFC 3339
	// Numbers are the last numbers given, by bucket; none is given again.
	Numbers map[string]uint64 `json:"numbers"`
}

// readHead gives the head of a file; schema 0 for a file without anything in it.
func readHead(tx *bolt.Tx, path string) (h head, err error) {
	meta := tx.Bucket([]byte(bucketMeta))
	if meta == nil {
		if k, _ := tx.Cursor().First(); k != nil {
			return h, fmt.Errorf("%w: %s holds other data", ErrDamaged, path)
		}
		return h, nil
	}
	value := meta.Get([]byte(keyHead))
	if value == nil {
		return h, fmt.Errorf("%w: %s has no schema number", ErrDamaged, path)
	}
	if err := readValue("head of the file", []byte(keyHead), value, &h); err != nil {
		return h, err
	}
	if _, err := time.Parse(time.RFC3339, h.Made); err != nil || h.Schema < 1 {
		return h, fmt.Errorf("%w: %s does not say what it is", ErrDamaged, path)
	}
	return h, nil
}

func writeHead(meta *bolt.Bucket, h head) error {
	doc, err := json.Marshal(h)
	if err != nil {
		return err
	}
	return meta.Put([]byte(keyHead), seal([]byte(keyHead), doc))
}

// numbers gives the last numbers given, read once a transaction.
func (tx *Tx) numbers() (map[string]uint64, error) {
	if tx.head == nil {
		h, err := readHead(tx.btx, "the workshop file")
		if err != nil {
			return nil, err
		}
		if h.Numbers == nil {
			h.Numbers = map[string]uint64{}
		}
		tx.head = &h
	}
	return tx.head.Numbers, nil
}

// nextNumber gives the next number of a bucket. It lasts when the transaction
// changes a record.
func (tx *Tx) nextNumber(bucket string) (uint64, error) {
	n, err := tx.numbers()
	if err != nil {
		return 0, err
	}
	n[bucket]++
	return n[bucket], nil
}

// NextID gives the next number of a collection; a number is never given twice.
func NextID[T any](tx *Tx, c *Collection[T]) (uint64, error) { return tx.nextNumber(c.bucket) }

// NextChange is the number that the change of this transaction will get, if it
// changes anything.
func (tx *Tx) NextChange() uint64 {
	n, err := tx.numbers()
	if err != nil {
		return 0 // the write that follows meets the same error
	}
	return n[bucketJournal] + 1
}
