package store

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"time"
)

// idKey is the key of a numbered record.
// idBytes is the length of a number in a key.
const idBytes = 8

func idKey(id uint64) []byte { return binary.BigEndian.AppendUint64(nil, id) }

// timeKey sorts as instants do, also before 1970.
func timeKey(t time.Time) []byte {
	return binary.BigEndian.AppendUint64(nil, uint64(t.Unix())^(1<<63))
}

// pair joins two parts of a key with a zero byte between, so that a scan for
// the first part never runs into a longer name.
func pair(a string, b []byte) []byte {
	key := make([]byte, 0, len(a)+1+len(b))
	key = append(key, a...)
	key = append(key, 0)
	return append(key, b...)
}

// numbered says that a key is a number and not a name.
func numbered(k []byte) bool { return len(k) == 8 && k[0] == 0 }

// keyText makes a key readable: a number, or name/number, or the text.
func keyText(k []byte) string {
	number := func(b []byte) string {
		n := uint64(0)
		for _, x := range b {
			n = n<<8 | uint64(x)
		}
		return fmt.Sprint(n)
	}
	if numbered(k) {
		return number(k)
	}
	if i := bytes.IndexByte(k, 0); i > 0 && len(k)-i == 9 {
		return fmt.Sprintf("%q %s", k[:i], number(k[i+1:]))
	}
	return fmt.Sprintf("%q", k)
}

func keyNumber(k []byte) (n uint64) {
	for _, x := range k[len(k)-8:] {
		n = n<<8 | uint64(x)
	}
	return n
}
