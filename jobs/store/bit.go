package store

import (
	"bookmatch/jobs"
)

// Names of the indexes of bits.
const (
	BitsByClass    = "ix_bits_class"
	BitUsesByBit   = "ix_bit_uses_bit"
	BitUsesByNeck  = "ix_bit_uses_neck"
	BitUsesByEntry = "ix_bit_uses_entry"
	BitMovesByBit  = "ix_bit_moves_bit"
)

// unknownBit is the name under which the index keeps uses of a bit that nobody
// remembers; no code can be that.
const unknownBit = "/unknown"

// Bits by code, with an index of those whose lives are pooled.
var Bits = &Collection[jobs.Bit]{bucket: "bits", noun: "bit", key: func(b *jobs.Bit) []byte { return []byte(b.Code) }, valid: func(b *jobs.Bit) error { return b.Validate() },
	indexes: []index[jobs.Bit]{{bucket: BitsByClass, keys: func(b *jobs.Bit) [][]byte { return byName(b.Class().String()) }}}}

// Edges by bit and number.
var Edges = &Collection[jobs.Edge]{bucket: "edges", noun: "edge", key: func(e *jobs.Edge) []byte { return pair(e.Bit, idKey(uint64(e.No))) }}

// BitUses by number. Uses and moves draw their numbers from one sequence
// (NextBitID), so that the number orders what happened at one instant.
var BitUses = &Collection[jobs.BitUse]{bucket: "bit_uses", noun: "bit use", key: func(u *jobs.BitUse) []byte { return idKey(u.ID) }, valid: func(u *jobs.BitUse) error { return u.Validate() },
	indexes: []index[jobs.BitUse]{
		{bucket: BitUsesByBit, keys: func(u *jobs.BitUse) [][]byte {
			if u.Bit == "" {
				return byName(unknownBit)
			}
			return byName(u.Bit)
		}},
		{bucket: BitUsesByNeck, keys: func(u *jobs.BitUse) [][]byte { return byName(u.Neck) }},
		{bucket: BitUsesByEntry, keys: func(u *jobs.BitUse) [][]byte { return byID(u.Entry) }},
	}}

// BitMoves by number.
var BitMoves = &Collection[jobs.BitMove]{bucket: "bit_moves", noun: "bit move", key: func(m *jobs.BitMove) []byte { return idKey(m.ID) },
	indexes: []index[jobs.BitMove]{{bucket: BitMovesByBit, keys: func(m *jobs.BitMove) [][]byte { return byName(m.Bit) }}}}

// NextBitID gives the next number of a bit's use or move.
func (tx *Tx) NextBitID() (uint64, error) { return NextID(tx, BitUses) }
