package workshop

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"bookmatch/jobs"
	"bookmatch/jobs/store"
)

// pastNeck takes past jobs that belong to no neck of the file.
const pastNeck = "PAST"

func (b *bringer) entry(r BringRow) (record, text string, err error) {
	operation, err := b.operation(r)
	if err != nil {
		return "", "", err
	}
	e := jobs.Entry{Operation: operation.Name, Class: jobs.First, Person: r.Cells["person"], Note: r.Cells["note"], Written: b.Now}
	if err := b.times(r, &e); err != nil {
		return "", "", err
	}
	class, err := oneOf(r, "class", string(jobs.First), string(jobs.Rework), string(jobs.Deciding))
	if err != nil {
		return "", "", err
	}
	if e.Class = jobs.Class(class); e.Class == jobs.First && operation.Decide {
		e.Class = jobs.Deciding
	}
	if e.Class == jobs.Rework {
		if e.Cause, err = oneOf(r, "cause", append([]string{"other"}, jobs.ReworkCauses...)...); err != nil {
			return "", "", err
		}
		e.Payer = jobs.Payers[0]
	}
	if g := r.Cells["grade"]; g != "" {
		f, err := jobs.ParseNumber("grade", g, 0, jobs.MaxGrade)
		if err != nil || f != float64(int(f)) {
			return "", "", &jobs.FieldError{Field: "grade", Value: g, Want: "0, 1, 2 or 3"}
		}
		n := int(f)
		e.Grade = &n
	}
	done, err := oneOf(r, "done", "yes", "no", "1", "0", "true", "false")
	if err != nil {
		return "", "", err
	}
	finished := (done == "yes" || done == "1" || done == "true") && e.Class != jobs.Rework
	if e.Shares, err = b.shares(r, operation, finished); err != nil {
		return "", "", err
	}
	return b.keep(r, e, operation)
}

// times reads when the work was: from and to, or minutes on a day.
func (b *bringer) times(r BringRow, e *jobs.Entry) error {
	if m := r.Cells["minutes"]; m != "" {
		if r.Cells["from"] != "" || r.Cells["to"] != "" {
			return &jobs.FieldError{Field: "minutes", Value: m, Want: "either minutes or from and to"}
		}
		f, err := jobs.ParseNumber("minutes", m, 0.1, 24*60)
		if err != nil {
			return err
		}
		day, err := cellOf(r, "date")
		if err != nil {
			return err
		}
		at, err := b.noon("date", day)
		if err != nil {
			return err
		}
		e.From, e.To, e.SpentSec = at, &at, int64(f*60+0.5)
		return nil
	}
	from, err := b.instant(r, "from", time.Time{})
	if err != nil {
		return err
	}
	to, err := b.instant(r, "to", from)
	if err != nil {
		return err
	}
	switch {
	case to.After(b.Now):
		return &jobs.FieldError{Field: "to", Value: r.Cells["to"], Want: "an end that is not in the future"}
	case to.Before(from):
		return &jobs.FieldError{Field: "to", Value: r.Cells["to"], Want: "an end after the start"}
	case to.Sub(from) > 16*time.Hour:
		return &jobs.FieldError{Field: "to", Value: r.Cells["to"], Want: "at most 16 hours in one stretch"}
	}
	e.From, e.To = from, &to
	return nil
}

// instant reads RFC 3339, or a clock time on the row's date; one before after
// is taken past midnight.
func (b *bringer) instant(r BringRow, field string, after time.Time) (time.Time, error) {
	v, err := cellOf(r, field)
	if err != nil {
		return time.Time{}, err
	}
	if t, err := time.Parse(time.RFC3339, v); err == nil {
		return t.UTC().Truncate(time.Second), nil
	}
	clock, err := jobs.ParseClock(field, strings.TrimSuffix(v, ":00:00"))
	if err != nil {
		if clock, err = jobs.ParseClock(field, cutSeconds(v)); err != nil {
			return time.Time{}, err
		}
	}
	d, err := cellOf(r, "date")
	if err != nil {
		return time.Time{}, err
	}
	day, err := b.date("date", d)
	if err != nil {
		return time.Time{}, err
	}
	t, err := jobs.WallTime(day, clock, b.Shop.Location(), "")
	if err == nil && !after.IsZero() && t.Before(after) {
		t, err = jobs.WallTime(day.Add(1), clock, b.Shop.Location(), "")
	}
	return t, err
}

