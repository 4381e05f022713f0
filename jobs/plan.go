package jobs

import (
	"encoding/json"
	"time"
)

// Plan is the record of one version of a neck's headstock layout. The geometry
// is computed elsewhere and kept as it came (Solved); what the bench needs of it
// is here in plain values.
type Plan struct {
	Neck      string          `json:"neck"`
	Version   int             `json:"version"`
	Code      string          `json:"code"` // short code printed on the template
	Mode      string          `json:"mode"`
	Spec      string          `json:"spec"` // the text that was solved, as it came
	SpecSum   string          `json:"spec_sum"`
	Holes     []PlanHole      `json:"holes"`
	Solved    json.RawMessage `json:"solved"`
	Made      time.Time       `json:"made"`
	Frozen    *time.Time      `json:"frozen,omitempty"`
	OutOfDate string          `json:"out_of_date,omitempty"` // which input changed since
	// File is where the spec was read from, so that a later change of it is seen.
	File string `json:"file,omitempty"`
	// Others are the further holes: wider steps of the post holes, pilots.
	Others []PlanHole `json:"others,omitempty"`
	// Why is the reason given for freezing a plan whose checks fail.
	Why string `json:"why,omitempty" own:"words"`
}

// PlanHole is one hole to drill: string number (1 = lowest bass), diameter and
// depth in mm, and the point in the plane of the face. The depth is what the bit
// cuts, BackingMM of it in the backing; 0 where the thickness is not known.
type PlanHole struct {
	String     int     `json:"string"`
	Side       string  `json:"side"`
	DiameterMM float64 `json:"diameter_mm"`
	DepthMM    float64 `json:"depth_mm"`
	XMM        float64 `json:"x_mm"`
	YMM        float64 `json:"y_mm"`
	BackingMM  float64 `json:"backing_mm,omitempty"`
	Kind       string  `json:"kind,omitempty"` // of Others: step, pilot
	From       string  `json:"from,omitempty"` // face or back
}

// PlanQuantities gives the quantities that a plan settles: post holes, and
// pilots where it has any.
func PlanQuantities(p Plan) map[string]float64 {
	d := map[string]float64{"holes": float64(len(p.Holes))}
	pilots := 0
	for _, h := range p.Others {
		if h.Kind == "pilot" {
			pilots++
		}
	}
	if pilots > 0 {
		d["pilots"] = float64(pilots)
	}
	return d
}

// ApplyPlan sets the quantities of the steps that a plan settles and that are
// not done yet, and names the plan on the neck.
func ApplyPlan(st NeckState, p Plan, operations map[string]Operation) Neck {
	n := st.Neck
	quantities := PlanQuantities(p)
	n.Steps = append([]Step(nil), n.Steps...)
	all := map[string]float64{}
	for k, v := range n.Quantities {
		all[k] = v
	}
	for k, v := range quantities {
		all[k] = v
	}
	n.Quantities = all
	for i, s := range n.Steps {
		q, ok := quantities[operations[s.Operation].Per]
		if v, seen := st.View(s.No); ok && seen && v.State != Done && v.State != Curing {
			n.Steps[i].Quantity = q
		}
	}
	n.Layout = p.Code
	return n
}
