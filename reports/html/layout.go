package html

import "bookmatch/reports/draw"

// Layout is a plan whose posts can be pushed along their strings.
type Layout struct {
	Code, Name, About string // of the neck
	State, Plan       string // "draft", "frozen"; the plan's code
	OutOfDate         string // what became out of date
	Frozen            string // since when, and what that means
	Path              string // of this screen
	Strings           []Choice
	String            int
	Place             string // "65.7 mm"
	// Handle says that the post can be pushed. Low, Top and Value are in mm.
	Handle          bool
	Low, Top, Value string
	Track           draw.Picture
	Keep            []Field // what the address holds besides the post's place
	Head, Small     draw.Picture
	Nudges          []Choice
	Gauges          []Gauge
	Modes           []Mode
	Checks          string
	Worst           []Clear
	Moved           bool // it is not the kept plan
	MovedText       string
	Ask             bool // freezing is asked once
	KeepForm        string
	FreezeForm      string
	Moves           []Field // as the forms of keep and freeze send them
	Successor       string  // path on which a frozen plan can be pushed
	Print           string  // path of the template
}

// Choice is one of a few ways.
type Choice struct {
	Text, Path string
	By         string // what a nudge adds, in mm
	On         bool
}

// Gauge is a figure on a rule.
type Gauge struct {
	Label, Value string
	Rule         draw.Picture
}

// Mode is one of the layout's modes.
type Mode struct {
	Name, About, Path string
	On, Fails         bool
}

// Clear is the room that a check leaves.
type Clear struct {
	Name, Value, Text string
	Bar               draw.Picture
	Fails             bool
}
