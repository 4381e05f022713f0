package layout

// Spec is everything a plan is made from. Zero means "not given" for every
// length except coordinates; ReadSpec fills what has a default and keeps the
// outline itself, so a Spec needs nothing else once read. TOML and JSON keys agree.
type Spec struct {
	Strings int    `toml:"strings" json:"strings"`
	Title   string `toml:"title" json:"title,omitempty"`
	// Shape says whose outline and tuner arrangement this is: "own design",
	// "licensed" or "asked". Shapes may be registered by others.
	Shape   string      `toml:"shape" json:"shape,omitempty"`
	Nut     Nut         `toml:"nut" json:"nut"`
	Pull    Pull        `toml:"pull" json:"pull"`
	Head    Head        `toml:"head" json:"head"`
	Posts   Posts       `toml:"posts" json:"posts"`
	Edge    Edge        `toml:"edge" json:"edge"`
	Outline OutlineSpec `toml:"outline" json:"outline"`
	Tuner   Tuner       `toml:"tuner" json:"tuner"`
	Keepout []Keepout   `toml:"keepout" json:"keepout,omitempty"`
	Stack   Stack       `toml:"stack" json:"stack"`
	Marks   MarkRules   `toml:"marks" json:"marks"`
}

// Nut places the strings where they leave the nut on its headstock side.
type Nut struct {
	OuterSpanMM float64 `toml:"outer_span_mm" json:"outer_span_mm"` // outer string centres, along the nut
	Spacing     string  `toml:"spacing" json:"spacing"`             // equal-centres or equal-gaps
	// Gauges from the lowest bass string up, in inches or in mm, never both.
	GaugesIn []float64 `toml:"gauges_in" json:"gauges_in,omitempty"`
	GaugesMM []float64 `toml:"gauges_mm" json:"gauges_mm,omitempty"`
	// PositionsMM overrides span and spacing: string centres along the nut from
	// the centre line, bass first (pairs, odd spacings).
	PositionsMM  []float64 `toml:"positions_mm" json:"positions_mm,omitempty"`
	ThicknessMM  float64   `toml:"thickness_mm" json:"thickness_mm,omitempty"`     // fretboard end to the nut's headstock side
	SlantDeg     float64   `toml:"slant_deg" json:"slant_deg,omitempty"`           // positive: treble end nearer the tip
	SlotHeightMM float64   `toml:"slot_height_mm" json:"slot_height_mm,omitempty"` // string above the head's face at the nut
}

// Pull is the direction of the strings over the headstock.
type Pull struct {
	Along         string  `toml:"along" json:"along"` // "nut": square to the nut; "string": each string's own line
	ScaleMM       float64 `toml:"scale_mm" json:"scale_mm,omitempty"`
	ScaleBassMM   float64 `toml:"scale_bass_mm" json:"scale_bass_mm,omitempty"`
	ScaleTrebleMM float64 `toml:"scale_treble_mm" json:"scale_treble_mm,omitempty"`
	BridgeSpanMM  float64 `toml:"bridge_span_mm" json:"bridge_span_mm,omitempty"`
}

// Head is the headstock as a body.
type Head struct {
	TiltDeg float64 `toml:"tilt_deg" json:"tilt_deg,omitempty"`
	// LeastBreakDeg is the break angle under which a string wants help.
	LeastBreakDeg float64 `toml:"least_break_deg" json:"least_break_deg"`
}

// Posts is the tuner posts and their rows.
type Posts struct {
	DiameterMM     float64 `toml:"diameter_mm" json:"diameter_mm"` // the waist, where the string winds
	FirstMM        float64 `toml:"first_mm" json:"first_mm"`       // y of the first post from the fretboard end
	PitchMM        float64 `toml:"pitch_mm" json:"pitch_mm"`       // centre to centre in a row
	Bass           int     `toml:"bass" json:"bass"`
	Treble         int     `toml:"treble" json:"treble"`
	Mirror         bool    `toml:"mirror" json:"mirror,omitempty"`
	BassReversed   bool    `toml:"bass_reversed" json:"bass_reversed,omitempty"`
	TrebleReversed bool    `toml:"treble_reversed" json:"treble_reversed,omitempty"`
	TrebleFirstMM  float64 `toml:"treble_first_mm" json:"treble_first_mm,omitempty"`
	TreblePitchMM  float64 `toml:"treble_pitch_mm" json:"treble_pitch_mm,omitempty"`
	// Wind is the side of the post the string passes: "inner" (default; the
	// post is on the outer side) or "outer".
	Wind string `toml:"wind" json:"wind"`
	// Strip: the tuners of a row sit on one plate; the straight row is then
	// laid by least squares instead of through its end strings.
	Strip bool `toml:"strip" json:"strip,omitempty"`
}

// Edge is the band for the posts and the least distances.
type Edge struct {
	MinMM      float64 `toml:"min_mm" json:"min_mm,omitempty"`
	MaxMM      float64 `toml:"max_mm" json:"max_mm,omitempty"`
	TargetMM   float64 `toml:"target_mm" json:"target_mm,omitempty"`
	PitchMinMM float64 `toml:"pitch_min_mm" json:"pitch_min_mm,omitempty"`
	PitchTolMM float64 `toml:"pitch_tol_mm" json:"pitch_tol_mm"`
	EdgeTolMM  float64 `toml:"edge_tol_mm" json:"edge_tol_mm"`
	WallMM     float64 `toml:"wall_mm" json:"wall_mm"` // least wood round a hole
}

