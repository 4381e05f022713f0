package main

import (
	"encoding/json"
	"strings"
	"testing"
)

// fixedKeys are the keys of JSON that other programs may count on, by the line that is
// typed: "lots.received" is the key received of each of the lots. More are welcome.
var fixedKeys = map[string]string{
	"entry list --neck swift":        "entries.id entries.operation entries.class entries.necks.neck entries.necks.count entries.necks.share_min entries.from entries.to entries.elapsed_min entries.evening total_min",
	"neck list":                      "necks.neck necks.nickname necks.title necks.status necks.next necks.due",
	"operation show drill":           "operation setup_min run_min per n pace spread likely_min safe_min largest_quantity unusual",
	"neck show finch":                "neck nickname title customer status due notes.text steps.step steps.operation steps.state steps.quantity steps.needs steps.likely_min steps.safe_min steps.actual_min hours cost.labour cost.overhead cost.supplies cost.bits cost.parts cost.rework cost.total sale layout",
	"supply show wood-glue":          "supply unit on_hand value lots.received lots.quantity lots.left lots.unit_price lots.expires issued",
	"bit verdict S10-4 --neck finch": "bits.bit bits.kept_for bits.life bits.age_m bits.verdict bits.headline bits.retire_at_m bits.holes_left bits.next.holes bits.next.cut_m bits.next.chance_dull bits.next.low bits.next.high bits.model.events bits.model.censored bits.model.shape bits.model.scale_m bits.model.found bits.reasons",
	"layout show finch":              "neck version code mode posts.string posts.side posts.x_mm posts.y_mm posts.pitch_mm posts.edge_mm posts.off_string_mm findings.check findings.result findings.where findings.clearance_mm findings.text",
	"layout marks finch 1 end 42, 1 edge 12.4, 2 1 25, 2 edge 12.4, 3 2 25, 3 edge 12.4": "pass worst_mm turn_deg shift_x_mm shift_y_mm scale holes.hole holes.residual_mm holes.dx_mm holes.dy_mm holes.datum_residual_mm",
	"quote show Q5":         "quote revision status lines.what lines.quantity lines.unit lines.rate lines.amount hours.p50 hours.p80 hours.p90 hours.mean hours.resumed price.cost price.margin price.net price.tax price.gross price.deposit promise.likely promise.safe loss_chance",
	"tonight --until 22:00": "until headline plan.operation plan.necks plan.from plan.by plan.likely_min plan.safe_min plan.partial plan.errand plan.why plan.cures_until waiting.neck waiting.operation waiting.reason waiting.lifts_at",
	"now":                   "running cures next",
	"find walnut":           "hits.what hits.code hits.neck hits.text hits.type",
	"bit compare":           "types.type types.bits types.lives_ended types.holes types.cost_per_hole types.low types.high types.cost_per_headstock",
	"shopping":              "items.what items.for items.quantity items.unit items.supplier items.order_by items.reason items.overdue_days",
}

// TestFixedKeys finds every fixed key at least once in the answer of the demo's shop.
func TestFixedKeys(t *testing.T) {
	t.Parallel()
	d := newDemoShop(t)
	for line, keys := range fixedKeys {
		var answer any
		if err := json.Unmarshal([]byte(d.say(append(split(line), "--json")...)), &answer); err != nil {
			t.Fatalf("%s: %v", line, err)
		}
		for _, key := range strings.Fields(keys) {
			if !hasKey(answer, strings.Split(key, ".")) {
				t.Errorf("%s has no %s", line, key)
			}
		}
	}
}

// hasKey follows keys through objects and the elements of lists.
func hasKey(v any, keys []string) bool {
	switch v := v.(type) {
	case []any:
		for _, x := range v {
			if hasKey(x, keys) {
				return true
			}
		}
	case map[string]any:
		x, ok := v[keys[0]]
		return ok && (len(keys) == 1 || hasKey(x, keys[1:]))
	}
	return false
}
