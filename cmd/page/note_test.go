package page

import (
	"net/http"
	"strings"
	"testing"
	"time"

	"bookmatch/jobs/workshop"
)

// A note that is written while work runs belongs to that neck and operation. Of a
// batch a button picks the neck. With nothing on, or on another neck, it belongs to a
// neck alone.
func TestNoteOfWhatRuns(t *testing.T) {
	b := newBench(t)
	d := b.pair(Bench, "tablet")
	keep := func(path, neck, text string) {
		t.Helper()
		defer func() { b.now = b.now.Add(time.Minute) }()
		form := formOf(t, d.get(path).body, "/note")
		if neck != "" {
			form.Set("neck", neck)
		}
		form.Set("text", text)
		if r := d.post("/note", form); r.StatusCode != http.StatusSeeOther {
			t.Fatalf("%s: %d %s", text, r.StatusCode, r.body)
		}
	}
	noted := func(neck string) (out []string) {
		for _, n := range b.ask(workshop.NeckShow, &workshop.NeckShowAsk{Neck: neck}).(*workshop.NeckShowResult).Notes {
			out = append(out, strings.TrimSpace(n.Operation+" "+n.Text))
		}
		return out
	}
	keep("/note", "", "before")
	b.ask(workshop.On, &workshop.OnAsk{Operation: "choose-veneer", Necks: []string{"ada"}})
	b.now = b.now.Add(5 * time.Minute)
	if body := d.get("/note").body; !strings.Contains(body, "note <b>ada</b> choose-veneer") {
		t.Errorf("the note does not say what it belongs to:\n%s", body)
	}
	keep("/note", "", "stripe")
	keep("/note?neck=bo", "", "elsewhere")
	if body := d.get("/n/ada").body; !strings.Contains(body, "Tue 8 Dec, choose-veneer") {
		t.Errorf("the neck does not say what a note belongs to:\n%s", body)
	}
	b.ask(workshop.On, &workshop.OnAsk{Operation: "choose-veneer", Necks: []string{"ada", "bo"}, Started: workshop.Started{Anyway: "test"}})
	b.now = b.now.Add(5 * time.Minute)
	if body := d.get("/note").body; !strings.Contains(body, `value="N1">keep on ada<`) || !strings.Contains(body, `value="N2">keep on bo<`) {
		t.Errorf("a note of a batch:\n%s", body)
	}
	keep("/note", "N2", "knot")
	b.ask(workshop.Off, &workshop.OffAsk{})
	keep("/note?neck=ada", "", "after")
	for neck, want := range map[string]string{"ada": "before, choose-veneer stripe, after", "bo": "elsewhere, choose-veneer knot"} {
		if got := strings.Join(noted(neck), ", "); got != want {
			t.Errorf("%s has %q, want %q", neck, got, want)
		}
	}
}