// OutlineSpec is how the edge of the head is given: at most one of Path, File
// and Stations.
type OutlineSpec struct {
	Path     string      `toml:"path" json:"path,omitempty"`         // SVG path data in mm, y to the tip
	File     string      `toml:"file" json:"file,omitempty"`         // an SVG file, read once into SVG
	ID       string      `toml:"id" json:"id,omitempty"`             // which path of the file
	Tip      string      `toml:"tip" json:"tip,omitempty"`           // in the file the tip points "down" (y grows to it) or "up"
	OriginMM []float64   `toml:"origin_mm" json:"origin_mm"`         // where the drawing has the fretboard end
	Stations [][]float64 `toml:"stations" json:"stations,omitempty"` // [y, half] or [y, left x, right x]
	Join     string      `toml:"join" json:"join,omitempty"`         // stations joined "smooth" or "straight"
	View     string      `toml:"view" json:"view"`                   // "face", or "plan": drawn from above, shortened by the tilt
	// SVG is the text of File; ReadSpec fills it.
	SVG string `toml:"-" json:"svg,omitempty"`
}

func (o OutlineSpec) given() bool { return o.Path != "" || o.SVG != "" || len(o.Stations) > 0 }

// Tuner is the hardware round one post.
type Tuner struct {
	Bores       []Bore      `toml:"bore" json:"bore"` // steps of the hole, widest given first or last alike
	FlangeMM    float64     `toml:"flange_mm" json:"flange_mm"`
	BodyWidthMM float64     `toml:"body_width_mm" json:"body_width_mm,omitempty"` // along the row, on the back
	BodyInMM    float64     `toml:"body_in_mm" json:"body_in_mm,omitempty"`       // reach from the post away from the button
	BodyOutMM   float64     `toml:"body_out_mm" json:"body_out_mm,omitempty"`     // reach from the post towards the button
	Align       string      `toml:"align" json:"align"`                           // "edge": square to the nearest edge; "line": square to the centre line
	AngleDeg    float64     `toml:"angle_deg" json:"angle_deg,omitempty"`         // own turn, added; positive turns the button to the tip
	AnglesDeg   []float64   `toml:"angles_deg" json:"angles_deg,omitempty"`       // one per string instead
	ShaftMM     float64     `toml:"shaft_mm" json:"shaft_mm,omitempty"`           // post centre to the button's inner face
	ButtonMM    float64     `toml:"button_mm" json:"button_mm,omitempty"`         // greatest width of a turning button
	ButtonLenMM float64     `toml:"button_length_mm" json:"button_length_mm,omitempty"`
	ClampLeast  float64     `toml:"clamp_least_mm" json:"clamp_least_mm,omitempty"`
	ClampMost   float64     `toml:"clamp_most_mm" json:"clamp_most_mm,omitempty"`
	WindMM      float64     `toml:"wind_height_mm" json:"wind_height_mm,omitempty"` // where the string winds, above the face
	ScrewsMM    [][]float64 `toml:"screws_mm" json:"screws_mm,omitempty"`           // pilots: [along the row, towards the button]
	PilotMM     float64     `toml:"pilot_mm" json:"pilot_mm,omitempty"`
	PilotDepth  float64     `toml:"pilot_depth_mm" json:"pilot_depth_mm,omitempty"`
}

// Bore is one step of the post hole. Depth 0 goes through.
type Bore struct {
	DiameterMM float64 `toml:"diameter_mm" json:"diameter_mm"`
	DepthMM    float64 `toml:"depth_mm" json:"depth_mm,omitempty"`
	From       string  `toml:"from" json:"from"` // "face" or "back"
}

// Keepout is ground the holes stay clear of: a disc, a box (two corners), a
// line (two points) or a ring of three points and more.
type Keepout struct {
	Name     string      `toml:"name" json:"name"`
	CentreMM []float64   `toml:"centre_mm" json:"centre_mm,omitempty"`
	RadiusMM float64     `toml:"radius_mm" json:"radius_mm,omitempty"`
	BoxMM    []float64   `toml:"box_mm" json:"box_mm,omitempty"` // x0, y0, x1, y1
	PointsMM [][]float64 `toml:"points_mm" json:"points_mm,omitempty"`
	ClearMM  float64     `toml:"clear_mm" json:"clear_mm"` // least distance from a hole's rim
	// GlueLine: holes may cross it (scarf, ears), but near it is worth a word.
	GlueLine bool `toml:"glue_line" json:"glue_line,omitempty"`
}

// MarkRules are the limits for marks on the wood against the plan.
type MarkRules struct {
	FitMM   float64 `toml:"fit_mm" json:"fit_mm"`     // worst residual after turn and shift
	DatumMM float64 `toml:"datum_mm" json:"datum_mm"` // worst residual held to the datum
}
