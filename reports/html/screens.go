package html

import "bookmatch/reports/draw"

// Now is the screen of what runs.
type Now struct {
	Running *Running
	Left    *Left
	Until   string // when the evening ends
	Evening draw.Picture
	Then    []Line
	Cures   []Cure
	Empty   bool // the shop has no neck
	Desk    bool
}

// Running is the step on the clock.
type Running struct {
	Operation, Names string
	About            string // "6 holes of 10 mm, plan 7X7GH"
	Caution          string
	Minutes          int
	From             string // RFC 3339
	LikelyBy, SafeBy string
	Likely, Safe     float64 // minutes
	Rule             draw.Picture
	Bit, BitWord     string
	BitLine          string
	BitBar           draw.Picture
	Count, Of        int
	Unit             string
	Counts           bool // a stepper
	Rims             bool // it drills what shows
	AskBacking       bool
	Away             string // since when
	Setup            bool   // its setup is not marked as over
	Entry            uint64
	Forms            Forms
}

// Forms are the tokens of the buttons of a screen.
type Forms map[string]string

// Left is work that nobody stopped.
type Left struct {
	Text    string
	Entry   uint64
	Evening string
	Form    string
}

// Line is one thing that can be started, or waits.
type Line struct {
	Operation string
	Names     string
	Necks     string // as the form sends them
	When      string // "now", "20:40", "by 21:38"
	About     string
	Waits     bool
	Closing   bool // a glue-up, in capitals
	Form      string
	Running   uint64
	Test      string // bit that a test hole is asked of first
	TestForm  string
}

// Cure is a cure that is not over.
type Cure struct {
	Operation, Name, Neck string
	Until, Left           string
	About                 string
	Bar                   draw.Picture
	First                 bool
	From, To              string // RFC 3339
}

// Start is the screen of what can be started.
type Start struct {
	Lines   []Line
	Waiting []Line
	Stops   string // "drill siskin", what a tap stops
	Empty   string
	All     bool
}

// Cures is the screen of cures.
type Cures struct {
	Cures []Cure
	Empty string
}

// Necks is the list of necks.
type Necks struct {
	Necks []NeckLine
	Empty string
}

// NeckLine is one neck of the list.
type NeckLine struct {
	Code, Name, Next, Due, State string
	Strip                        draw.Picture
}

// Neck is one neck.
type Neck struct {
	Code, Name     string
	About          string `own:"words"`
	Due, Plan      string
	PlanState      string // "frozen" or "out of date"
	Over, State    string // a small line, and the large one
	Bar            draw.Picture
	Under          string
	Next           *Line
	Also           []Line // what else is ready
	Progress       string
	Strip          draw.Picture
	Left           []StepLeft // steps to come
	Head           draw.Picture
	Cost, CostLine string // for a desk alone
	CostBar        draw.Picture
	Beyond         string // by how much it is likely to cost more than its price
	Notes          []Note
	Entries        []string
	Form           string // of a note
	Layout         string // path of its layout, for a desk alone
	Closed         bool
}

// StepLeft is a step to come, by its number on the strip, or several of one operation.
type StepLeft struct {
	No, Times int
	Operation string
}

// Note is a remark of a day.
type Note struct {
	Day  string
	Text string `own:"words"`
}

// Bits is the list of bits.
type Bits struct {
	Bits  []BitLine
	Empty string
}

// BitLine is one bit of the list.
type BitLine struct {
	Bit, About, Verdict string
	Bar                 draw.Picture
}

// Bit is one bit.
type Bit struct {
	Bit, About, Verdict, Headline string
	Bar                           draw.Picture
	Under                         string
	Reasons                       []string
	Money                         string // for a desk alone
	Forms                         Forms
	Away                          bool // the page on which it is put away
	Neck                          string
}

// Remark is the screen of a note: on which necks it can be kept, by name and code, and
// what runs on them.
type Remark struct {
	To, Operation, Form string
	Necks               []Field
}

