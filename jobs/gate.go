package jobs

// Gate is what must be on record before a step begins. It is met by a record,
// never by a tick.
type Gate string

// The gates.
const (
	GatePlan     Gate = "plan-frozen"
	GateStack    Gate = "stack-checked"
	GateVeneer   Gate = "veneer-chosen"
	GateParts    Gate = "parts-in-hand"
	GateLot      Gate = "lot-in-date"
	GateBit      Gate = "bit-ready"
	GateDecision Gate = "decision-made"
)

// Gates gives all gates.
func Gates() []Gate {
	return []Gate{GatePlan, GateStack, GateVeneer, GateParts, GateLot, GateBit, GateDecision}
}

// ParseGate reads a gate. It gives a *NotFoundError with the nearest names.
func ParseGate(text string) (Gate, error) {
	var names []string
	for _, g := range Gates() {
		if string(g) == text {
			return g, nil
		}
		names = append(names, string(g))
	}
	return "", &NotFoundError{"gate", text, Nearest(text, names)}
}

// Errand gives the errand that opens the gate.
func (g Gate) Errand() string {
	switch g {
	case GatePlan:
		return "freeze-plan"
	case GateStack:
		return "check-stack"
	case GateVeneer:
		return "choose-veneer"
	case GateParts:
		return "order-parts"
	case GateLot:
		return "order-supply"
	case GateBit:
		return "sharpen-bit"
	}
	return "decide"
}

// Wants says in words what opens the gate.
func (g Gate) Wants() string {
	switch g {
	case GatePlan:
		return "a frozen plan"
	case GateStack:
		return "the stack"
	case GateVeneer:
		return "a veneer"
	case GateParts:
		return "its parts"
	case GateLot:
		return "a fresh lot"
	case GateBit:
		return "a sharp bit"
	}
	return "a decision"
}

// AllGates gives the gates of an operation: those of its marks and its own.
func (o GraphOperation) AllGates() []Gate {
	var out []Gate
	if o.Marks.Plan {
		out = append(out, GatePlan)
	}
	if o.Marks.Parts {
		out = append(out, GateParts)
	}
	return append(out, o.Gates...)
}
