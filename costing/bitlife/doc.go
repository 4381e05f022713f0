// Package bitlife says how long a bit lasts: the lives of its edges give the
// risk of the next hole, the age to retire an edge, and a verdict.
package bitlife
