package words

import (
	"os"

	"golang.org/x/term"
)

// isTerminal says whether a person reads it. The null device is no terminal.
func isTerminal(f *os.File) bool { return term.IsTerminal(int(f.Fd())) }

// columns gives the width of a terminal in characters, 80 where it does not say.
func columns(f *os.File) int {
	w, _, err := term.GetSize(int(f.Fd()))
	if err != nil || w < 1 {
		return 80
	}
	return w
}
