package main

import (
	"bookmatch/jobs/workshop"
	"bookmatch/reports"
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// The calendar file against another library (python3-icalendar, RFC 5545): every event
// is read back with its summary, date and UID. No line is longer than 75 octets.
func TestCalendarFile(t *testing.T) {
	t.Parallel()
	d := newDemoShop(t)
	file, long := filepath.Join(d.dir, "shop.ics"), filepath.Join(d.dir, "long.ics")
	at := time.Date(2026, 11, 25, 13, 37, 0, 0, time.UTC)
	what := strings.Repeat("öäü, a; b\\c ", 30)
	var made bytes.Buffer
	if err := reports.WriteCalendar(&made, &workshop.CalendarResult{Stamp: at, Events: []workshop.CalendarEvent{{ID: "cure-N1-2", What: what, At: &at}}}); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(long, made.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	d.say("part", "add", "siskin", "tuners; black, six", "--price", "80.00", "--ordered", "2026-11-20", "--arrives", "2026-12-02")
	d.say("calendar", "--out", file)
	raw, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	for _, l := range bytes.Split(append(raw, made.Bytes()...), []byte("\r\n")) {
		if len(l) > 75 || bytes.ContainsAny(l, "\r\n") {
			t.Errorf("a line of %d octets: %q", len(l), l)
		}
	}
	for _, secret := range []string{"Corrigan", "tuners", "80.00"} {
		if bytes.Contains(raw, []byte(secret)) {
			t.Errorf("the calendar says %q", secret)
		}
	}
	if err := exec.Command("/usr/bin/python3", "-c", "import icalendar").Run(); err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal("python3-icalendar is not installed, but CI asks for every check")
		}
		t.Skip("python3-icalendar is not installed")
	}
	const read = `
import sys, icalendar
c = icalendar.Calendar.from_ical(open(sys.argv[1], "rb").read())
for e in c.walk("VEVENT"):
    print(e["UID"], e.decoded("DTSTART"), e["TRANSP"], e["SUMMARY"], sep="|")
`
	readBack := func(name string) string {
		out, err := exec.Command("/usr/bin/python3", "-c", read, name).CombinedOutput()
		if err != nil {
			t.Fatalf("%v\n%s", err, out)
		}
		return string(out)
	}
	if got, want := readBack(long), "cure-N1-2@bookmatch.invalid|2026-11-25 13:37:00+00:00|TRANSPARENT|"+what; !strings.HasPrefix(got, strings.TrimSpace(want)) {
		t.Errorf("a long event reads %q, want %q", got, want)
	}
	out := readBack(file)
	for _, want := range []string{
		"due-N15@bookmatch.invalid|2027-03-15|TRANSPARENT|finch is promised",
		"due-N17@bookmatch.invalid|2027-02-28|TRANSPARENT|curlew is promised",
		"|2026-12-02|TRANSPARENT|delivery for siskin",
	} {
		if !strings.Contains(out, want) {
			t.Errorf("the library does not read %q in\n%s", want, out)
		}
	}
}
