package store

import (
	"cmp"
	"slices"

	"bookmatch/jobs"
)

// BitBookAlike gathers what speaks for some bits: the lives of their own edges
// and of those of the bits alike in class, or where none of these has a closed
// edge yet, of the bits with the same material and point.
func (tx *Tx) BitBookAlike(codes ...string) (jobs.BitBook, error) {
	var book jobs.BitBook
	var classes []jobs.BitClass
	for _, code := range codes {
		b, ok, err := Get(tx, Bits, code)
		if err != nil {
			return book, err
		}
		if ok && !slices.Contains(classes, b.Class()) {
			classes = append(classes, b.Class())
		}
	}
	thin := false
	for _, class := range classes {
		bits, err := By(tx, Bits, BitsByClass, class.String())
		if err != nil {
			return book, err
		}
		closed := 0
		for _, b := range bits {
			lives, err := tx.lives(b.Code)
			if err != nil {
				return book, err
			}
			book.Known = append(book.Known, lives...)
			// An edge does not speak for itself: a class needs another one.
			if !slices.Contains(codes, b.Code) {
				closed += countClosed(lives)
			}
		}
		book.Bits = append(book.Bits, bits...)
		thin = thin || closed == 0
	}
	if thin {
		wide, err := tx.BitBookLives()
		if err != nil {
			return book, err
		}
		wide.Bits = slices.DeleteFunc(wide.Bits, func(b jobs.Bit) bool {
			return !slices.ContainsFunc(classes, func(c jobs.BitClass) bool { return c.Material == b.Material && c.Point == b.Point })
		})
		return wide, nil
	}
	slices.SortFunc(book.Bits, func(a, b jobs.Bit) int { return cmp.Compare(a.Code, b.Code) })
	return book, tx.addShared(&book)
}

func countClosed(lives []jobs.EdgeLife) int {
	n := 0
	for _, l := range lives {
		if l.Closed && l.LifeM > 0 {
			n++
		}
	}
	return n
}

// BitBookLives gathers all bits with the lives of their edges, but not the uses
// and moves that these come from.
func (tx *Tx) BitBookLives() (jobs.BitBook, error) {
	var book jobs.BitBook
	var err error
	if book.Bits, err = All(tx, Bits); err != nil {
		return book, err
	}
	for _, b := range book.Bits {
		lives, err := tx.lives(b.Code)
		if err != nil {
			return book, err
		}
		book.Known = append(book.Known, lives...)
	}
	return book, tx.addShared(&book)
}

// addShared adds what all bits share: the woods, and the uses of a bit that
// nobody remembers.
func (tx *Tx) addShared(book *jobs.BitBook) (err error) {
	if book.Woods, err = All(tx, Woods); err != nil {
		return err
	}
	book.Uses, err = By(tx, BitUses, BitUsesByBit, unknownBit)
	return err
}
