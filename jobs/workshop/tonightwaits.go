package workshop

import (
	"fmt"

	"bookmatch/costing/schedule"
	"bookmatch/jobs"
)

// waits gives the first reason why nothing is planned on a neck.
func (p *planner) waits(w schedule.Waiting, on jobs.Entry) TonightWaiting {
	x := p.necks[w.Neck]
	out := TonightWaiting{Neck: w.Neck, Name: x.neck.Name(), AloneMin: w.AloneMin, Points: w.AlonePoints}
	if i := x.stepAt(w.Step); i >= 0 {
		out.Operation = x.state.Steps[i].Operation
	}
	if w.LiftsMin >= 0 {
		at := p.at(int(w.LiftsMin))
		out.LiftsAt = &at
	}
	if x.on {
		at := p.Wall(p.from)
		out.Operation, out.Reason, out.LiftsAt = on.Operation, "on now", &at
		return out
	}
	out.Reason = p.reason(w, x, out)
	return out
}

// reason puts a reason into words.
func (p *planner) reason(w schedule.Waiting, x *plannedNeck, out TonightWaiting) string {
	when := ""
	if out.LiftsAt != nil {
		when = " until " + p.Shop.WhenFrom(*out.LiftsAt, p.Now)
	}
	switch w.Reason {
	case schedule.Curing:
		by := w.By
		if i := x.stepAt(w.By); i >= 0 {
			by = x.state.Steps[i].Operation
			if p.Operations[by].Decide {
				return by + " has a lead time" + when
			}
		}
		return by + " cures" + when
	case schedule.AtGate:
		return w.By
	case schedule.WetRoom:
		return "no dust while a film is wet"
	case schedule.NoClamps:
		return "all clamp sets are in use" + when
	case schedule.TooLoud:
		return "too loud after " + p.Shop.QuietAfter.String()
	case schedule.TooTired:
		return fmt.Sprintf("no machine after %s at the bench", jobs.NumberText(p.Shop.TiredAfterH)+" h")
	case schedule.NoTime:
		return "does not fit into the evening"
	}
	return "other work gains more tonight"
}
