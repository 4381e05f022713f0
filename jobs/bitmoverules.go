package jobs

import (
	"fmt"
	"slices"
)

// Contradicts refuses a move that says two things: a bit that is dull, suspected,
// lost or broken is not kept for show holes. No reason passes over it. The error
// is a *Refusal.
func (m BitMove) Contradicts() error {
	if m.To == KeepShow && slices.Contains([]string{CauseDull, CauseSuspected, CauseLost, CauseBroken}, m.Cause) {
		return Refuse("contradicts", fmt.Sprintf("a %s bit is not kept for show holes", m.Cause), fmt.Sprintf("bit move %s --to general --why %s", m.Bit, m.Cause))
	}
	return nil
}

// CheckMove refuses what the rules of the sets forbid. A bit that left the show
// set comes back with a fresh edge, when it was lost and is found, or after a
// clean test hole. The error is a *Refusal.
func (b BitBook) CheckMove(m BitMove) error {
	if err := m.Validate(); err != nil {
		return err
	}
	l, ok := b.Life(m.Bit)
	if !ok {
		_, err := b.Bit(m.Bit)
		return err
	}
	switch {
	case m.Cause == CauseFound && !l.Missing:
		return Refuse("not-lost", fmt.Sprintf("bit %s is not lost. It is kept for %s", m.Bit, KeepText(l.Keep)), "bit show "+m.Bit)
	case m.Cause == CauseFound:
		return nil
	case m.To == KeepShow && l.Event:
		return Refuse("dull", fmt.Sprintf("bit %s is dull: %s", m.Bit, l.End), "bit sharpen "+m.Bit)
	case m.To == KeepShow && l.Keep != KeepShow && !l.Tested:
		return Refuse("left-show", fmt.Sprintf("bit %s has left the show bits. It needs a clean test hole or a sharpening first", m.Bit), fmt.Sprintf("bit test %s --wood hard-maple --grade 0", m.Bit), "bit sharpen "+m.Bit)
	case m.To == l.Keep && m.Cause != CauseDull && m.Cause != CauseLost && m.Cause != CauseBroken:
		return Refuse("same", fmt.Sprintf("bit %s is kept for %s already", m.Bit, KeepText(m.To)), "bit show "+m.Bit)
	}
	return nil
}
