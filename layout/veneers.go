package layout

import "fmt"

// stackText is the advice: what to do, and while it can still be done.
func stackText(k Stack, s StackSum) string {
	glued := false
	for _, m := range k.Measured {
		glued = glued || stageIndex(m.Stage) >= stageIndex("back-glued")
	}
	head := fmt.Sprintf("finished %s mm, the tuners clamp %s to %s", tenth(s.FinishedMM), length(s.ClampLeast), length(s.ClampMost))
	switch {
	case s.TakeOffMM > 0 && !glued:
		return fmt.Sprintf("%s: take %s mm off the core before the back veneer goes on (core target %s to %s mm)", head, tenth(s.TakeOffMM), tenth(s.CoreLeastMM), tenth(s.CoreMostMM))
	case s.TakeOffMM > 0:
		return fmt.Sprintf("%s: %s mm too thick and the back is glued on; only the veneers are left to sand", head, tenth(s.TakeOffMM))
	case s.TakeOffMM < 0:
		return fmt.Sprintf("%s: %s mm too thin; a thicker veneer, or washers under the tuners", head, tenth(-s.TakeOffMM))
	}
	return fmt.Sprintf("%s: it fits (core target %s to %s mm)", head, tenth(s.CoreLeastMM), tenth(s.CoreMostMM))
}

// Veneer is a veneer that could go on, with its measured thickness.
type Veneer struct {
	Code string  `json:"code"`
	MM   float64 `json:"thickness_mm"`
}

// VeneerFit is what one veneer would make of the stack.
type VeneerFit struct {
	Veneer
	FinishedMM  float64 `json:"finished_mm"`
	Result      string  `json:"result"`
	ClearanceMM float64 `json:"clearance_mm"`
	CoreLeastMM float64 `json:"core_least_mm"`
	CoreMostMM  float64 `json:"core_most_mm"`
	TakeOffMM   float64 `json:"take_off_mm"`
}

// FitVeneers tries each veneer as the one on the given side ("face" or "back"),
// in place of what the stack names there, in the order given. It is empty when
// the core or the clamping range is not known.
func FitVeneers(k Stack, t Tuner, ys []float64, side string, stock []Veneer) []VeneerFit {
	var out []VeneerFit
	for _, v := range stock {
		try := k
		if side == "face" {
			try.FaceMM = []float64{v.MM}
		} else {
			try.BackMM = []float64{v.MM}
		}
		s, ok := StackOf(try, t, ys)
		if !ok {
			return nil
		}
		out = append(out, VeneerFit{
			Veneer: v, FinishedMM: s.FinishedMM, Result: s.Result, ClearanceMM: s.ClearanceMM,
			CoreLeastMM: s.CoreLeastMM, CoreMostMM: s.CoreMostMM, TakeOffMM: s.TakeOffMM,
		})
	}
	return out
}
