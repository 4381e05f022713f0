package workshop

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"bookmatch/jobs"
)

// DoneAsk finishes the step that runs, or the last one of the evening.
type DoneAsk struct {
	RunningAsk
	// Text is "6", "ada 6, bo 8", "ada 6, bo 3 left" or "6 grade 2", and a remark
	// behind it.
	Text    string   `json:"text,omitempty" word:"[COUNT|REMARK]..."`
	Bit     string   `json:"bit,omitempty" flag:"bit" arg:"BIT" help:"the BIT in the chuck"`
	Grade   string   `json:"grade,omitempty" flag:"grade" help:"worst rim: 0 clean, 1 fuzz, 2 hidden, 3 torn" of:"clean fuzz hidden torn"`
	Backing string   `json:"backing,omitempty" flag:"backing" help:"tight, loose or none" of:"tight loose none"`
	DepthMM float64  `json:"depth_mm,omitempty" flag:"depth" arg:"MM" unit:"mm" help:"hole depth in MM, where no plan says"`
	TempC   *float64 `json:"temp_c,omitempty" flag:"temp" unit:"c" help:"shop temperature in deg C: a cold cure takes longer"`
	Note    string   `json:"note,omitempty" flag:"note" help:"a remark"`
}

// DoneResult is what became of a finished session.
type DoneResult struct {
	Meta
	Entry      EntryRow    `json:"entry"`
	Finished   bool        `json:"finished"` // the step is done on one neck at least
	CountText  string      `json:"count_text"`
	Unit       string      `json:"unit"`
	ElapsedMin float64     `json:"elapsed_min"`
	CureUntil  *time.Time  `json:"cure_until,omitempty"`
	FreeAt     *time.Time  `json:"clamps_free_at,omitempty"`
	Cold       bool        `json:"cold,omitempty"`
	Errand     bool        `json:"errand,omitempty"` // what it waits for is a delivery, no cure
	Bits       []HolesOn   `json:"bits,omitempty"`
	Rims       []RimTale   `json:"rims,omitempty"`
	Supplies   []SupplyOut `json:"supplies,omitempty"`
	Next       []NextStep  `json:"next,omitempty"`
}

// HolesOn is a number of holes drilled with a bit.
type HolesOn struct {
	Bit   string `json:"bit"`
	Holes int    `json:"holes"`
}

// SupplyOut is what the recipes took of a supply.
type SupplyOut struct {
	Supply   string `json:"supply"`
	Quantity string `json:"quantity"`
	Unit     string `json:"unit"`
}

// NextStep is what a neck needs next. An empty Operation says that no step is
// left.
type NextStep struct {
	Neck      string `json:"neck"`
	Name      string `json:"name"`
	Operation string `json:"operation,omitempty"`
}

// Done finishes a step: its holes, its supplies and its cure follow.
var Done = Define("done", "NOT DONE", Writes|Settles, (*Book).done)

func (b *Book) done(ask *DoneAsk, res *DoneResult) error {
	if err := b.stillRuns(ask.Entry); err != nil {
		return err
	}
	entry, on, err := b.RunningEntry()
	if err != nil {
		return err
	}
	if !on {
		if entry, err = b.lastTonight(); err != nil {
			return err
		}
	}
	o, counts, err := b.doneWords(ask, entry)
	if err != nil {
		return err
	}
	if on && b.Now.Before(entry.From) {
		entry.ClockBack = true
	}
	if on {
		b.askAboutBreak(entry)
		states, err := b.ShareStates(entry)
		if err != nil {
			return err
		}
		entry = jobs.Stop(entry, b.Operations[entry.Operation], states, b.Now)
		entry.SetupPart = 0
		o.states = states
	}
	return b.Finish(entry, counts, o, res)
}

