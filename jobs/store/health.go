package store

import (
	"fmt"
	"time"
)

// Trouble is one thing that a check found.
type Trouble struct {
	Where string `json:"where"` // pages, bbolt, record, index, journal, sequence, answer, reference, derived, access
	Text  string `json:"text"`
}

// Counted is how many records a bucket holds.
type Counted struct {
	Bucket  string `json:"bucket"`
	Records int    `json:"records"`
}

// Health is what a check saw. No Troubles: every page, record, index entry,
// change and figure is as it should be.
type Health struct {
	Path    string    `json:"path"`
	Schema  int       `json:"schema"`
	Bytes   int64     `json:"bytes"`
	Records []Counted `json:"records"`
	Indexed int       `json:"indexed"`
	Changes int       `json:"changes"`
	Newest  time.Time `json:"newest,omitzero"` // instant of the newest change
	// Left are files next to it that commands left which were cut off.
	Left     []string  `json:"left_behind,omitempty"`
	Troubles []Trouble `json:"troubles"`
	More     int       `json:"more,omitempty"` // troubles beyond those listed

	numbers map[string]uint64 // the last numbers given
}

// Sound says that nothing was found.
func (h Health) Sound() bool { return len(h.Troubles) == 0 }

const mostTroubles = 200

func (h *Health) found(where, format string, args ...any) {
	if len(h.Troubles) >= mostTroubles {
		h.More++
		return
	}
	h.Troubles = append(h.Troubles, Trouble{where, fmt.Sprintf(format, args...)})
}
