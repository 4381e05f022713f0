package jobs

import (
	"encoding/json"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestCutOf(t *testing.T) {
	posts := Operation{Name: "drill", Drills: "posts"}
	hidden := Operation{Name: "pilot-holes", Drills: "hidden"}
	plan := &Plan{Holes: []PlanHole{{DepthMM: 18.7, BackingMM: 4}},
		Solved: json.RawMessage(`{"spec":{"stack":{"face_veneers_mm":[0.6],"back_veneers_mm":[1.3]}}}`)}
	for _, c := range []struct {
		name      string
		neck      Neck
		plan      *Plan
		operation Operation
		said      float64
		backing   string
		want      Cut
	}{
		{"nothing known", Neck{}, nil, posts, 0, "", Cut{DepthMM: 15, Layers: []Layer{{"hard-maple", 15}}, Estimated: true}},
		{"said", Neck{Wood: "walnut"}, plan, hidden, 6, "", Cut{DepthMM: 6, Layers: []Layer{{"walnut", 6}}}},
		{"thickness of the head", Neck{Wood: "walnut", HeadMM: 14}, nil, posts, 0, "", Cut{DepthMM: 14, Layers: []Layer{{"walnut", 14}}}},
		{"tight backing without a plan", Neck{Wood: "walnut", HeadMM: 14}, nil, posts, 0, BackingTight,
			Cut{DepthMM: 14, Layers: []Layer{{"walnut", 14}}, Backing: Backing{BackingTight, "poplar", 4}}},
		{"a show veneer of unknown thickness is the rim", Neck{Wood: "hard-maple", Veneer: "ebony", HeadMM: 14}, nil, posts, 0, "",
			Cut{DepthMM: 14, Layers: []Layer{{"ebony", 0.6}, {"hard-maple", 13.4}}, GlueLines: 1}},
		{"the plan's stack", Neck{Wood: "hard-maple", Veneer: "ebony"}, plan, posts, 0, BackingTight,
			Cut{DepthMM: 14.7, Layers: []Layer{{"ebony", 0.6}, {"hard-maple", 12.8}, {"ebony", 1.3}}, Backing: Backing{BackingTight, "poplar", 4}, GlueLines: 2}},
		{"without a backing none is cut", Neck{Wood: "hard-maple"}, plan, posts, 0, BackingNone,
			Cut{DepthMM: 14.7, Layers: []Layer{{"hard-maple", 0.6}, {"hard-maple", 12.8}, {"hard-maple", 1.3}}, Backing: Backing{State: BackingNone}, GlueLines: 2}},
		{"shallower than the veneers", Neck{Wood: "hard-maple", Veneer: "ebony"}, plan, posts, 0.5, "",
			Cut{DepthMM: 0.5, Layers: []Layer{{"ebony", 0.5}}, Backing: Backing{"", "poplar", 4}, GlueLines: 2}},
	} {
		got := CutOf(c.neck, c.plan, c.operation, c.said, 15, c.backing)
		for i := range got.Layers {
			got.Layers[i].DepthMM = float64(int(got.Layers[i].DepthMM*1000+0.5)) / 1000
		}
		got.DepthMM = float64(int(got.DepthMM*1000+0.5)) / 1000
		if diff := cmp.Diff(c.want, got); diff != "" {
			t.Errorf("%s (-want +got):\n%s", c.name, diff)
		}
	}
}
