// Package jobs holds the workshop's nouns and its pure rules: the shop, operations,
// routes, necks with their steps, entries of logged work,
// supplies, bits and woods.
//
// Vocabulary: a neck passes through the steps of a route; a step is an operation
// with a quantity; an entry is one stretch of logged work; a
// pass is all the entries from starting a step until it is done; an evening is
// the shop day on which an entry began.
//
// Units: instants are UTC; spans are true elapsed time; lengths are
// millimetres; quantities of supplies and amounts of money are exact decimals.
//
// The package is pure: it opens no file, reads no clock and keeps no state.
// What a step, a bit or a lot has come to is derived from the records each
// time and never stored as a counter.
package jobs
