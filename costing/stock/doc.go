// Package stock values supplies by lot, first in, first out, and says what to
// order and when.
package stock
