package store

import "bookmatch/jobs"

// BitBook gathers the records of the named bits, or of all when none is named.
// Uses of an unknown bit are part of it either way.
func (tx *Tx) BitBook(codes ...string) (jobs.BitBook, error) {
	var book jobs.BitBook
	var err error
	if len(codes) == 0 {
		if book.Woods, err = All(tx, Woods); err != nil {
			return book, err
		}
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
	if err := tx.addShared(&book); err != nil {
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
		if err := tx.addRecords(&book, code); err != nil {
			return book, err
		}
	}
	return book, nil
}

// addRecords adds the edges, uses and moves of one bit.
func (tx *Tx) addRecords(book *jobs.BitBook, code string) error {
	edges, err := AllOf(tx, Edges, code)
	if err != nil {
		return err
	}
	uses, err := By(tx, BitUses, BitUsesByBit, code)
	if err != nil {
		return err
	}
	moves, err := By(tx, BitMoves, BitMovesByBit, code)
	if err != nil {
		return err
	}
	book.Edges = append(book.Edges, edges...)
	book.Uses = append(book.Uses, uses...)
	book.Moves = append(book.Moves, moves...)
	return nil
}

// BitSet is where a bit is now.
func (tx *Tx) BitSet(b jobs.Bit) (string, error) {
	lives, err := tx.lives(b.Code)
	if err != nil || len(lives) == 0 {
		return b.Keep, err
	}
	return lives[len(lives)-1].Keep, nil
}
