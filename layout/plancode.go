package layout

import (
	"crypto/sha256"
	"encoding/json"
)

// codeLetters leaves out every sign that is misread on paper: 0 O Q D, 1 I L,
// 2 Z, 5 S, 8 B, U V. Twenty-one are left.
const codeLetters = "34679ACEFGHJKMNPRTWXY"

// codeLength gives some four million codes: two plans of one shop do not meet.
const codeLength = 5

// For gives the plan as that of a neck: the neck is part of its code, so that the
// papers of two necks of one spec are never taken for each other.
func (p Plan) For(neck string) Plan {
	p.Neck = neck
	p.Code = planCode(p)
	return p
}

// planCode is a short name for inputs and result together: another neck, or any
// change of the spec, the mode or a post's place (to 0.001 mm), gives another code.
func planCode(p Plan) string {
	type place struct{ S, X, Y int }
	in := struct {
		Format int
		Mode   string
		Spec   Spec
		Posts  []place
		Neck   string `json:",omitempty"`
	}{Format: 1, Mode: p.Mode, Spec: p.Spec, Neck: p.Neck}
	in.Spec.Title = "" // a name is not an input
	in.Spec.Outline.File = ""
	for _, post := range p.Posts {
		in.Posts = append(in.Posts, place{post.String, int(post.XMM*1000 + copysignHalf(post.XMM)), int(post.YMM*1000 + copysignHalf(post.YMM))})
	}
	return codeOf(in)
}

func copysignHalf(v float64) float64 {
	if v < 0 {
		return -0.5
	}
	return 0.5
}

// InputCode names the inputs alone: a stored plan is out of date when the code of
// the spec as it is now is another.
func InputCode(s Spec) string {
	s = s.withDefaults()
	s.Title, s.Outline.File = "", ""
	return codeOf(s)
}

// codeOf hashes the JSON form, whose field order is that of the struct.
func codeOf(v any) string {
	data, err := json.Marshal(v)
	if err != nil {
		panic("layout: a validated spec always encodes: " + err.Error())
	}
	sum := sha256.Sum256(data)
	n := uint64(0)
	for _, b := range sum[:7] {
		n = n<<8 | uint64(b)
	}
	code := make([]byte, codeLength)
	for i := range code {
		code[i] = codeLetters[n%uint64(len(codeLetters))]
		n /= uint64(len(codeLetters))
	}
	return string(code)
}