// cutSeconds takes ":30" off 19:05:30.
func cutSeconds(v string) string {
	if strings.Count(v, ":") == 2 {
		return v[:strings.LastIndexByte(v, ':')]
	}
	return v
}

// shares reads "ada+bo" with "6+8".
func (b *bringer) shares(r BringRow, operation jobs.Operation, done bool) ([]jobs.Share, error) {
	word, err := cellOf(r, "neck")
	if err != nil {
		return nil, err
	}
	names := strings.Split(word, "+")
	var counts []string
	if c := r.Cells["count"]; c != "" {
		if counts = strings.Split(c, "+"); len(counts) != len(names) {
			return nil, &jobs.FieldError{Field: "count", Value: c, Want: fmt.Sprintf("%d counts with + between", len(names))}
		}
	}
	var out []jobs.Share
	for i, name := range names {
		n, err := b.neck(strings.TrimSpace(name))
		if err != nil {
			return nil, err
		}
		s := jobs.Share{Neck: n.Code, Done: done}
		if s.Step, err = b.step(n, operation.Name, done); err != nil {
			return nil, err
		}
		if counts != nil {
			if s.Count, err = jobs.ParseNumber("count", counts[i], 0, 1e6); err != nil {
				return nil, err
			}
		} else if step, ok := n.Step(s.Step); ok && done {
			s.Count = step.Quantity
		}
		out = append(out, s)
	}
	return out, nil
}

// step finds the first step of the operation that is not done yet; 0 when the route
// has none.
func (b *bringer) step(n jobs.Neck, operation string, done bool) (int, error) {
	taken := b.taken[n.Code]
	if taken == nil {
		taken = map[int]bool{}
		b.taken[n.Code] = taken
		entries, err := b.NeckEntries(n.Code)
		if err != nil {
			return 0, err
		}
		for _, e := range entries {
			if s := e.Shares[e.ShareOf(n.Code)]; s.Done {
				taken[s.Step] = true
			}
		}
	}
	last := 0
	for _, s := range n.Steps {
		if s.Operation != operation || s.Skip != "" {
			continue
		}
		if last = s.No; !taken[s.No] {
			taken[s.No] = done
			return s.No, nil
		}
	}
	return last, nil
}

// keep refuses repetitions, writes the entry and remembers when it was.
func (b *bringer) keep(r BringRow, e jobs.Entry, operation jobs.Operation) (record, text string, err error) {
	var necks []string
	for _, s := range e.Shares {
		necks = append(necks, s.Neck)
	}
	e = jobs.Stop(e, operation, nil, *e.To)
	if err := e.Validate(); err != nil {
		return "", "", err
	}
	there, err := b.EntriesBetween(e.From, e.From.Add(time.Second))
	if err != nil {
		return "", "", err
	}
	key := entryKey(e)
	for _, f := range there {
		if f.ID != 0 && entryKey(f) == key && b.seen[key] == "" {
			return "", "", &twiceError{fmt.Sprintf("entry %d", f.ID)}
		}
	}
	if err := b.once(key, r.No); err != nil {
		return "", "", err
	}
	if e.ID, err = store.NextID(b.Tx, store.Entries); err != nil {
		return "", "", err
	}
	if err := store.Put(b.Tx, store.Entries, e); err != nil {
		return "", "", err
	}
	if e.SpentSec == 0 {
		b.spans = append(b.spans, bringSpan{r.No, e})
	}
	minutes := e.Elapsed(b.Now).Minutes()
	return fmt.Sprintf("entry %d", e.ID), fmt.Sprintf("%s %s %s, %.0f min", b.Shop.Evening(e.From), e.Operation, strings.Join(necks, "+"), minutes), nil
}

