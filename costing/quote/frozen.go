package quote

import (
	"encoding/json"
	"fmt"

	"bookmatch/jobs"
)

// Freeze stores a copy of every input and of every figure in a revision, so that
// it can be read as it was sent.
func Freeze(r *jobs.Revision, in Input, out Quoted) (err error) {
	if r.Input, err = json.Marshal(in); err != nil {
		return fmt.Errorf("quote %s revision %d: %w", r.Quote, r.No, err)
	}
	if r.Result, err = json.Marshal(out); err != nil {
		return fmt.Errorf("quote %s revision %d: %w", r.Quote, r.No, err)
	}
	return nil
}

// Frozen reads the figures of a revision that was frozen. It fails for a draft
// and for figures that cannot be read.
func Frozen(r jobs.Revision) (in Input, out Quoted, err error) {
	if !r.IsFrozen() {
		return in, out, fmt.Errorf("quote %s revision %d is not frozen", r.Quote, r.No)
	}
	if err = json.Unmarshal(r.Input, &in); err == nil {
		err = json.Unmarshal(r.Result, &out)
	}
	if err != nil {
		err = fmt.Errorf("quote %s revision %d: its frozen figures cannot be read: %w", r.Quote, r.No, err)
	}
	return in, out, err
}
