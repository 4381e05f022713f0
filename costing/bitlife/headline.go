package bitlife

import (
	"fmt"
	"strings"

	"bookmatch/jobs"
)

// Label is the verdict as people read it. A bit that is not kept for show holes is
// general only, and one that is lost or broken is called that.
func (v Verdict) Label() string {
	if v.Away != "" {
		return v.Away
	}
	if v.Verdict == VerdictRetire && v.Keep != jobs.KeepShow {
		return "general only"
	}
	return v.Verdict
}

// headWord is the verdict in capitals, as a screen begins with it.
func (v Verdict) headWord() string {
	if v.Label() == VerdictRetire {
		return "RETIRE FROM SHOW"
	}
	return strings.ToUpper(v.Label())
}

// Line is the verdict in one line for the bench, without a full stop: "Bit S10-1
// READY: risk under 1 %".
func (v Verdict) Line() string {
	line := "Bit " + v.Bit + " " + v.headWord()
	switch {
	case v.Label() == VerdictTest:
		return "Bit " + strings.TrimSuffix(v.headline(), ".")
	case v.Hidden, v.Away != "":
		return line
	case v.Next.ChanceDull == nil:
		return line + ": no risk is known"
	}
	return line + ": risk " + Percent(*v.Next.ChanceDull)
}

// headline says what to do in a sentence: "S10-3 TEST FIRST: drill one hole in an
// offcut, look at it, then drill the six."
func (v Verdict) headline() string {
	these := "the " + NumberWord(v.Next.Holes)
	do := ""
	switch v.Label() {
	case VerdictReady:
		do = "drill " + these
		if v.Hidden {
			do += ", they are hidden"
		}
	case VerdictTest:
		do = "drill one hole in an offcut, look at it, then drill " + these
		if v.Tested {
			do = "the test hole was clean, drill " + these
		}
	case VerdictLast:
		do = "drill " + these + ", then retire it"
	case VerdictRetire:
		do = "take another bit, or sharpen it"
	case VerdictNoRecord:
		do = "drill a test hole, or say what life you expect"
	case "general only":
		do = "not for show holes"
	default: // lost, broken
		do = "take another bit"
	}
	return fmt.Sprintf("%s %s: %s.", v.Bit, v.headWord(), do)
}

var numberWords = []string{"none", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"}

// NumberWord writes a number up to twelve as a word.
func NumberWord(n int) string {
	if n >= 0 && n < len(numberWords) {
		return numberWords[n]
	}
	return fmt.Sprint(n)
}

// sentence begins with a capital and ends with a full stop.
func sentence(s string) string {
	if s == "" {
		return ""
	}
	return strings.ToUpper(s[:1]) + strings.TrimRight(s[1:], ".") + "."
}
