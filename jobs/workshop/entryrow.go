package workshop

import (
	"time"

	"bookmatch/jobs"
)

// EntryRow is an entry as results show it. Times are on the shop's wall,
// minutes rounded to hundredths.
type EntryRow struct {
	ID         uint64      `json:"id"`
	Operation  string      `json:"operation"`
	Class      jobs.Class  `json:"class"`
	Cause      string      `json:"cause,omitempty"`
	Payer      string      `json:"payer,omitempty"`
	Necks      []EntryNeck `json:"necks"`
	From       time.Time   `json:"from"`
	To         *time.Time  `json:"to"`
	Away       *time.Time  `json:"away,omitempty"`     // since when, while on a break
	AwayMin    float64     `json:"away_min,omitempty"` // all breaks
	SetupMin   float64     `json:"setup_min,omitempty"`
	ElapsedMin float64     `json:"elapsed_min"`
	Evening    jobs.Day    `json:"evening"`
	Assumed    bool        `json:"assumed"`
	ClockBack  bool        `json:"clock_back,omitempty"`
	Spent      bool        `json:"spent,omitempty"` // logged without a clock
	Late       bool        `json:"late,omitempty"`  // the neck was closed when this was written
	Person     string      `json:"person,omitempty"`
	Bit        string      `json:"bit,omitempty"`
	Grade      *int        `json:"grade,omitempty"`
	Anyway     string      `json:"anyway,omitempty"`
	Note       string      `json:"note"`
	Unit       string      `json:"unit,omitempty"` // of the counts: hole, cm2
	Drills     bool        `json:"drills,omitempty"`
	Written    time.Time   `json:"written"`
	// Dropped and History are for lists that ask for the history.
	Dropped bool         `json:"dropped,omitempty"`
	History []PastChange `json:"history,omitempty"`
}

// EntryNeck is the part of an entry that belongs to one neck.
type EntryNeck struct {
	Neck     string  `json:"neck"`
	Name     string  `json:"name"`
	Step     int     `json:"step,omitempty"`
	Count    float64 `json:"count"`
	ShareMin float64 `json:"share_min"`
	Done     bool    `json:"done,omitempty"`
	Left     bool    `json:"left,omitempty"` // dropped out of the session midway
}

// Row gives an entry as results show it.
func (b *Book) Row(e jobs.Entry) EntryRow {
	r := EntryRow{ID: e.ID, Operation: e.Operation, Class: e.Class, Cause: e.Cause, Payer: e.Payer, From: b.Wall(e.From),
		ElapsedMin: jobs.Round2(e.Elapsed(b.Now).Minutes()), Evening: b.Shop.Evening(e.From), Assumed: e.Assumed, ClockBack: e.ClockBack, Spent: e.SpentSec > 0,
		Person: e.Person, Bit: e.Bit, Grade: e.Grade, Anyway: e.Anyway, Note: e.Note, Late: e.Late, Written: b.Wall(e.Written), Necks: []EntryNeck{}}
	if o, ok := b.Operations[e.Operation]; ok {
		r.Unit, r.Drills = o.Unit(), o.Drills != ""
	}
	if e.SpentSec == 0 {
		r.AwayMin = jobs.Round2((e.End(b.Now).Sub(e.From) - e.Elapsed(b.Now)).Truncate(time.Second).Minutes())
	}
	if e.To != nil {
		to := b.Wall(*e.To)
		r.To = &to
	}
	if n := len(e.Away); n > 0 && e.Away[n-1].To == nil {
		away := b.Wall(e.Away[n-1].From)
		r.Away = &away
	}
	if e.Go != nil {
		r.SetupMin = jobs.Round2(e.SetupSpan(b.Now).Minutes())
	}
	parts := e.ShareOut(b.Now)
	var upTo time.Duration
	last := 0.0 // the shares as rounded add up to the entry as rounded
	for i, s := range e.Shares {
		upTo += parts[i]
		next := jobs.Round2(upTo.Minutes())
		r.Necks = append(r.Necks, EntryNeck{Neck: s.Neck, Name: b.NameOf(s.Neck), Step: s.Step, Count: s.Count, ShareMin: jobs.Round2(next - last), Done: s.Done, Left: s.Left})
		last = next
	}
	return r
}

// Running says that the entry is on the clock.
func (r EntryRow) Running() bool { return r.To == nil }

// Names joins the names of the necks with pluses, as they are typed.
func (r EntryRow) Names() string { return joinNames(r.Necks) }

// Parted gives the necks on which the step is done and those on which it stays
// open.
func (r EntryRow) Parted() (done, open []EntryNeck) {
	for _, n := range r.Necks {
		if n.Done {
			done = append(done, n)
		} else {
			open = append(open, n)
		}
	}
	return done, open
}

func joinNames(necks []EntryNeck) string {
	out := ""
	for i, n := range necks {
		if i > 0 {
			out += "+"
		}
		out += n.Name
	}
	return out
}

// JoinNames joins the names of necks with pluses.
func JoinNames(necks []EntryNeck) string { return joinNames(necks) }

// Count adds the counts of all necks.
func (r EntryRow) Count() float64 {
	sum := 0.0
	for _, n := range r.Necks {
		sum += n.Count
	}
	return sum
}
