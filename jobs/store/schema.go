// Package store keeps the workshop in one bbolt file. It is the only package
// that knows bbolt, and no type of bbolt appears in an exported name.
//
// The file (schema 1). Values are one JSON document per record with its
// checksum before it (seal.go), in indexes the key of a record; numbers in keys are 8-byte big-endian, instants in keys big-endian Unix seconds with the sign
// bit flipped, so that bytes sort as time does:
//
//	meta        "head" -> schema, when the file was made, the last numbers given
//	shop        "shop" -> jobs.Shop
//	operations  name -> jobs.Operation
//	woods       name -> jobs.Wood
//	routes      name -> jobs.Route
//	necks       code -> jobs.Neck                indexes by status, by name
//	entries     id -> jobs.Entry                 indexes by time, neck, operation, cause, open
//	supplies    name -> jobs.Supply
//	lots        id -> jobs.Lot                   index by supply
//	uses        id -> jobs.SupplyUse             indexes by supply, neck, entry
//	parts       id -> jobs.Part                  index by neck
//	pieces      code -> jobs.Piece
//	bits        code -> jobs.Bit                 index by class; summaries, see bitsummary.go
//	edges       bit 0 number -> jobs.Edge
//	bit_uses    id -> jobs.BitUse                indexes by bit, neck, entry
//	bit_moves   id -> jobs.BitMove               index by bit
//	plans       neck 0 version -> jobs.Plan
//	quotes      code -> jobs.Quote
//	revisions   quote 0 number -> jobs.Revision
//	journal     seq -> Change
//	answers     token -> what a verb answered, kept 30 days; index by time
//	ix_*        index key 0 record key -> record key
//
// The drawing, the list of migrations and schemaVersion change together. An
// index bucket exists where a benchmark showed the need; `data check` compares
// each with its records.
package store

// schemaVersion is the schema this program writes. A file with a lower number
// is migrated on opening; a higher one is refused.
const schemaVersion = 1

const (
	bucketMeta    = "meta"
	bucketJournal = "journal"
	keyHead       = "head"
)
