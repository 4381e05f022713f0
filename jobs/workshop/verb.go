package workshop

import "fmt"

// Mode says what a verb does to the file.
type Mode uint

// The modes. Reads is the zero value.
const (
	Reads   Mode = 0
	Writes  Mode = 1 << iota // runs in a writing transaction
	Settles                  // first gives an entry that was left running its end
	Creates                  // makes the file when it is missing
	Long                     // reads much: of a large file, a copy, so that nobody waits
)

// Verb is one thing that can be asked of the shop. Not says in capitals what
// did not happen when it is refused: "NOT STARTED".
type Verb struct {
	Name, Not string
	Mode      Mode
	NewAsk    func() Ask
	NewResult func() Result

	run    func(*Book, Ask, Result) error
	onFile func(*Workshop, Ask, Result) error
}

// Writes says that the verb may change the file.
func (v Verb) Writes() bool { return v.Mode&Writes != 0 }

// Define makes a verb of a function on its own types. The function gets a
// result with its Meta filled in, except for Change.
func Define[A, R any, PA interface {
	*A
	Ask
}, PR interface {
	*R
	Result
}](name, not string, mode Mode, run func(*Book, PA, PR) error) Verb {
	return Verb{Name: name, Not: not, Mode: mode,
		NewAsk:    func() Ask { return PA(new(A)) },
		NewResult: func() Result { return PR(new(R)) },
		run: func(b *Book, a Ask, r Result) error {
			ask, ok := a.(PA)
			if !ok {
				return fmt.Errorf("verb %s got an ask of type %T", name, a)
			}
			return run(b, ask, r.(PR))
		}}
}

// DefineOnFile makes a verb on the file itself, such as a backup. It opens the
// file as it needs it and is no change of the journal.
func DefineOnFile[A, R any, PA interface {
	*A
	Ask
}, PR interface {
	*R
	Result
}](name, not string, run func(*Workshop, PA, PR) error) Verb {
	return Verb{Name: name, Not: not,
		NewAsk:    func() Ask { return PA(new(A)) },
		NewResult: func() Result { return PR(new(R)) },
		onFile:    func(w *Workshop, a Ask, r Result) error { return run(w, a.(PA), r.(PR)) }}
}
