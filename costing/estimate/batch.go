package estimate

import (
	"fmt"
	"math"
)

// BatchEffect is what doing several necks in one session saves, as the log
// shows it. A batch is one past job with the setup once, so the standard of a
// single neck is not diluted by it.
type BatchEffect struct {
	Batches int     `json:"batches"` // sessions over several necks
	Singles int     `json:"singles"`
	Necks   float64 `json:"necks_per_batch,omitempty"`
	// Paces are geometric means of actual / e(q), with one setup a session: when
	// they agree, the setup saved is all there is to a batch.
	BatchPace  float64 `json:"batch_pace,omitempty"`
	SinglePace float64 `json:"single_pace,omitempty"`
	// SavedMin is the setup that each further neck of a session saves, at the
	// builder's pace.
	SavedMin float64 `json:"saved_min"`
	Text     string  `json:"text"`
}

// Batches compares sessions over several necks with those over one. pace is the
// estimate's.
func Batches(std Standard, pastJobs []PastJob, pace float64) BatchEffect {
	b := BatchEffect{SavedMin: std.SetupMin * pace}
	var batch, single float64
	necks := 0
	for _, s := range pastJobs {
		want := std.Expected(s)
		if !s.Counts() || want <= 0 {
			continue
		}
		y := math.Log(s.Minutes / want)
		if len(s.Necks) > 1 {
			b.Batches, batch, necks = b.Batches+1, batch+y, necks+len(s.Necks)
		} else {
			b.Singles, single = b.Singles+1, single+y
		}
	}
	if b.Batches > 0 {
		b.BatchPace, b.Necks = math.Exp(batch/float64(b.Batches)), float64(necks)/float64(b.Batches)
	}
	if b.Singles > 0 {
		b.SinglePace = math.Exp(single / float64(b.Singles))
	}
	switch {
	case std.SetupMin <= 0:
		b.Text = "no setup to share"
	case b.Batches == 0:
		b.Text = fmt.Sprintf("no session over several necks yet, each further neck should save the setup, %.0f min", b.SavedMin)
	default:
		b.Text = fmt.Sprintf("%d sessions over %.1f necks on average, each further neck saves the setup, %.0f min", b.Batches, b.Necks, b.SavedMin)
		if b.Singles > 0 {
			b.Text += fmt.Sprintf(" (pace %.2f in batches, %.2f alone)", b.BatchPace, b.SinglePace)
		}
	}
	return b
}
