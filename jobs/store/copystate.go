package store

import (
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"time"
)

// copyState is what is known of the copies next to a file. It is a small file of
// its own ("shop.db.state"): losing it costs a look at the copies of an evening.
type copyState struct {
	// Sound are the copies that were looked at in full and found sound, by name.
	Sound map[string]soundCopy `json:"sound"`
	// Unsound says what was amiss when the copy of an evening was last tried.
	Unsound *Unsound `json:"unsound,omitempty"`
}

// soundCopy is a copy as it was when it was found sound.
type soundCopy struct {
	Bytes int64     `json:"bytes"`
	Made  time.Time `json:"made"`
}

// Unsound is a copy that could not be kept, since the file is damaged.
type Unsound struct {
	At   time.Time `json:"at"`
	Text string    `json:"text"` // the first thing that was found
}

func statePath(path string) string { return path + ".state" }

// readState reads what is known; nothing where it cannot be read.
func readState(path string) (st copyState) {
	if raw, err := os.ReadFile(statePath(path)); err == nil {
		if json.Unmarshal(raw, &st) != nil {
			st = copyState{}
		}
	}
	if st.Sound == nil {
		st.Sound = map[string]soundCopy{}
	}
	return st
}

// write keeps what is known, and forgets copies that are gone.
func (st copyState) write(path string) error {
	for name, c := range st.Sound {
		if !c.is(filepath.Join(filepath.Dir(path), name)) {
			delete(st.Sound, name)
		}
	}
	raw, err := json.Marshal(st)
	if err != nil {
		return err
	}
	f, err := passing(filepath.Dir(path), filepath.Base(path), "state")
	if err != nil {
		return err
	}
	_, err = f.Write(raw)
	if err = errors.Join(err, f.Close()); err == nil {
		err = os.Rename(f.Name(), statePath(path))
	}
	if err != nil {
		os.Remove(f.Name())
	}
	return err
}

// is says that a copy is still the one that was found sound.
func (c soundCopy) is(path string) bool {
	info, err := os.Lstat(path)
	return err == nil && info.Mode().IsRegular() && info.Size() == c.Bytes && info.ModTime().UTC().Equal(c.Made)
}

// LastUnsound says what was amiss when the copy of an evening was last tried;
// nil where it was sound.
func LastUnsound(path string) *Unsound { return readState(path).Unsound }
