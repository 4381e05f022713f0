package main

import (
	"bookmatch/cmd/words"
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// TestReadme types every command of the README's walk, in order, into a fresh
// file and compares what it prints. A line "# Tue 24 Nov 2026 19:31" sets the
// clock. UPDATE_GOLDEN=1 writes the outputs anew.
func TestReadme(t *testing.T) {
	home, err := filepath.Abs("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile(home)
	if err != nil {
		t.Fatal(err)
	}
	zone, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	t.Chdir(dir)
	w := &walk{t: t, zone: zone, now: time.Date(2026, 11, 20, 18, 0, 0, 0, zone), db: filepath.Join(dir, "shop.db")}
	got := w.play(string(text))
	if w.ran < 10 {
		t.Fatalf("only %d commands in the README's walk", w.ran)
	}
	if os.Getenv("UPDATE_GOLDEN") == "1" {
		if err := os.WriteFile(home, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if diff := cmp.Diff(strings.Split(string(text), "\n"), strings.Split(got, "\n")); diff != "" {
		t.Errorf("README shows other output than the program (-README +program):\n%s", diff)
	}
}

type walk struct {
	t    *testing.T
	zone *time.Location
	now  time.Time
	db   string
	ran  int
}

// play gives the text with the outputs of its console blocks as the program
// prints them now.
func (w *walk) play(text string) string {
	var out []string
	lines := strings.Split(text, "\n")
	inside := false
	for i := 0; i < len(lines); i++ {
		l := lines[i]
		switch {
		case l == "```console":
			inside = true
		case strings.HasPrefix(l, "```"):
			inside = false
		}
		if !inside || (!strings.HasPrefix(l, "$ ") && !strings.HasPrefix(l, "# ")) {
			out = append(out, l)
			continue
		}
		if at, ok := strings.CutPrefix(l, "# "); ok {
			if when, err := time.ParseInLocation("Mon 2 Jan 2006 15:04", at, w.zone); err == nil {
				w.now = when
			}
			out = append(out, l)
			continue
		}
		command := l
		for strings.HasSuffix(lines[i], "\\") {
			i++
			command = strings.TrimSuffix(command, "\\") + lines[i]
			l += "\n" + lines[i]
		}
		out = append(out, l)
		out = append(out, w.run(strings.TrimPrefix(command, "$ "))...)
		for i+1 < len(lines) && !strings.HasPrefix(lines[i+1], "$ ") && !strings.HasPrefix(lines[i+1], "# ") && !strings.HasPrefix(lines[i+1], "```") {
			i++
		}
	}
	return strings.Join(out, "\n")
}

func (w *walk) run(command string) []string {
	typed := shellWords(command)
	if len(typed) == 0 || typed[0] != "bookmatch" {
		w.t.Fatalf("README: %q is no command of this program", command)
	}
	w.ran++
	var both bytes.Buffer
	e := &words.Env{In: strings.NewReader(""), Out: &both, ErrOut: &both, Now: func() time.Time { return w.now }, Getenv: func(k string) string {
		if k == "BOOKMATCH_FILE" {
			return w.db
		}
		return ""
	}}
	run(context.Background(), typed[1:], e)
	text := strings.TrimRight(strings.ReplaceAll(both.String(), w.db, "~/.local/share/bookmatch/shop.db"), "\n")
	if text == "" {
		return nil
	}
	return strings.Split(text, "\n")
}

// shellWords splits a line as a shell would, with double quotes only.
func shellWords(s string) []string {
	var out []string
	var word strings.Builder
	quoted, any := false, false
	for _, r := range s {
		switch {
		case r == '"':
			quoted, any = !quoted, true
		case r == ' ' && !quoted:
			if any || word.Len() > 0 {
				out = append(out, word.String())
			}
			word.Reset()
			any = false
		default:
			word.WriteRune(r)
		}
	}
	if any || word.Len() > 0 {
		out = append(out, word.String())
	}
	return out
}
