package store

import (
	"bookmatch/jobs"
)

// The collections of the file. To keep a new kind of record, declare its
// collection next to its verbs and name it in this list; opening, undo, check,
// export and import walk the list.
var collections = []anyCollection{
	Shops, Operations, Woods, Routes, Necks, Entries,
	Supplies, Lots, Uses, Parts, Pieces,
	Bits, Edges, BitUses, BitMoves,
	Plans, Quotes, Revisions, Customers,
}

func named(name string) anyCollection {
	for _, c := range collections {
		if c.name() == name {
			return c
		}
	}
	return nil
}

// Names of indexes, for By and Latest.
const (
	NecksByStatus      = "ix_necks_status"
	NecksByName        = "ix_necks_name"
	EntriesByTime      = "ix_entries_time"
	EntriesByNeck      = "ix_entries_neck"
	EntriesByOperation = "ix_entries_operation"
	EntriesByCause     = "ix_entries_cause"
	EntriesRunning     = "ix_entries_running"
	LotsBySupply       = "ix_lots_supply"
	UsesBySupply       = "ix_uses_supply"
	UsesByNeck         = "ix_uses_neck"
	UsesByEntry        = "ix_uses_entry"
	PartsByNeck        = "ix_parts_neck"
)

// Shops holds the one shop under the key "shop".
var Shops = &Collection[jobs.Shop]{bucket: "shop", noun: "shop", key: func(*jobs.Shop) []byte { return []byte("shop") }}

// Operations by name.
var Operations = &Collection[jobs.Operation]{bucket: "operations", noun: "operation", key: func(k *jobs.Operation) []byte { return []byte(k.Name) }, valid: func(k *jobs.Operation) error { return k.Validate() }}

// Woods by name.
var Woods = &Collection[jobs.Wood]{bucket: "woods", noun: "wood", key: func(w *jobs.Wood) []byte { return []byte(w.Name) }, valid: func(w *jobs.Wood) error { return w.Validate() }}

// Routes by name.
var Routes = &Collection[jobs.Route]{bucket: "routes", noun: "route", key: func(r *jobs.Route) []byte { return []byte(r.Name) }}

// Necks by code, with indexes by status and by what they are called.
var Necks = &Collection[jobs.Neck]{bucket: "necks", noun: "neck", key: func(n *jobs.Neck) []byte { return []byte(n.Code) }, valid: func(n *jobs.Neck) error { return n.Validate() },
	indexes: []index[jobs.Neck]{{bucket: NecksByStatus, keys: statusKeys}, {bucket: NecksByName, keys: nameKeys}}}

// Entries by number, with indexes by the instant they began, by neck, by operation
// and by cause of rework (in order of time) and of those still on.
var Entries = &Collection[jobs.Entry]{bucket: "entries", noun: "entry", key: func(e *jobs.Entry) []byte { return idKey(e.ID) }, valid: func(e *jobs.Entry) error { return e.Validate() },
	indexes: []index[jobs.Entry]{
		{bucket: EntriesByTime, keys: func(e *jobs.Entry) [][]byte { return [][]byte{timeKey(e.From)} }},
		{bucket: EntriesByNeck, keys: func(e *jobs.Entry) (keys [][]byte) {
			for _, s := range e.Shares {
				keys = append(keys, pair(s.Neck, timeKey(e.From)))
			}
			return keys
		}},
		{bucket: EntriesByOperation, keys: func(e *jobs.Entry) [][]byte { return [][]byte{pair(e.Operation, timeKey(e.From))} }},
		{bucket: EntriesByCause, keys: func(e *jobs.Entry) [][]byte {
			if e.Class != jobs.Rework || e.Cause == "" {
				return nil
			}
			return [][]byte{pair(e.Cause, timeKey(e.From))}
		}},
		{bucket: EntriesRunning, keys: func(e *jobs.Entry) [][]byte {
			if e.Running() {
				return [][]byte{[]byte("on")}
			}
			return nil
		}},
	}}

// Supplies by name.
var Supplies = &Collection[jobs.Supply]{bucket: "supplies", noun: "supply", key: func(s *jobs.Supply) []byte { return []byte(s.Name) }, valid: func(s *jobs.Supply) error { return s.Validate() }}

// Lots by number.
var Lots = &Collection[jobs.Lot]{bucket: "lots", noun: "lot", key: func(l *jobs.Lot) []byte { return idKey(l.ID) }, valid: func(l *jobs.Lot) error { return l.Validate() },
	indexes: []index[jobs.Lot]{{bucket: LotsBySupply, keys: func(l *jobs.Lot) [][]byte { return [][]byte{[]byte(l.Supply)} }}}}

// Uses of supplies by number.
var Uses = &Collection[jobs.SupplyUse]{bucket: "uses", noun: "supply use", key: func(u *jobs.SupplyUse) []byte { return idKey(u.ID) }, valid: func(u *jobs.SupplyUse) error { return u.Validate() },
	indexes: []index[jobs.SupplyUse]{
		{bucket: UsesBySupply, keys: func(u *jobs.SupplyUse) [][]byte { return [][]byte{[]byte(u.Supply)} }},
		{bucket: UsesByNeck, keys: func(u *jobs.SupplyUse) [][]byte { return byName(u.Neck) }},
		{bucket: UsesByEntry, keys: func(u *jobs.SupplyUse) [][]byte { return byID(u.Entry) }},
	}}

// Parts bought in for necks, by number.
var Parts = &Collection[jobs.Part]{bucket: "parts", noun: "part", key: func(p *jobs.Part) []byte { return idKey(p.ID) }, valid: func(p *jobs.Part) error { return p.Validate() },
	indexes: []index[jobs.Part]{{bucket: PartsByNeck, keys: func(p *jobs.Part) [][]byte { return byName(p.Neck) }}}}

// Pieces of veneer and blanks by code.
var Pieces = &Collection[jobs.Piece]{bucket: "pieces", noun: "piece", key: func(p *jobs.Piece) []byte { return []byte(p.Code) }, valid: func(p *jobs.Piece) error { return p.Validate() }}

// Customers by name.
var Customers = &Collection[jobs.Customer]{bucket: "customers", noun: "customer", key: func(c *jobs.Customer) []byte { return []byte(c.Name) }}

// Plans of necks by neck and version.
var Plans = &Collection[jobs.Plan]{bucket: "plans", noun: "plan", key: func(p *jobs.Plan) []byte { return pair(p.Neck, idKey(uint64(p.Version))) }}

// byName is an index key that is absent for the empty name.
func byName(name string) [][]byte {
	if name == "" {
		return nil
	}
	return [][]byte{[]byte(name)}
}

// byID is an index key that is absent for zero.
func byID(id uint64) [][]byte {
	if id == 0 {
		return nil
	}
	return [][]byte{idKey(id)}
}