// entryKey is what two entries have in common when they are the same work.
func entryKey(e jobs.Entry) string {
	var b strings.Builder
	end := e.From
	if e.To != nil {
		end = *e.To
	}
	fmt.Fprintf(&b, "%d %d %d %s", e.From.Unix(), end.Unix(), e.SpentSec, e.Operation)
	for _, s := range e.Shares {
		fmt.Fprintf(&b, " %s %g", s.Neck, s.Count)
	}
	return b.String()
}

// overlaps rejects rows that claim the same time as an entry of the file or as
// each other.
func (b *bringer) overlaps() {
	mine := map[uint64]int{}
	for _, s := range b.spans {
		mine[s.entry.ID] = s.row
	}
	reject := func(row int, format string, args ...any) {
		b.out.Rejected = append(b.out.Rejected, Rejected{Row: row, Reason: fmt.Sprintf(format, args...)})
		b.out.Create = slices.DeleteFunc(b.out.Create, func(c Creation) bool { return c.Row == row })
	}
	slices.SortStableFunc(b.spans, func(x, y bringSpan) int { return cmp.Compare(x.entry.From.Unix(), y.entry.From.Unix()) })
	var longest *bringSpan // of those so far, the one that ends last
	for i, s := range b.spans {
		if longest != nil && s.entry.Overlaps(longest.entry, b.Now) {
			reject(s.row, "overlaps with row %d", longest.row)
			continue
		}
		if longest == nil || s.entry.To.After(*longest.entry.To) {
			longest = &b.spans[i]
		}
		near, err := b.EntriesBetween(s.entry.From.Add(-16*time.Hour), *s.entry.To)
		if err != nil {
			reject(s.row, "%v", err)
			continue
		}
		for _, f := range near {
			if _, own := mine[f.ID]; !own && s.entry.Overlaps(f, b.Now) {
				reject(s.row, "overlaps with entry %d, %s to %s", f.ID, b.Shop.When(f.From), b.Shop.When(f.End(b.Now)))
				break
			}
		}
	}
}

// pastJob becomes an entry of a finished pass, logged without a clock.
func (b *bringer) pastJob(r BringRow) (record, text string, err error) {
	for _, f := range []string{"date", "count", "minutes"} {
		if _, err := cellOf(r, f); err != nil {
			return "", "", err
		}
	}
	if count, err := jobs.ParseNumber("count", r.Cells["count"], 0, 1e6); err != nil || count <= 0 {
		return "", "", &jobs.FieldError{Field: "count", Value: r.Cells["count"], Want: "units above zero"}
	}
	if r.Cells["neck"] == "" {
		if err := b.past(); err != nil {
			return "", "", err
		}
		cells := map[string]string{"neck": pastNeck}
		for _, k := range jobs.SortedKeys(r.Cells) {
			if k != "neck" {
				cells[k] = r.Cells[k]
			}
		}
		r.Cells = cells
	}
	return b.entry(r)
}

// past makes the neck for past jobs without one.
func (b *bringer) past() error {
	if _, ok := b.necks[pastNeck]; ok {
		return nil
	}
	n, ok, err := store.Get(b.Tx, store.Necks, pastNeck)
	if err != nil {
		return err
	}
	if !ok {
		n = jobs.Neck{Code: pastNeck, Title: "work before this log", Status: jobs.Finished, Added: b.Now, Closed: &b.Now}
		if err := store.Put(b.Tx, store.Necks, n); err != nil {
			return err
		}
		b.out.Necks = append(b.out.Necks, pastNeck)
	}
	b.necks[pastNeck] = n
	return nil
}
