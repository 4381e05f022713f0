package store

import "fmt"

// DamagedRecordError is a record that is not as it was written, or cannot be
// read. Nothing is computed with it. It answers errors.Is(err, ErrDamaged).
type DamagedRecordError struct {
	Noun string // "neck", "entry", "change", "answer"
	Key  string // as keyText gives it
	Err  error
}

func (e *DamagedRecordError) Error() string {
	return fmt.Sprintf("%s %s in the workshop file is damaged: %v", e.Noun, e.Key, e.Err)
}

// Hint says what to type.
func (e *DamagedRecordError) Hint() string {
	return "see all damage: bookmatch data check; go back to a sound copy: bookmatch data restore"
}

// Is answers to ErrDamaged.
func (e *DamagedRecordError) Is(target error) bool { return target == ErrDamaged }

// Unwrap gives the cause.
func (e *DamagedRecordError) Unwrap() error { return e.Err }

func damaged(noun string, key []byte, err error) error {
	return &DamagedRecordError{noun, keyText(key), err}
}
