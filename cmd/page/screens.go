package page

import (
	"fmt"
	"math"
	"net/http"
	"strings"
	"time"

	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"
	"bookmatch/reports/html"
)

// namesOf joins the names of necks.
func namesOf(necks []workshop.EntryNeck) string { return workshop.JoinNames(necks) }

// do asks the shop and gives the answer as its own type.
func do[R workshop.Result](q *request, v workshop.Verb, ask workshop.Ask) (R, error) {
	res, err := q.shop.Do(v, ask)
	if err != nil {
		var none R
		return none, err
	}
	q.units = workshop.MetaOf(res).Units
	return res.(R), nil
}

// clockOf gives a time of day, with its weekday where it is not today.
func clockOf(t, now time.Time) string {
	now = now.In(t.Location())
	if jobs.DayOf(t) == jobs.DayOf(now) {
		return t.Format("15:04")
	}
	if t.Sub(now) < 6*24*time.Hour {
		return t.Format("Mon 15:04")
	}
	return t.Format("2 Jan 15:04")
}

// leftOf says how long it is until t.
func leftOf(t, now time.Time) string {
	d := t.Sub(now)
	switch {
	case d <= 0:
		return "over"
	case d < 2*time.Hour:
		return fmt.Sprintf("%.0f min to go", math.Ceil(d.Minutes()))
	case d < 36*time.Hour:
		return fmt.Sprintf("%.0f h to go", d.Hours())
	}
	return fmt.Sprintf("%.0f days to go", math.Round(d.Hours()/24))
}

func (q *request) nowScreen() error {
	now, err := do[*workshop.NowResult](q, workshop.Now, &workshop.NowAsk{})
	if err != nil {
		return q.noShop(err)
	}
	x := html.Now{Desk: q.device.Kind == Desk, Empty: len(now.Next) == 0}
	if on := now.Running; on != nil {
		if x.Running, err = q.running(on, now); err != nil {
			return err
		}
	}
	plan, err := q.tonight()
	if err == nil {
		x.Then, _ = q.lines(plan, now, 3)
		if err := q.eveningRule(&x, plan); err != nil {
			return err
		}
		for _, w := range plan.Warnings {
			var id uint64
			if _, err := fmt.Sscanf(w.Hint, "entry amend %d --confirm", &id); err == nil && w.Code == "left-running" {
				evening := ""
				if now.Running != nil {
					evening = string(jobs.DayOf(now.Running.From))
				}
				text, _, _ := strings.Cut(w.Text, " Was the step finished?")
				x.Left = &html.Left{Text: text + " Right?", Entry: id, Evening: evening, Form: q.form(fmt.Sprintf("/entry/%d/end", id))}
				x.Running = nil
			}
		}
	}
	x.Cures = q.cures(now, 3)
	return q.show(http.StatusOK, html.Frame{Title: "now", Tab: "now", Refresh: true, Screen: x})
}

// tonight asks what can be done until this device says that work ends, and until
// the evening's planned end where it says nothing or a time that is over.
func (q *request) tonight() (*workshop.TonightResult, error) {
	if until := q.until(); until != "" {
		if plan, err := do[*workshop.TonightResult](q, workshop.Tonight, &workshop.TonightAsk{Until: until}); err == nil {
			return plan, nil
		}
	}
	return do[*workshop.TonightResult](q, workshop.Tonight, &workshop.TonightAsk{})
}

// until is when work ends tonight by this device, HH:MM; empty as planned.
func (q *request) until() string {
	c, err := q.r.Cookie("until")
	if err != nil {
		return ""
	}
	if _, err := time.Parse("15:04", c.Value); err != nil {
		return ""
	}
	return c.Value
}

