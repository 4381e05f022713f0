package main

import (
	"bookmatch/jobs/workshop"
	"bookmatch/reports"

	"github.com/urfave/cli/v2"
)

// reportBits gathers the register, the lives and what the rims looked like.
func (e *env) reportBits(c *cli.Context) (paper, error) {
	if _, err := typedWords(c, 0, 0); err != nil {
		return paper{}, err
	}
	var book reports.BitBook
	err := e.view(c, func(tx *workshop.Book) (err error) {
		book, err = readBits(tx, true)
		return err
	})
	return paper{report: reports.Bits(book)}, err
}
