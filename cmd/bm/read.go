package main

import (
	"slices"
	"strings"

	"bookmatch/cmd/bench"
)

// line is a bench word's command line.
type line struct {
	words []string
	flags map[string]string // a switch that is on holds "true"
}

// Words gives the words behind the bench word.
func (l line) Words() []string { return l.words }

// String gives the value of a flag, "" where it was not given.
func (l line) String(flag string) string { return l.flags[flag] }

// Bool says whether a switch is on.
func (l line) Bool(flag string) bool { return l.flags[flag] == "true" }

// read takes what is plainly a bench word with flags it knows, wherever they
// stand. ok is false for everything else, a slip too: bookmatch understands it or
// says what is wrong with it.
func read(args []string) (word bench.Word, l line, ok bool) {
	words := bench.Words()
	for _, a := range args {
		i := slices.IndexFunc(words, func(w bench.Word) bool { return w.Name == strings.ToLower(a) })
		if i >= 0 {
			l, ok = readFlags(words[i], args)
			return words[i], l, ok
		}
	}
	return word, l, false
}

func readFlags(w bench.Word, args []string) (line, bool) {
	switches := map[string]bool{"json": true, "file": false}
	for _, f := range w.Flags {
		switches[f.Name] = f.Switch
	}
	l := line{flags: map[string]string{}}
	named := false
	for i := 0; i < len(args); i++ {
		a := args[i]
		if !isFlag(a) {
			if !named && strings.ToLower(a) != w.Name {
				return l, false // a flag's value, or another command
			}
			if named {
				l.words = append(l.words, a)
			}
			named = true
			continue
		}
		name, value, given := strings.Cut(strings.TrimLeft(a, "-"), "=")
		isSwitch, known := switches[name]
		_, again := l.flags[name]
		switch {
		case !known, again, isSwitch && given, !named && name != "json" && name != "file":
			return l, false
		case isSwitch:
			value = "true"
		case !given:
			if i++; i >= len(args) {
				return l, false
			}
			value = args[i]
		}
		l.flags[name] = value
	}
	return l, named
}

// isFlag says that a word is a flag, by the rule of the whole program: a hyphen
// before a digit or a point is a number.
func isFlag(a string) bool {
	return len(a) > 1 && a[0] == '-' && !(a[1] >= '0' && a[1] <= '9') && a[1] != '.'
}
