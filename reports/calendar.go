package reports

import (
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
	"bookmatch/reports/plain"
)

// CalendarShown lists what the calendar file holds.
func CalendarShown(r *workshop.CalendarResult) Report {
	out := Of(r, "calendar", "Calendar")
	out.Headline = []string{fmt.Sprintf("%s: cures that end, promised dates, deliveries.", jobs.CountText(len(r.Events), "event"))}
	if r.Out != "" {
		out.Headline = []string{fmt.Sprintf("WRITTEN %s to %s.", jobs.CountText(len(r.Events), "event"), r.Out)}
		return out
	}
	type e = workshop.CalendarEvent
	out.Add(Build(Table{Name: "events", Empty: "nothing cures, nothing is promised, nothing is on its way"}, r.Events, []Col[e]{
		{Column{Key: "on", Header: "on"}, func(x e) Cell {
			if x.At != nil {
				return Text(x.At.Format("2006-01-02 15:04"))
			}
			return Text(string(x.Day))
		}},
		{Column{Key: "what", Header: "what"}, func(x e) Cell { return Text(x.What) }},
	}))
	out.Next = []string{"calendar --out shop.ics"}
	return out
}

// WriteCalendar writes the events as RFC 5545 says: lines of at most 75 octets that end
// in CRLF, cures as 15 minutes in UTC that block nobody's time, dates as whole days. An
// event keeps its UID, and its SEQUENCE grows with the journal.
func WriteCalendar(w io.Writer, r *workshop.CalendarResult) error {
	var b strings.Builder
	line := func(format string, args ...any) {
		text := fmt.Sprintf(format, args...)
		for first := true; ; first = false {
			room := 75
			if !first {
				b.WriteByte(' ')
				room = 74
			}
			if len(text) <= room {
				b.WriteString(text + "\r\n")
				return
			}
			for room > 0 && !utf8.RuneStart(text[room]) {
				room--
			}
			b.WriteString(text[:room] + "\r\n")
			text = text[room:]
		}
	}
	const utc = "20060102T150405Z"
	line("BEGIN:VCALENDAR")
	line("VERSION:2.0")
	line("PRODID:-//Bookmatch//shop calendar//EN")
	for _, e := range r.Events {
		line("BEGIN:VEVENT")
		line("UID:%s@bookmatch.invalid", e.ID)
		line("DTSTAMP:%s", r.Stamp.UTC().Format(utc))
		line("SEQUENCE:%d", r.Change)
		if e.At != nil {
			line("DTSTART:%s", e.At.UTC().Format(utc))
			line("DURATION:PT15M")
		} else {
			line("DTSTART;VALUE=DATE:%s", strings.ReplaceAll(string(e.Day), "-", ""))
		}
		line("TRANSP:TRANSPARENT")
		line("SUMMARY:%s", calendarText.Replace(plain.Clean(e.What)))
		line("END:VEVENT")
	}
	line("END:VCALENDAR")
	_, err := io.WriteString(w, b.String())
	return err
}

// calendarText escapes a text value (RFC 5545, 3.3.11).
var calendarText = strings.NewReplacer(`\`, `\\`, ";", `\;`, ",", `\,`, "\n", `\n`)
