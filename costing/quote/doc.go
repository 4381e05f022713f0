// Package quote works out the cost of a neck, the price of a quote and of a
// change to it, and compares both with what happened.
package quote