// askAboutBreak asks who is done while away: the time since is not counted.
func (b *Book) askAboutBreak(e jobs.Entry) {
	n := len(e.Away)
	if n == 0 || e.Away[n-1].To != nil {
		return
	}
	gone := e.Away[n-1].From
	b.Warn(jobs.Warning{Code: "break", Text: fmt.Sprintf("You went away at %s and did not say back: it counts as done then. Worked on until now?", b.Clock(gone)),
		Hint: fmt.Sprintf(`entry amend %d --to %s --away %s-%s --why "I was back"`, e.ID, b.Clock(b.Now), b.Clock(gone), b.Clock(gone.Add(b.Now.Sub(gone)/2)))})
}

// lastTonight gives the entry that done means when nothing runs: the last one of
// the evening whose step is still open.
func (b *Book) lastTonight() (jobs.Entry, error) {
	last, ok, err := b.LastTonight()
	if err != nil {
		return last, err
	}
	if !ok {
		return last, b.nothingRuns()
	}
	finished, open := doneAndOpen(last)
	switch {
	case len(finished.Shares) > 0 && len(open.Shares) > 0:
		return last, jobs.Refuse("half-done", fmt.Sprintf("nothing is running. %s is done on %s and open on %s", last.Operation, b.NecksText(finished), b.NecksText(open)),
			fmt.Sprintf(`entry amend %d --done --count "%s 1" --why "it was done"`, last.ID, b.NecksText(jobs.Entry{Shares: open.Shares[:1]})))
	case EntryDone(last):
		return last, jobs.Refuse("done", fmt.Sprintf("%s %s is done already, and nothing is running", last.Operation, b.NecksText(last)), "tonight")
	}
	return last, nil
}

// EntryDone says that the step of an entry is done on one neck at least.
func EntryDone(e jobs.Entry) bool {
	for _, s := range e.Shares {
		if s.Done {
			return true
		}
	}
	return false
}

// doneWords reads the words of done next to its fields.
func (b *Book) doneWords(ask *DoneAsk, e jobs.Entry) (FinishOptions, []jobs.Count, error) {
	o := FinishOptions{Bit: ask.Bit, Backing: ask.Backing, Note: ask.Note, DepthMM: ask.DepthMM, TempC: ask.TempC}
	if ask.DepthMM != 0 {
		if _, err := jobs.ParseDepth(jobs.NumberText(ask.DepthMM)); err != nil {
			return o, nil, err
		}
	}
	if t := ask.TempC; t != nil && (*t < -40 || *t > 60) {
		return o, nil, &jobs.FieldError{Field: "temp", Value: jobs.NumberText(*t), Want: "degrees Celsius from -40 to 60, such as 18"}
	}
	text, remark := b.cutRemark(ask.Text)
	if o.Note == "" {
		o.Note = remark
	} else if remark != "" {
		o.Note += ". " + remark
	}
	counts, grade, err := b.ParseCounts(text)
	var unfit *jobs.FieldError
	if errors.As(err, &unfit) && unfit.Want == aNeckOrNumber {
		return o, nil, &jobs.Refusal{Code: "count", Class: jobs.Invalid, Why: fmt.Sprintf("%q is no number and no neck", unfit.Value),
			Type: []string{fmt.Sprintf("done %s 6", b.NameOf(e.Shares[0].Neck)), fmt.Sprintf("done --note %q", text)}}
	}
	if err != nil {
		return o, nil, err
	}
	for _, x := range counts {
		if x.Neck != "" && e.ShareOf(x.Neck) < 0 {
			return o, nil, jobs.Refuse("other-neck", fmt.Sprintf("%s is not in this session. It is %s %s", b.NameOf(x.Neck), e.Operation, b.NecksText(e)), "done")
		}
		if x.N == 0 && !x.Left {
			return o, nil, &jobs.Refusal{Code: "nothing-done", Class: jobs.Invalid, Why: "a count of 0 finishes nothing", Type: []string{"off"}}
		}
	}
	if grade == "" {
		grade = ask.Grade
	}
	if grade != "" {
		if o.Grade, err = ParseGrade(grade); err != nil {
			return o, nil, err
		}
	}
	return o, counts, b.checkGrade(e, o.Grade, counts)
}

