package jobs

import "strings"

// caution gives the cautions of a seed by their letters. They are common
// practice. A product's label, a machine's manual and local rules go before
// them.
func caution(letters string) (out []string) {
	texts := map[string]string{
		"a": "Router: work clamped, cutter tight, shallow passes against its rotation. Eyes, ears, extraction.",
		"b": "Spindle sander: feed against the rotation, small gap, small parts in a holder. Nothing loose, mask.",
		"c": "Drill press: clamp or fence, chuck key out, no gloves, no loose sleeves. Eyes covered, brush not fingers.",
		"d": "Planer, jointer: nothing shorter than the manual allows, push blocks, guard on. Ears covered. Keep out of line.",
		"e": "Bandsaw: guide low, flat face down, fingers out of the cut line. Push stick at the end.",
		"f": "CA glue: fresh air, eyes covered. It bonds skin, heats on cotton. Its accelerator burns: no flame or spark.",
		"g": "Epoxy can cause allergy for good: gloves, no skin contact. Sand it only when fully cured.",
		"h": "Wood glue: gloves, fresh air, read the label. Set the clamps dry first.",
		"i": "Solvent finish: fresh air, no flame, mask by the label. Rags: flat outdoors, or in water in a closed metal can.",
		"j": "Shell and bone: cut and sand wet or with extraction, fitted mask. Wipe up wet, never blow.",
		"k": "Hammer: neck supported under the blow, eyes and ears covered.",
		"l": "Filings and cut fret ends: pick up with magnet and vacuum, not by hand. Cover pickups.",
		"m": "Steel wool: keep it from pickups, batteries and sparks. A synthetic pad is safer.",
		"n": "Blade: work held, both hands behind the edge. Sharp is safer.",
		"o": "Wood dust: extraction and fitted mask. Some species cause allergy. Vacuum, do not blow.",
		"p": "Strings: eyes covered, ends point away. Bring the tension up in steps.",
		"q": "Spray glue is flammable: outdoors or fresh air, no flame.",
		"r": "Reamer: by hand, light. Cured finish chips: eyes covered.",
	}
	for _, letter := range strings.Fields(letters) {
		out = append(out, texts[letter])
	}
	return out
}

// glues are words of supplies whose steps get the glue caution.
func glues() []string { return []string{"glue", "epoxy", "cement", "adhesive"} }

// CautionTexts gives at most two cautions of an operation: its own, else by its
// marks and supplies. Only work that is neither marked nor done with force nor
// with glue or finish has none.
func (o GraphOperation) CautionTexts() []string {
	if len(o.Cautions) > 0 {
		return o.Cautions[:min(len(o.Cautions), 2)]
	}
	uses := func(words ...string) bool {
		for _, u := range o.Uses {
			for _, w := range words {
				if strings.Contains(strings.ToLower(u), w) {
					return true
				}
			}
		}
		return false
	}
	var out []string
	add := func(on bool, text string) {
		if on && len(out) < 2 {
			out = append(out, text)
		}
	}
	add(o.Marks.Machine, "Machine: guard on, work held, nothing loose, eyes covered.")
	add(o.Marks.Noisy, "Noise: ears covered. It stops at the quiet hour.")
	add(o.Marks.Dusty, "Dust: extraction and mask. Vacuum, do not blow.")
	add(o.Marks.Wet || uses("finish"), "Vapour: ventilate, no flame or spark. Rags as the label says.")
	add(uses(glues()...), "Glue: gloves, eyes, fresh air. Read the label.")
	add(o.Place == PlaceForce && !o.Marks.Machine, "Work clamped, hands behind the edge.")
	return out
}
