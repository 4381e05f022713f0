package workshop

import (
	"os"
	"path/filepath"
	"strings"
	"time"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// NeckRemark is a note of a neck as results show it. Operation is what ran on the neck
// when it was written. Missing says that the file of its photo is not where it was.
type NeckRemark struct {
	At        time.Time `json:"at"`
	Operation string    `json:"operation,omitempty"`
	Text      string    `json:"text" own:"words"`
	Photo     string    `json:"photo,omitempty"`
	Missing   bool      `json:"missing,omitempty"`
}

// remarks gives the notes of a neck, oldest first.
func (b *Book) remarks(n jobs.Neck, entries []jobs.Entry) []NeckRemark {
	out := []NeckRemark{}
	for _, x := range n.Notes {
		out = append(out, b.remark(x, entries))
	}
	return out
}

// remark gives a note with the operation it belongs to, by the entries of its neck.
func (b *Book) remark(x jobs.NeckNote, entries []jobs.Entry) NeckRemark {
	r := NeckRemark{At: b.Wall(x.At), Text: x.Text, Photo: x.Photo, Missing: x.Photo != "" && !fileThere(x.Photo)}
	for _, e := range entries {
		if !x.At.Before(e.From) && (e.Running() || x.At.Before(*e.To)) {
			r.Operation = e.Operation
		}
	}
	return r
}

func fileThere(path string) bool {
	info, err := os.Stat(path)
	return err == nil && info.Mode().IsRegular()
}

// NeckNoteAsk adds a note to a neck, or a photo by the path of its file.
type NeckNoteAsk struct {
	Asked
	Neck  string `json:"neck" word:"NECK"`
	Text  string `json:"text" word:"[TEXT...]"`
	Photo string `json:"photo,omitempty" flag:"photo" arg:"FILE" help:"a photo; only its path is kept"`
}

// NeckNoteResult is the note that was added.
type NeckNoteResult struct {
	Meta
	NeckHead
	Note  NeckRemark `json:"note"`
	Count int        `json:"count"` // notes that the neck has now
}

// NeckNote adds a note.
var NeckNote = Define("neck note", "NOT SAVED", Writes, (*Book).neckNote)

func (b *Book) neckNote(ask *NeckNoteAsk, res *NeckNoteResult) error {
	n, err := b.FindNeck(ask.Neck)
	if err != nil {
		return err
	}
	if strings.TrimSpace(ask.Text+ask.Photo) == "" {
		return &jobs.Refusal{Code: "usage", Class: jobs.Invalid, Why: "the words of the note are missing", Type: []string{"neck note " + n.Name() + ` "two voids at the fifth fret"`, "neck note " + n.Name() + " --photo FILE"}}
	}
	x := jobs.NeckNote{At: b.Now, Text: strings.TrimSpace(ask.Text), Photo: strings.TrimSpace(ask.Photo)}
	if err := x.Validate(); err != nil {
		return err
	}
	if x.Photo != "" {
		if x.Photo, err = filepath.Abs(x.Photo); err != nil {
			return err
		}
		if !fileThere(x.Photo) {
			return &jobs.NotFoundError{Noun: "file", Value: ask.Photo}
		}
	}
	entries, err := b.NeckEntries(n.Code)
	if err != nil {
		return err
	}
	n.Notes = append(n.Notes, x)
	res.NeckHead, res.Note, res.Count = headOf(n), b.remark(x, entries), len(n.Notes)
	return store.Put(b.Tx, store.Necks, n)
}
