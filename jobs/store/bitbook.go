package store

import (
	"slices"

	"bookmatch/jobs"
)

// BitBook gathers the records of the named bits, or of all when none is named.
// Uses of an unknown bit are part of it either way.
func (tx *Tx) BitBook(codes ...string) (jobs.BitBook, error) {
	var book jobs.BitBook
	var err error
	if book.Woods, err = All(tx, Woods); err != nil {
		return book, err
	}
	if len(codes) == 0 {
		if book.Bits, err = All(tx, Bits); err != nil {
			return book, err
		}
		if book.Edges, err = All(tx, Edges); err != nil {
			return book, err
		}
		if book.Uses, err = All(tx, BitUses); err != nil {
			return book, err
		}
		book.Moves, err = All(tx, BitMoves)
		return book, err
	}
	if book.Uses, err = By(tx, BitUses, BitUsesByBit, unknownBit); err != nil {
		return book, err
	}
	for _, code := range codes {
		b, ok, err := Get(tx, Bits, code)
		if err != nil {
			return book, err
		}
		if ok {
			book.Bits = append(book.Bits, b)
		}
		edges, err := AllOf(tx, Edges, code)
		if err != nil {
			return book, err
		}
		uses, err := By(tx, BitUses, BitUsesByBit, code)
		if err != nil {
			return book, err
		}
		moves, err := By(tx, BitMoves, BitMovesByBit, code)
		if err != nil {
			return book, err
		}
		book.Edges = append(book.Edges, edges...)
		book.Uses = append(book.Uses, uses...)
		book.Moves = append(book.Moves, moves...)
	}
	return book, nil
}

// BitSet is where a bit is now.
func (tx *Tx) BitSet(b jobs.Bit) (string, error) {
	moves, err := By(tx, BitMoves, BitMovesByBit, b.Code)
	if err != nil || len(moves) == 0 {
		return b.Set, err
	}
	edges, err := AllOf(tx, Edges, b.Code)
	if err != nil {
		return "", err
	}
	// Where a bit is, its uses do not tell.
	return jobs.BitBook{Bits: []jobs.Bit{b}, Edges: edges, Moves: moves}.Where(b.Code), nil
}

// CurrentEdge is the number of the edge a bit cuts with now.
func (tx *Tx) CurrentEdge(code string) (int, error) {
	no := 1
	for e, err := range EachOf(tx, Edges, code) {
		if err != nil {
			return 0, err
		}
		no = max(no, e.No)
	}
	return no, nil
}

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
