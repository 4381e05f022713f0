package workshop

import (
	"time"

	"bookmatch/jobs"
)

// Asked is what every Ask carries next to its own fields. All of it may be left
// out.
type Asked struct {
	// At is when it happened, for what is logged late. Nil means now.
	At *time.Time `json:"at,omitempty"`
	// By names who or which device asks. Empty means the terminal.
	By string `json:"by,omitempty"`
	// Token marks one change. The same token twice gives the first answer again.
	Token string `json:"token,omitempty"`
	// Seen is the number of the newest change that the asker had seen.
	Seen uint64 `json:"seen,omitempty"`
}

func (a *Asked) asked() *Asked { return a }

// Ask is a question or an order to the shop: a plain struct that JSON can hold.
// It embeds Asked.
type Ask interface{ asked() *Asked }

// Meta is what every Result carries next to its own fields.
type Meta struct {
	Currency    string            `json:"currency,omitempty"`
	Zone        string            `json:"zone,omitempty"`
	ZonesBefore []jobs.ZoneBefore `json:"zones_before,omitempty"` // of before the shop moved
	ShopName    string            `json:"shop_name,omitempty"`
	Paper       string            `json:"paper,omitempty"`        // the shop's paper size
	Font        string            `json:"font,omitempty"`         // the file of its own font for papers
	Page        string            `json:"page_address,omitempty"` // of the shop's page at home
	Country     string            `json:"country,omitempty"`      // of the shop, for how papers write figures and dates
	Units       string            `json:"units,omitempty"`        // in which it reads lengths; figures here are in mm
	Made        time.Time         `json:"made"`                   // the instant of the figures
	Change      uint64            `json:"change,omitempty"`       // number of the newest change in the file
	Warnings    []jobs.Warning    `json:"warnings,omitempty"`
}

func (m *Meta) meta() *Meta { return m }

// Location gives the zone of the shop, as it was at each time.
func (m *Meta) Location() *time.Location {
	return jobs.Shop{Zone: m.Zone, ZonesBefore: m.ZonesBefore}.Location()
}

// Result is what a verb answers: a plain struct that JSON can hold. It embeds
// Meta. Figures are rounded once, by the verb.
type Result interface{ meta() *Meta }

// MetaOf gives the part that all results share.
func MetaOf(r Result) *Meta { return r.meta() }

// AskedOf gives the part that all asks share.
func AskedOf(a Ask) *Asked { return a.asked() }

// Document is a file that was given with an Ask: its base name, and its text.
type Document struct {
	Name string `json:"name"`
	Text string `json:"text"`
	// Path is where it lay, for what is reported now. It is not kept.
	Path string `json:"path,omitempty"`
}
