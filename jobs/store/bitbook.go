package store

import "bookmatch/jobs"

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