// cutRemark cuts the words of done where a remark begins: at a word that is no
// count, no grade and not nearly a neck, and has another word after it. A number
// after it is a count of a neck that is not known, which is no remark.
func (b *Book) cutRemark(text string) (counts, remark string) {
	words := strings.Fields(text)
	for i, w := range words {
		bare := strings.Trim(w, ",")
		if bare == "" || isCount(bare) || bare == "left" || bare == "grade" || (i > 0 && words[i-1] == "grade") {
			continue
		}
		_, err := b.FindNeck(bare)
		if err == nil {
			continue
		}
		var unknown *jobs.NotFoundError
		if !errors.As(err, &unknown) || len(unknown.Near) > 0 || slices.Contains(grades, strings.ToLower(bare)) || strings.HasSuffix(w, ",") || i+1 == len(words) || isCount(words[i+1]) {
			return text, ""
		}
		return strings.Join(words[:i], " "), strings.Join(words[i:], " ")
	}
	return text, ""
}

// isCount says whether a word is written as a number is.
func isCount(word string) bool {
	return word[0] >= '0' && word[0] <= '9' || word[0] == '-' || word[0] == '.'
}

// grades are the words of the grades of a rim.
var grades = []string{"clean", "fuzz", "hidden", "torn"}

// ParseGrade reads a rim grade: 0 to 3, or its word.
func ParseGrade(s string) (*int, error) {
	for i, w := range grades {
		if strings.EqualFold(s, w) || s == strconv.Itoa(i) {
			return &i, nil
		}
	}
	return nil, &jobs.FieldError{Field: "grade", Value: s, Want: "0 clean, 1 fuzz, 2 hidden or 3 torn, such as 2"}
}

// aNeckOrNumber is what a word of a count has to be.
const aNeckOrNumber = "a neck, or a number such as 6"

// ParseCounts reads the words of done into counts by neck code, each with the grade
// behind its neck, and a grade of no neck.
func (b *Book) ParseCounts(text string) ([]jobs.Count, string, error) {
	var out []jobs.Count
	grade := ""
	for _, item := range strings.Split(text, ",") {
		f := strings.Fields(item)
		if len(f) == 0 {
			continue
		}
		count := jobs.Count{N: -1}
		twice := &jobs.FieldError{Field: "count", Value: strings.TrimSpace(item), Want: `one count for each neck, such as 6`}
		for i := 0; i < len(f); i++ {
			switch {
			case f[i] == "left":
				count.Left = true
			case f[i] == "grade" && i+1 < len(f):
				i++
				if count.Neck == "" {
					grade = f[i]
					continue
				}
				g, err := ParseGrade(f[i])
				if err != nil {
					return nil, "", err
				}
				count.Grade = g
			case isCount(f[i]):
				n, err := jobs.ParseNumber("count", f[i], 0, 1e6)
				if err != nil {
					return nil, "", err
				}
				if count.N >= 0 {
					return nil, "", twice
				}
				count.N = n
			default:
				n, err := b.FindNeck(f[i])
				var unknown *jobs.NotFoundError
				if errors.As(err, &unknown) && len(unknown.Near) == 0 {
					err = &jobs.FieldError{Field: "count", Value: f[i], Want: aNeckOrNumber}
				}
				if err != nil {
					return nil, "", err
				}
				if count.Neck != "" {
					return nil, "", twice
				}
				count.Neck = n.Code
			}
		}
		if count.Neck == "" && count.N < 0 && !count.Left {
			continue // a grade alone
		}
		for _, c := range out {
			if c.Neck == count.Neck || c.Neck == "" || count.Neck == "" {
				return nil, "", &jobs.FieldError{Field: "count", Value: strings.TrimSpace(text), Want: `one count for each neck (ada 6, bo 8), a decimal with a point such as 1.5`}
			}
		}
		out = append(out, count)
	}
	return out, grade, nil
}