// running shows the step on the clock.
func (q *request) running(on *workshop.RunningNow, now *workshop.NowResult) (*html.Running, error) {
	at := now.Made.In(now.Location())
	r := &html.Running{Operation: on.Operation, Names: namesOf(on.Necks), About: on.Planned, Minutes: int(on.ElapsedMin), From: on.From.Format(time.RFC3339),
		Likely: on.LikelyMin, Safe: on.SafeMin, Rule: reports.TimeRule{Minutes: on.ElapsedMin, Likely: on.LikelyMin, Safe: on.SafeMin}, Bit: on.Bit,
		Count: int(on.Count), Of: int(on.Count), Unit: jobs.Plural(on.Count, on.Unit), Counts: on.Count > 1 && on.Count == math.Trunc(on.Count) && on.Unit != "cm2" && on.Unit != "cm",
		Rims: on.Drills, AskBacking: on.Drills && !on.Backed, Setup: on.Setup, Entry: on.Entry, Forms: html.Forms{}}
	if len(on.Plans) > 0 {
		r.About += ", plan " + strings.Join(on.Plans, "+")
	}
	if r.About != "" {
		r.About += "."
	}
	r.Caution = strings.Join(on.Cautions, " ")
	if on.LikelyMin > 0 {
		end := func(min float64) string {
			return clockOf(on.From.In(at.Location()).Add(time.Duration(min)*time.Minute), at)
		}
		r.LikelyBy, r.SafeBy = end(on.LikelyMin), end(on.SafeMin)
	}
	if on.Away != nil {
		r.Away = clockOf(on.Away.In(at.Location()), at)
	}
	if n := typedCount(q.r.URL.Query().Get("to")); n >= 0 && r.Counts {
		r.Count = n
	}
	for _, word := range []string{"done", "off", "away", "back", "go"} {
		r.Forms[word] = q.form("/" + word)
	}
	if on.Bit != "" && len(on.Necks) > 0 {
		v, err := do[*workshop.BitVerdictResult](q, workshop.BitVerdict, &workshop.BitVerdictAsk{Bit: on.Bit, Necks: []string{on.Necks[0].Neck}})
		if err == nil && len(v.Bits) > 0 {
			r.BitWord, r.BitLine, r.BitBar = v.Bits[0].VerdictText, headstocksLeft(v.Bits[0].BitRow), bitBar(v.Bits[0].BitRow)
		}
	}
	return r, nil
}

func typedCount(s string) int {
	n := 0
	if s == "" || len(s) > 4 {
		return -1
	}
	for _, c := range s {
		if c < '0' || c > '9' {
			return -1
		}
		n = 10*n + int(c-'0')
	}
	return n
}

// bitBar is the life of a bit: its wear, the next job, and where it retires.
func bitBar(b workshop.BitRow) reports.Bar {
	scale := math.Max(b.Wear+b.NextWear, 1)
	retire := 0.0
	if b.RetireAt != nil {
		retire = *b.RetireAt
		scale = math.Max(scale, 1.25*retire)
	}
	return reports.Bar{Done: b.Wear / scale, Next: b.NextWear / scale, Mark: retire / scale}
}

func headstocksLeft(b workshop.BitRow) string {
	switch {
	case b.HeadstocksLeft != nil:
		return jobs.CountText(*b.HeadstocksLeft, "headstock") + " left"
	case b.HolesLeft != nil:
		return jobs.CountText(*b.HolesLeft, "hole") + " left"
	}
	return ""
}

// lines are the plan of the evening as things that a tap starts, and what waits.
func (q *request) lines(plan *workshop.TonightResult, now *workshop.NowResult, most int) (lines, waiting []html.Line) {
	running := uint64(0)
	if now.Running != nil {
		running = now.Running.Entry
	}
	form := q.form("/on")
	for _, l := range plan.Plan {
		if len(lines) == most {
			break
		}
		x := html.Line{Operation: l.Operation, Names: strings.Join(l.Names, "+"), Necks: strings.Join(l.Necks, "+"), Form: form, Running: running, Closing: l.Overnight,
			About: fmt.Sprintf("%s to %s min, %s", whole(l.LikelyMin), whole(l.SafeMin), lower(l.Why))}
		switch {
		case l.Overnight:
			x.When = "by " + l.BeginBy.Format("15:04")
			x.Operation = strings.ToUpper(x.Operation)
		case l.From.Sub(now.Made) > 20*time.Minute && len(lines) > 0:
			x.When = l.From.Format("15:04")
		default:
			x.When = "now"
		}
		lines = append(lines, x)
	}
	for _, w := range plan.Waiting {
		x := html.Line{Operation: w.Operation, Names: w.Name, Necks: w.Neck, Waits: true, Form: form, Running: running, About: w.Reason}
		if w.LiftsAt != nil {
			x.When = clockOf(*w.LiftsAt, now.Made)
		}
		waiting = append(waiting, x)
	}
	return lines, waiting
}

// testHoles asks for a test hole above the drilling of posts that no bit is ready for.
func (q *request) testHoles(lines []html.Line, plan *workshop.TonightResult) error {
	for i := range lines {
		l := plan.Plan[i]
		if l.Drills != jobs.DrillsPosts {
			continue
		}
		v, err := do[*workshop.BitVerdictResult](q, workshop.BitVerdict, &workshop.BitVerdictAsk{Necks: l.Necks})
		if err != nil {
			return err
		}
		if bit := v.TestFirst(); bit != "" {
			lines[i].Test, lines[i].TestForm = bit, q.form("/bit/"+bit+"/test")
		}
	}
	return nil
}

func whole(min float64) string { return fmt.Sprintf("%.0f", math.Ceil(min)) }

func lower(s string) string {
	s = strings.TrimRight(s, ".")
	if s == "" {
		return ""
	}
	return strings.ToLower(s[:1]) + s[1:]
}

