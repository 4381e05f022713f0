package reports

// The house inks, RRGGBB: dark brown on white, rules in a lighter brown, and a
// red that is never the only mark.
const (
	InkColour  = "2B2622"
	RuleColour = "8C8172"
	HairColour = "DDD6CA"
	BadColour  = "A3262A"
)

// paints are the colours of charts: dark and light alternate, so that the
// series stay apart on a grey printer and for most colour-blind readers.
var paints = map[Paint]string{
	Walnut: "5A3E2B", Brass: "D9A441", Spruce: "2F6B5B", Sand: "CDBFA3", Slate: "3F5E7D",
	Cherry: "B4533C", Moss: "8FA84A", Plum: "6B4566", Smoke: "9A9A9A",
}

// Hex is the colour of a paint as RRGGBB; NextPaint has none.
func (p Paint) Hex() string { return paints[p] }
