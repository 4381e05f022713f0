package store

import (
	"bookmatch/costing/quote"
)

// Quotes by code.
var Quotes = &Collection[quote.Quote]{bucket: "quotes", noun: "quote", key: func(q *quote.Quote) []byte { return []byte(q.Code) }}

// Revisions of quotes by quote and number. A revision that was sent keeps a
// copy of every input.
var Revisions = &Collection[quote.Revision]{bucket: "revisions", noun: "quote revision", key: func(r *quote.Revision) []byte { return pair(r.Quote, idKey(uint64(r.No))) }}