// Refused is a refusal, with what runs meanwhile.
type Refused struct {
	What, Subject, Why string
	Running            string
	Type               []string
	Back               string
	Again              *Again
	Entry              uint64 // an ended entry whose end may be set
	EntryForm          string
}

// Again sends the same once more, with a reason or without.
type Again struct {
	Path    string
	Form    string
	Fields  []Field
	Reasons []string // for going on anyway
}

// Field is a hidden field of a form.
type Field struct{ Name, Value string }

// Pair is the screen on which a device is paired.
type Pair struct{ Code, Next, Form, Wrong string }

// More is the list of what else there is.
type More struct {
	Until, UntilForm string // when work ends tonight by this device
	Links            []Link
	Refusals         []string
	Theme            string
	Form             string
	Device           string
}

// Link is a way to another screen.
type Link struct{ Path, Text, About string }

// Page is any report, with ways to go on.
type Page struct {
	Report any // template.HTML of a report
	Links  []Link
	Back   string
}

// Verbs lists the forms of the desk by noun.
type Verbs struct{ Nouns []Noun }

// Noun is a noun with its verbs.
type Noun struct {
	Name, Help string
	Verbs      []Link
}

// Form is a verb of the desk to be filled in.
type Form struct {
	Title, Help, Path, Form string
	Seen                    uint64 // the newest change when it was filled
	Inputs                  []Control
	Wrong                   string // a refusal that names no field
	Ways                    []Link // forms that lift it
	Button                  string
}

// Control is one field of a form.
type Control struct {
	Name, Label, Kind string // text, number, check, choice, area, date
	Value             string
	Unit              string
	Choices           []string
	Near              []string // names to pick from
	Needed            bool
	Wrong             string
	More              bool // shown behind "more"
}

// Shopping is the list of what to buy.
type Shopping struct {
	Headline string
	Items    []Buy
	UseUp    []string // lots that end soon
	Empty    string
	Desk     bool
}

// Buy is one thing to buy.
type Buy struct {
	What, Quantity, By, Why, Supplier, Cost string
	Path, Form, Price                       string
	Count                                   string // as the form sends it
	Ordered                                 bool
}

// Week is seven evenings, with the ways to the weeks next to it.
type Week struct {
	Days          []WeekDay
	Before, After string
}

// WeekDay is one of them.
type WeekDay struct {
	Day, Text string
	Today     bool
	Rule      draw.Picture
	Flags     []string
	Path      string
	Open      bool // its log is shown
	Log       []Logged
}

// Logged is an entry of an evening. Without Form it cannot be amended here; Desk
// leads to all of it.
type Logged struct {
	ID                      uint64
	Operation, Names, About string
	From, To, Count         string
	Note                    string `own:"words"`
	Form, Evening, Desk     string
	Reasons                 []string // for amending it
	Seen                    uint64
}

// Devices lists the paired devices.
type Devices struct {
	Devices []Device
	Form    string
}

// Device is one of them.
type Device struct{ Name, Kind, Seen string }

// Quotes lists the quotes.
type Quotes struct{ Quotes []QuoteLine }

// QuoteLine is one quote of the list.
type QuoteLine struct {
	Code        string
	About       string `own:"words"`
	Price, Date string
}

// Quote is a quote with what can be pushed.
type Quote struct {
	Seen                         uint64
	Code, Status, Who            string
	About, Locked                bool
	Gross, Net, Tax, Cost        string
	Deposit, Likely, Safe, Hours string
	Loss                         string
	Kept                         string // price of the draft as it is kept
	Bar, Curve                   draw.Picture
	Lines                        []Field
	Moves                        []string
	Sliders                      []Slider
	Form                         string
}

// Slider is one wish: a rule and a number.
type Slider struct {
	Name, Flag, Label string
	Value, Most, Step float64
}