// eveningRule draws the evening: what was worked, now, and what is planned.
func (q *request) eveningRule(x *html.Now, plan *workshop.TonightResult) error {
	day, err := do[*workshop.EveningResult](q, workshop.EveningShow, &workshop.EveningAsk{Evening: jobs.DayOf(plan.From.Add(-5 * time.Hour))})
	if err != nil {
		return err
	}
	from, until := plan.From, plan.Until
	for _, e := range day.Entries {
		if !e.Spent && e.From.Before(from) {
			from = e.From
		}
	}
	if until.Sub(from) < 15*time.Minute {
		return nil
	}
	rule := ruleOf(day.Entries, from, until, plan.Made)
	for _, l := range plan.Plan {
		rule.Planned = append(rule.Planned, reports.EveningSpan{From: l.From.Sub(from).Minutes(), To: l.By.Sub(from).Minutes(), Word: l.Operation})
	}
	x.Until, x.Evening = until.Format("15:04"), rule
	return nil
}

func ruleOf(entries []workshop.EntryRow, from, until, now time.Time) reports.EveningRule {
	rule := reports.EveningRule{Minutes: until.Sub(from).Minutes(), Now: now.Sub(from).Minutes()}
	if rule.Now > rule.Minutes {
		rule.Now = -1
	}
	for h := from.Truncate(time.Hour).Add(time.Hour); h.Before(until); h = h.Add(time.Hour) {
		rule.Hours = append(rule.Hours, reports.EveningHour{At: h.Sub(from).Minutes(), Text: h.Format("15:04")})
	}
	for _, e := range entries {
		end := now
		if e.To != nil {
			end = *e.To
		}
		if !e.Spent {
			rule.Worked = append(rule.Worked, reports.EveningSpan{From: e.From.Sub(from).Minutes(), To: end.Sub(from).Minutes(), Word: e.Operation})
		}
	}
	return rule
}

// cures gives what cures, the first to end first.
func (q *request) cures(now *workshop.NowResult, most int) (out []html.Cure) {
	for i, c := range now.Cures {
		if i == most {
			break
		}
		x := html.Cure{Operation: c.Operation, Name: c.Name, Neck: c.Neck, Until: clockOf(c.Until, now.Made), Left: leftOf(c.Until, now.Made), First: i == 0,
			Bar: reports.CureBar(0), To: c.Until.Format(time.RFC3339)}
		if !c.Since.IsZero() && c.Until.After(c.Since) {
			x.From = c.Since.Format(time.RFC3339)
			x.Bar = reports.CureBar(now.Made.Sub(c.Since).Minutes() / c.Until.Sub(c.Since).Minutes())
		}
		var about []string
		if c.FreeAt.After(now.Made) {
			about = append(about, "clamps on until "+clockOf(c.FreeAt, now.Made))
		}
		if c.Today {
			about = append(about, "over before the evening ends")
		}
		if c.Own {
			about = append(about, "hours by the label you typed")
		} else {
			about = append(about, "hours by the defaults here")
		}
		if c.Factor > 0 {
			about = append(about, fmt.Sprintf("times %s for the cold", jobs.NumberText(c.Factor)))
		}
		x.About = strings.Join(about, ", ")
		out = append(out, x)
	}
	return out
}

func (q *request) startScreen() error {
	now, err := do[*workshop.NowResult](q, workshop.Now, &workshop.NowAsk{})
	if err != nil {
		return q.noShop(err)
	}
	x := html.Start{All: q.r.URL.Query().Get("all") != ""}
	plan, err := q.tonight()
	if err != nil {
		r, ok := jobs.RefusalOf("", err)
		if !ok {
			return err
		}
		x.Empty = sentence(r.Why)
	} else {
		lines, waiting := q.lines(plan, now, 5)
		x.Lines = lines
		if err := q.testHoles(x.Lines, plan); err != nil {
			return err
		}
		if x.All || len(lines) < 3 {
			x.Waiting = waiting
		} else if len(waiting) > 0 {
			x.Waiting = waiting[:1]
		}
		if len(lines) == 0 {
			x.Empty = "Nothing can start now."
			if len(now.Cures) > 0 {
				x.Empty = fmt.Sprintf("Nothing can start before %s: %s on %s cures.", clockOf(now.Cures[0].Until, now.Made), now.Cures[0].Operation, now.Cures[0].Name)
			}
		}
	}
	if now.Running != nil {
		x.Stops = now.Running.Operation + " " + namesOf(now.Running.Necks)
	}
	return q.show(http.StatusOK, html.Frame{Title: "what can start", Tab: "start", Screen: x})
}

func (q *request) curesScreen() error {
	now, err := do[*workshop.NowResult](q, workshop.Now, &workshop.NowAsk{})
	if err != nil {
		return q.noShop(err)
	}
	x := html.Cures{Cures: q.cures(now, 100)}
	if len(x.Cures) == 0 {
		x.Empty = "Nothing cures."
	}
	return q.show(http.StatusOK, html.Frame{Title: "cures", Tab: "cures", Screen: x})
}
