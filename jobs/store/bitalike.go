package store

import (
	"slices"

	"bookmatch/jobs"
)

// BitBookAlike gathers what speaks for some bits: the lives of their own edges,
// and the ages of the edges of the bits alike in class, or where none of these
// has a closed edge yet, of the bits with the same material and point.
func (tx *Tx) BitBookAlike(codes ...string) (jobs.BitBook, error) {
	var book jobs.BitBook
	var classes []jobs.BitClass
	for _, code := range slices.Compact(slices.Sorted(slices.Values(codes))) {
		b, ok, err := Get(tx, Bits, code)
		if err != nil {
			return book, err
		}
		if !ok {
			continue
		}
		book.Bits = append(book.Bits, b)
		lives, err := tx.lives(code)
		if err != nil {
			return book, err
		}
		book.Known = append(book.Known, lives...)
		if !slices.Contains(classes, b.Class()) {
			classes = append(classes, b.Class())
		}
	}
	thin := false
	for _, class := range classes {
		first := len(book.Ages)
		for code := range scan(tx, BitsByClass, []byte(class.String()), false) {
			if slices.Contains(codes, string(code)) {
				continue
			}
			var err error
			if book.Ages, err = tx.addAges(string(code), class, book.Ages); err != nil {
				return book, err
			}
		}
		// An edge does not speak for itself: a class needs another one.
		thin = thin || !slices.ContainsFunc(book.Ages[first:], func(a jobs.EdgeAge) bool { return a.Closed && a.LifeM > 0 })
	}
	if thin {
		if err := tx.agesWide(&book, codes, classes); err != nil {
			return book, err
		}
	}
	return book, tx.addShared(&book)
}

// agesWide gives a book the ages of all bits with the material and point of one
// of the classes.
func (tx *Tx) agesWide(book *jobs.BitBook, but []string, classes []jobs.BitClass) error {
	book.Ages = nil
	for b, err := range Each(tx, Bits) {
		if err != nil {
			return err
		}
		class := b.Class()
		if slices.Contains(but, b.Code) || !slices.ContainsFunc(classes, func(c jobs.BitClass) bool { return c.Material == class.Material && c.Point == class.Point }) {
			continue
		}
		if book.Ages, err = tx.addAges(b.Code, class, book.Ages); err != nil {
			return err
		}
	}
	return nil
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
