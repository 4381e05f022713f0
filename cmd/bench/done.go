package bench

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"bookmatch/jobs"
)

func (e *Env) done(l Line) error {
	w := l.Words()
	return e.Do(l, func(b *Bench) error {
		entry, on, err := b.Tx.RunningEntry()
		if err != nil {
			return err
		}
		if !on {
			last, ok, err := b.Tx.LastTonight(b.Shop)
			if err != nil {
				return err
			}
			if !ok {
				return b.nothingOn()
			}
			if finished, open := doneAndOpen(last); len(finished.Shares) > 0 && len(open.Shares) > 0 {
				return &jobs.ConflictError{What: fmt.Sprintf("%s is done on %s and stayed open on %s, and nothing is on", last.Operation, b.NecksText(finished), b.NecksText(open)),
					How: fmt.Sprintf(`if it was done: entry amend %d --done --count "%s COUNT" --why "..."; else start with: on OPERATION NECK`, last.ID, b.NecksText(jobs.Entry{Shares: open.Shares[:1]}))}
			}
			if EntryDone(last) {
				return &jobs.ConflictError{What: fmt.Sprintf("%s %s is already done, and nothing is on", last.Operation, b.NecksText(last)), How: "start with: on OPERATION NECK"}
			}
			entry = last
		}
		estimate, stop := b.estimate()
		defer stop()
		estimate.operation <- entry.Operation
		b.ahead = estimate
		o, counts, err := b.doneWords(l, w, entry)
		if err != nil {
			return err
		}
		if on && b.Tx.Now.Before(entry.From) {
			entry.ClockBack = true
		}
		if on {
			states, err := b.Tx.ShareStates(entry, b.Operations, b.Shop)
			if err != nil {
				return err
			}
			entry = jobs.Stop(entry, b.Operations[entry.Operation], states, b.Tx.Now)
			entry.SetupPart = 0
			o.states = states
		}
		res, err := b.Finish(entry, counts, o)
		if err != nil {
			return err
		}
		b.SayDone(res)
		return nil
	})
}

// EntryDone says that no step of the entry is open any more.
func EntryDone(e jobs.Entry) bool {
	for _, s := range e.Shares {
		if s.Done {
			return true
		}
	}
	return false
}

// doneWords reads "6", "ada 6, bo 8", "ada 6, bo 3 left" and "6 grade 2"
// beside the flags.
func (b *Bench) doneWords(l Line, w []string, e jobs.Entry) (FinishOptions, []jobs.Count, error) {
	o := FinishOptions{Bit: l.String("bit"), Backing: l.String("backing"), Note: l.String("note")}
	grade := l.String("grade")
	if v := l.String("depth"); v != "" {
		d, err := jobs.ParseDepth(v)
		if err != nil {
			return o, nil, err
		}
		o.DepthMM = d
	}
	if v := l.String("temp"); v != "" {
		t, err := jobs.ParseNumber("temp", v, -40, 60)
		if err != nil {
			return o, nil, err
		}
		o.TempC = &t
	}
	counts, g, err := b.ParseCounts(strings.Join(w, " "))
	if err != nil {
		return o, nil, err
	}
	for _, x := range counts {
		if x.Neck != "" && e.ShareOf(x.Neck) < 0 {
			name := b.NecksText(jobs.Entry{Shares: []jobs.Share{{Neck: x.Neck}}})
			return o, nil, &jobs.ConflictError{What: fmt.Sprintf("%s is not in this sitting: it is %s %s", name, e.Operation, b.NecksText(e)), How: "name the necks that were on"}
		}
		if x.N == 0 && !x.Left {
			return o, nil, &jobs.FieldError{Field: "count", Value: "0", Want: "what was done, above 0: off stops without saying that the step is done"}
		}
	}
	if g != "" {
		grade = g
	}
	if grade != "" {
		n, err := strconv.Atoi(grade)
		if err != nil || n < 0 || n > 3 {
			return o, nil, &jobs.FieldError{Field: "grade", Value: grade, Want: "0 clean, 1 fuzz, 2 chip that hardware hides, 3 chip it does not"}
		}
		o.Grade = &n
	}
	return o, counts, nil
}

// ParseCounts reads the words of done into counts by neck code, and a grade.
func (b *Bench) ParseCounts(text string) ([]jobs.Count, string, error) {
	var out []jobs.Count
	grade := ""
	for _, item := range strings.Split(text, ",") {
		f := strings.Fields(item)
		if len(f) == 0 {
			continue
		}
		count := jobs.Count{N: -1}
		twice := &jobs.FieldError{Field: "count", Value: strings.TrimSpace(item), Want: `one count for each neck, such as 6, or "ada 6, bo 8"`}
		for i := 0; i < len(f); i++ {
			switch {
			case f[i] == "left":
				count.Left = true
			case f[i] == "grade" && i+1 < len(f):
				i++
				grade = f[i]
			case (f[i][0] >= '0' && f[i][0] <= '9') || f[i][0] == '-' || f[i][0] == '.':
				n, err := jobs.ParseNumber("count", f[i], 0, 1e6)
				if err != nil {
					return nil, "", err
				}
				if count.N >= 0 {
					return nil, "", twice
				}
				count.N = n
			default:
				n, err := b.Tx.FindNeck(f[i])
				var unknown *jobs.NotFoundError
				if errors.As(err, &unknown) && len(unknown.Near) == 0 {
					err = &jobs.FieldError{Field: "count", Value: f[i], Want: "a number such as 6, or a neck"}
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
				return nil, "", &jobs.FieldError{Field: "count", Value: strings.TrimSpace(text), Want: `one count for each neck, such as 6, or "ada 6, bo 8"; a decimal has a point: 1.5`}
			}
		}
		out = append(out, count)
	}
	return out, grade, nil
}
