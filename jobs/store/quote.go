package store

import (
	"bookmatch/jobs"
)

// Quotes by code.
var Quotes = &Collection[jobs.Quote]{bucket: "quotes", noun: "quote", key: func(q *jobs.Quote) []byte { return []byte(q.Code) }}

// Revisions of quotes by quote and number. A revision that was sent keeps a
// copy of every input.
var Revisions = &Collection[jobs.Revision]{bucket: "revisions", noun: "quote revision", key: func(r *jobs.Revision) []byte { return pair(r.Quote, idKey(uint64(r.No))) }}
