package store

import (
	"encoding/binary"
	"fmt"
	"math"

	"bookmatch/jobs"
)

// The ages of a bit's edges stand packed beside its card: a verdict asks for
// those of all bits alike, and of these for nothing else.
//
// An edge is its number (4 bytes), one byte of marks, the life and the rated
// life in cut metres (IEEE 754, 8 bytes each), all big-endian.
const packedAge = 4 + 1 + 8 + 8

const (
	markEvent  = 1
	markClosed = 2
)

func packAges(lives []jobs.EdgeLife) []byte {
	out := make([]byte, 0, len(lives)*packedAge)
	for _, l := range lives {
		marks := byte(0)
		if l.Event {
			marks |= markEvent
		}
		if l.Closed {
			marks |= markClosed
		}
		out = binary.BigEndian.AppendUint32(out, uint32(l.Edge))
		out = append(out, marks)
		out = binary.BigEndian.AppendUint64(out, math.Float64bits(l.LifeM))
		out = binary.BigEndian.AppendUint64(out, math.Float64bits(l.RatedM))
	}
	return out
}

// unpackAges adds the ages of a bit's edges to a list.
func unpackAges(raw []byte, code string, class jobs.BitClass, list []jobs.EdgeAge) ([]jobs.EdgeAge, error) {
	if len(raw)%packedAge != 0 {
		return list, damaged("edge ages of bit", []byte(code), fmt.Errorf("%d bytes are no whole number of edges", len(raw)))
	}
	for ; len(raw) > 0; raw = raw[packedAge:] {
		list = append(list, jobs.EdgeAge{Bit: code, Class: class, Edge: int(binary.BigEndian.Uint32(raw)),
			Event: raw[4]&markEvent != 0, Closed: raw[4]&markClosed != 0,
			LifeM: math.Float64frombits(binary.BigEndian.Uint64(raw[5:])), RatedM: math.Float64frombits(binary.BigEndian.Uint64(raw[13:]))})
	}
	return list, nil
}

// addAges adds the ages of a bit's edges to a list.
func (tx *Tx) addAges(code string, class jobs.BitClass, list []jobs.EdgeAge) ([]jobs.EdgeAge, error) {
	if err := tx.freshen(); err != nil {
		return nil, err
	}
	return unpackAges(tx.bucket(BitAges).Get([]byte(code)), code, class, list)
}
