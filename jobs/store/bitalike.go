package store

import (
	"slices"

	"bookmatch/jobs"
)

// BitBookAlike gathers what speaks for some bits: their own records and those
// of the bits alike in class, or where none of these has a closed edge yet, of
// the bits with the same material and point. All bits are in it by name; lives
// of the others stand empty.
func (tx *Tx) BitBookAlike(codes ...string) (jobs.BitBook, error) {
	all, err := All(tx, Bits)
	if err != nil {
		return jobs.BitBook{}, err
	}
	class := map[jobs.BitClass]bool{}
	for _, b := range all {
		if slices.Contains(codes, b.Code) {
			class[b.Class()] = true
		}
	}
	var near, wide []string
	for _, b := range all {
		own := b.Class()
		if class[own] {
			near = append(near, b.Code)
			continue
		}
		for c := range class {
			if c.Material == own.Material && c.Point == own.Point {
				wide = append(wide, b.Code)
				break
			}
		}
	}
	book := jobs.BitBook{}
	if len(near) > 0 {
		if book, err = tx.BitBook(near...); err != nil {
			return book, err
		}
	}
	closed := map[jobs.BitClass]int{}
	lives := book.Lives()
	for _, b := range book.Bits {
		for _, l := range lives {
			// An edge does not speak for itself: a class needs another one.
			if l.Bit == b.Code && l.Closed && l.LifeM > 0 && !slices.Contains(codes, l.Bit) {
				closed[b.Class()]++
			}
		}
	}
	if len(closed) < len(class) {
		if book, err = tx.BitBook(append(near, wide...)...); err != nil {
			return book, err
		}
	}
	if book.Woods, err = All(tx, Woods); err != nil {
		return book, err
	}
	book.Bits = all
	return book, nil
}
