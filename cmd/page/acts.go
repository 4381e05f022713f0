package page

import (
	"net/http"
	"strconv"
	"strings"
	"time"

	"bookmatch/cmd/words"
	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
)

// routes lists the ways of paired devices.
func routes() []route {
	return []route{
		{"GET /now", false, (*request).nowScreen},
		{"GET /start", false, (*request).startScreen},
		{"GET /cures", false, (*request).curesScreen},
		{"GET /necks", false, (*request).necksScreen},
		{"GET /n/{neck}", false, (*request).neckScreen},
		{"GET /j/{neck}", false, (*request).neckScreen},
		{"GET /J/{neck}", false, (*request).neckScreen},
		{"GET /bits", false, (*request).bitsScreen},
		{"GET /b/{bit}", false, (*request).bitScreen},
		{"GET /B/{bit}", false, (*request).bitScreen},
		{"GET /note", false, (*request).noteScreen},
		{"GET /more", false, (*request).moreScreen},
		{"GET /state", false, (*request).state304},
		{"GET /shopping", false, (*request).shoppingScreen},
		{"GET /week", false, (*request).weekScreen},
		{"GET /do", true, (*request).verbsScreen},
		{"GET /do/{noun}", true, (*request).formScreen},
		{"GET /do/{noun}/{verb}", true, (*request).formScreen},
		{"GET /quotes", true, (*request).quotesScreen},
		{"GET /quote/{quote}", true, (*request).quoteScreen},
		{"GET /layout", true, (*request).layoutsScreen},
		{"GET /layout/{neck}", true, (*request).layoutScreen},
		{"GET /layout/{neck}/try", true, (*request).layoutTry},
		{"GET /layout/{neck}/template.pdf", true, (*request).layoutPrint},
		{"GET /devices", true, (*request).devicesScreen},
		{"POST /on", false, (*request).onTap},
		{"POST /off", false, (*request).offTap},
		{"POST /done", false, (*request).doneTap},
		{"POST /away", false, (*request).awayTap},
		{"POST /back", false, (*request).backTap},
		{"POST /go", false, (*request).goTap},
		{"POST /oops", false, (*request).oopsTap},
		{"POST /note", false, (*request).noteTap},
		{"POST /entry/{id}", false, (*request).amendTap},
		{"POST /entry/{id}/end", false, (*request).endTap},
		{"POST /bit/{bit}/test", false, (*request).testTap},
		{"POST /bit/{bit}/away", false, (*request).putAwayTap},
		{"POST /shopping/{what}", false, (*request).shoppingTap},
		{"POST /theme", false, (*request).themeTap},
		{"POST /until", false, (*request).untilTap},
		{"POST /quote/{quote}", true, (*request).quoteKeep},
		{"POST /layout/{neck}/keep", true, (*request).layoutKeep},
		{"POST /layout/{neck}/freeze", true, (*request).layoutFreeze},
		{"POST /do/{noun}", true, (*request).formTap},
		{"POST /do/{noun}/{verb}", true, (*request).formTap},
	}
}

func (q *request) value(name string) string { return strings.TrimSpace(q.r.PostFormValue(name)) }

// change runs a verb as this device, once for each form, and leads to a screen.
func (q *request) change(v workshop.Verb, ask workshop.Ask, then string) error {
	a := workshop.AskedOf(ask)
	a.By, a.Token = q.device.Name, q.nonce
	if at := q.value("at"); at != "" {
		t, err := time.Parse(time.RFC3339, at)
		now := q.now()
		switch {
		case err != nil:
			return &jobs.FieldError{Field: "at", Value: at, Want: "an RFC 3339 time"}
		case t.After(now.Add(time.Minute)) || now.Sub(t) > 48*time.Hour:
			return &jobs.Refusal{Code: "at", Class: jobs.Conflict, What: v.Not, Why: "this tap is from " + t.Format("2 Jan 15:04") + ", which cannot be right"}
		}
		t = t.Truncate(time.Second)
		a.At = &t
	}
	res, err := q.shop.Do(v, ask)
	if err != nil {
		return err
	}
	q.echoed(v, res)
	http.Redirect(q.w, q.r, then, http.StatusSeeOther)
	q.shop.Copy() // what it could not copy is said in the terminal
	return nil
}

// number reads an entry or a change that a form names; nil where it names none.
func (q *request) number(name string) (*uint64, error) {
	s := q.value(name)
	if s == "" {
		return nil, nil
	}
	n, err := strconv.ParseUint(s, 10, 64)
	if err != nil {
		return nil, &jobs.FieldError{Field: name, Value: s, Want: "a number such as 12"}
	}
	return &n, nil
}

func (q *request) seenRunning() workshop.RunningAsk {
	n, _ := q.number("entry")
	return workshop.RunningAsk{Entry: n}
}

func (q *request) onTap() error {
	running, err := q.number("running")
	if err != nil {
		return err
	}
	necks, err := words.SplitNecks([]string{q.value("necks")})
	if err != nil {
		return err
	}
	ask := &workshop.OnAsk{Operation: strings.ToLower(q.value("operation")), Necks: necks, Bit: q.value("bit"), Running: running}
	ask.Anyway = q.value("anyway")
	return q.change(workshop.On, ask, "/now")
}

