package jobs

import (
	"encoding/json"
	"time"
)

// Plan is the record of one version of a neck's headstock layout. The geometry
// is computed elsewhere and kept as it came (Solved); what the bench needs of it
// stands here in plain values.
type Plan struct {
	Neck    string          `json:"neck"`
	Version int             `json:"version"`
	Code    string          `json:"code"` // short code printed on the template
	Mode    string          `json:"mode"`
	Spec    string          `json:"spec"` // the text that was solved, as it came
	SpecSum string          `json:"spec_sum"`
	Holes   []PlanHole      `json:"holes"`
	Solved  json.RawMessage `json:"solved"`
	Made    time.Time       `json:"made"`
	Frozen  *time.Time      `json:"frozen,omitempty"`
	Stale   string          `json:"stale,omitempty"` // which input changed since
}

// PlanHole is one hole to drill: string number (1 = lowest bass), diameter and
// depth in mm, and the point in the plane of the face.
type PlanHole struct {
	String     int     `json:"string"`
	Side       string  `json:"side"`
	DiameterMM float64 `json:"diameter_mm"`
	DepthMM    float64 `json:"depth_mm"`
	XMM        float64 `json:"x_mm"`
	YMM        float64 `json:"y_mm"`
}
