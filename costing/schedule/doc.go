// Package schedule plans the work of this evening and the date that can be
// promised, over the evenings that are really worked.
package schedule
