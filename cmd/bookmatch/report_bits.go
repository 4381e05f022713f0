package main

import (
	"bookmatch/jobs/store"
	"bookmatch/reports"

	"github.com/urfave/cli/v2"
)

// reportBits gathers the register, the lives and what the rims looked like.
func (e *env) reportBits(c *cli.Context) (paper, error) {
	if _, err := words(c, 0, 0); err != nil {
		return paper{}, err
	}
	var book reports.BitBook
	err := e.view(c, func(tx *store.Tx) (err error) {
		book, err = readBits(tx, true)
		return err
	})
	return paper{report: reports.Bits(book)}, err
}
