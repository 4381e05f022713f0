package workshop

import (
	"slices"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// FindPiece resolves a typed piece by its code or a unique prefix.
func (b *Book) FindPiece(word string) (jobs.Piece, error) {
	p, ok, err := store.Get(b.Tx, store.Pieces, word)
	if ok || err != nil {
		return p, err
	}
	all, err := store.All(b.Tx, store.Pieces)
	if err != nil {
		return p, err
	}
	var names []string
	for _, x := range all {
		names = append(names, x.Code)
	}
	if hits := jobs.Candidates(word, names); len(hits) == 1 {
		return all[slices.Index(names, hits[0])], nil
	}
	return p, &jobs.NotFoundError{Noun: "piece", Value: word, Near: jobs.Nearest(word, names)}
}
