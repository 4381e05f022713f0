package store

import (
	"bookmatch/jobs"
)

// Overheads by name: what the shop costs a year.
var Overheads = &Collection[jobs.OverheadItem]{bucket: "overheads", noun: "overhead", key: func(o *jobs.OverheadItem) []byte { return []byte(o.Name) }, valid: func(o *jobs.OverheadItem) error { return o.Validate() }}
