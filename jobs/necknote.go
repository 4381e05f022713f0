package jobs

import (
	"strings"
	"time"
)

// MaxNote is the longest note, in characters.
const MaxNote = 500

// NeckNote is a remark about a neck, or a photo of it by the path of its file.
// The file stays where it is.
type NeckNote struct {
	At    time.Time `json:"at"`
	Text  string    `json:"text,omitempty" own:"words"`
	Photo string    `json:"photo,omitempty"`
}

// Validate finds what cannot be used, as a *FieldError.
func (n NeckNote) Validate() error {
	switch {
	case strings.TrimSpace(n.Text) == "" && n.Photo == "":
		return &FieldError{"note", n.Text, "some words or --photo FILE"}
	case len([]rune(n.Text)) > MaxNote:
		return &FieldError{"note", n.Text, "at most 500 characters"}
	}
	return nil
}