func (q *request) offTap() error {
	return q.change(workshop.Off, &workshop.OffAsk{RunningAsk: q.seenRunning()}, "/now")
}

func (q *request) doneTap() error {
	ask := &workshop.DoneAsk{RunningAsk: q.seenRunning(), Text: q.value("count"), Grade: q.value("grade"), Backing: q.value("backing")}
	if ask.Grade != "" && ask.Backing == "" {
		now, err := do[*workshop.NowResult](q, workshop.Now, &workshop.NowAsk{})
		if err == nil && now.Running != nil && now.Running.Backed {
			ask.Backing = "tight"
		}
	}
	return q.change(workshop.Done, ask, "/now")
}

func (q *request) awayTap() error {
	return q.change(workshop.Away, q.runningAsk(workshop.Away), "/now")
}
func (q *request) backTap() error {
	return q.change(workshop.Back, q.runningAsk(workshop.Back), "/now")
}
func (q *request) goTap() error { return q.change(workshop.Go, q.runningAsk(workshop.Go), "/now") }

// runningAsk is the Ask of a word that takes none, for the entry that was seen.
func (q *request) runningAsk(v workshop.Verb) workshop.Ask {
	ask := v.NewAsk()
	if r, ok := ask.(*workshop.RunningAsk); ok {
		*r = q.seenRunning()
	}
	return ask
}

func (q *request) oopsTap() error {
	change, err := q.number("change")
	if err != nil {
		return err
	}
	ask := &workshop.OopsAsk{}
	if change != nil {
		ask.Change = *change
	}
	return q.change(workshop.Oops, ask, "/now")
}

func (q *request) noteTap() error {
	text := strings.Join(strings.Fields(q.value("text")), " ")
	if r := []rune(text); len(r) > 500 {
		text = string(r[:500])
	}
	return q.change(workshop.NeckNote, &workshop.NeckNoteAsk{Neck: q.value("neck"), Text: text}, "/n/"+q.value("neck"))
}

// endTap settles when an entry ended: as assumed, or at a time.
func (q *request) endTap() error {
	id, err := strconv.ParseUint(q.r.PathValue("id"), 10, 64)
	if err != nil {
		return &jobs.NotFoundError{Noun: "entry", Value: q.r.PathValue("id")}
	}
	ask := &workshop.EntryAmendAsk{ID: id, To: q.value("to"), Count: q.value("count"), Finished: q.value("done") != "", Confirm: q.value("confirm") != ""}
	if !ask.Confirm {
		ask.Why = "set at the bench"
	}
	return q.change(workshop.EntryAmend, ask, "/now")
}

func (q *request) testTap() error {
	ask := &workshop.BitTestAsk{Bit: q.r.PathValue("bit")}
	ask.Grade = q.value("grade")
	to := "/b/" + ask.Bit
	if q.value("back") == "start" {
		to = "/start"
	}
	return q.change(workshop.BitTest, ask, to)
}

func (q *request) putAwayTap() error {
	why := q.value("why")
	ask := &workshop.BitMoveAsk{Bit: q.r.PathValue("bit"), Why: why, To: awayReasons[why]}
	return q.change(workshop.BitMove, ask, "/b/"+ask.Bit)
}

func (q *request) themeTap() error {
	theme := q.value("theme")
	if theme != "day" && theme != "night" {
		theme = ""
	}
	return q.remember("theme", theme, 400*24*time.Hour, "/more")
}

// untilTap remembers until when this device works tonight.
func (q *request) untilTap() error {
	until := q.value("until")
	if q.value("planned") != "" {
		until = ""
	}
	if _, err := time.Parse("15:04", until); err != nil && until != "" {
		return &jobs.FieldError{Field: "until", Value: until, Want: "a time such as 22:30"}
	}
	return q.remember("until", until, 8*time.Hour, "/start")
}

// remember keeps a setting of this device in a cookie; an empty one is forgotten.
func (q *request) remember(name, value string, span time.Duration, then string) error {
	c := &http.Cookie{Name: name, Value: value, Path: "/", HttpOnly: true, SameSite: http.SameSiteLaxMode, Secure: q.Secure, MaxAge: int(span.Seconds())}
	if value == "" {
		c.MaxAge = -1
	}
	http.SetCookie(q.w, c)
	http.Redirect(q.w, q.r, then, http.StatusSeeOther)
	return nil
}

// state304 says whether anything changed since a device looked.
func (q *request) state304() error {
	journal := q.journal()
	tag := `"` + strconv.FormatUint(journal, 10) + `"`
	q.w.Header().Set("ETag", tag)
	q.w.Header().Set("Bench-Clock", q.now().UTC().Format(time.RFC3339Nano))
	if q.r.URL.Query().Get("seen") == strconv.FormatUint(journal, 10) || q.r.Header.Get("If-None-Match") == tag {
		q.w.WriteHeader(http.StatusNotModified)
		return nil
	}
	q.w.Header().Set("Content-Type", "application/json")
	_, err := q.w.Write([]byte(`{"journal":` + strconv.FormatUint(journal, 10) + `}`))
	return err
}
