package page

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"bookmatch/cmd/words"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"

	"github.com/google/go-cmp/cmp"
)

// Taps on a page and the same asks typed as words leave the same records, also
// when every tap arrives twice. The seeds are printed; BOOKMATCH_LONG=1 plays 1 000.
func TestTapsAreWords(t *testing.T) {
	games := uint64(6)
	if os.Getenv("BOOKMATCH_LONG") != "" {
		games = 1000
	}
	for seed := range games {
		t.Run(fmt.Sprint("seed ", seed), func(t *testing.T) {
			t.Parallel()
			twice := tapGame(t, seed, 2)
			if diff := cmp.Diff(twice.tapped, twice.typed); diff != "" {
				t.Errorf("taps sent twice (-) and words (+) differ after %v:\n%s", twice.words, diff)
			}
			if seed%10 != 0 {
				return // sent once is less: one game in ten will do
			}
			if diff := cmp.Diff(tapGame(t, seed, 1).tapped, twice.tapped); diff != "" {
				t.Errorf("sent once (-) and twice (+) differ:\n%s", diff)
			}
		})
	}
}

type game struct {
	tapped, typed map[string]any
	words         []string
}

// tapGame plays one evening of taps, each sent so many times, and types what came
// of them into a second file.
func tapGame(t *testing.T, seed uint64, times int) game {
	t.Helper()
	r := rand.New(rand.NewPCG(seed, 20261208))
	page, typed := newBench(t), newBench(t)
	d := page.pair(Desk, "tablet")
	d.server.posts = nil
	var out game
	newest := page.journal()
	for range 4 + r.IntN(8) {
		page.now = page.now.Add(time.Duration(30+r.IntN(1500)) * time.Second)
		typed.now = page.now
		path, form := randomTap(t, r, d)
		if path == "" {
			continue
		}
		d.server.posts = nil
		for range times {
			if res := d.post(path, form); res.StatusCode >= 500 || res.StatusCode == http.StatusForbidden {
				t.Fatalf("seed %d: %s %v: %d %s", seed, path, form, res.StatusCode, res.body)
			}
		}
		last := 1
		h := page.ask(workshop.DataHistory, &workshop.DataHistoryAsk{Last: &last}).(*workshop.HistoryResult)
		if h.Changes[0].Seq == newest {
			continue // refused
		}
		if h.Changes[0].Seq != newest+1 {
			t.Fatalf("seed %d: %s made %d changes", seed, path, h.Changes[0].Seq-newest)
		}
		newest = h.Changes[0].Seq
		line := workshop.WordsOf(h.Changes[0].Verb, h.Changes[0].Ask)
		out.words = append(out.words, line)
		if times > 1 {
			typeLine(t, typed, line)
		}
	}
	out.tapped, out.typed = recordsOf(t, page.path), recordsOf(t, typed.path)
	return out
}

// randomTap picks a button of a screen.
func randomTap(t *testing.T, r *rand.Rand, d *device) (string, url.Values) {
	now := d.get("/now").body
	running := strings.Contains(now, `action="/done"`)
	away := strings.Contains(now, `action="/back"`)
	switch n := r.IntN(10); {
	case away:
		return "/back", formOf(t, now, "/back")
	case running && n < 4:
		form := formOf(t, now, "/done")
		if strings.Contains(now, `name="grade"`) && n < 2 {
			form.Set("grade", fmt.Sprint(r.IntN(2)))
		}
		return "/done", form
	case running && n == 4:
		return "/off", formOf(t, now, "/off")
	case running && n == 5:
		return "/away", formOf(t, now, "/away")
	case n == 6 && strings.Contains(now, `action="/oops"`):
		return "/oops", formOf(t, now, "/oops")
	case n == 7:
		form := formOf(t, d.get("/note?neck=N1").body, "/note")
		form.Set("text", fmt.Sprintf("remark%d", r.IntN(1000)))
		return "/note", form
	}
	start := d.get("/start?all=1").body
	lines := regexp.MustCompile(`(?s)<form class="line.*?</form>`).FindAllString(start, -1)
	if len(lines) == 0 {
		return "", nil
	}
	return "/on", formOf(t, lines[r.IntN(len(lines))], "/on")
}

// terminal lets one program run at a time: a program is a process of its own, and
// its parser keeps a help flag that all programs of a process would share.
var terminal sync.Mutex

// typeLine types a line at the terminal of a shop.
func typeLine(t *testing.T, b *bench, line string) {
	t.Helper()
	var noise bytes.Buffer
	e := &words.Env{In: strings.NewReader(""), Out: &noise, ErrOut: &noise, Now: func() time.Time { return b.now }, Getenv: func(k string) string {
		if k == "BOOKMATCH_FILE" {
			return b.path
		}
		return ""
	}}
	p := words.Program{Groups: []words.Group{{Name: "neck", Help: "necks"}}, Commands: append(words.Bench(), words.Command{Path: "neck note", Verb: workshop.NeckNote, View: reports.View(reports.NoteSaved)})}
	terminal.Lock()
	defer terminal.Unlock()
	if code := p.Run(context.Background(), strings.Fields(strings.ReplaceAll(line, `"`, "")), e); code != 0 {
		t.Fatalf("%s: exit %d: %s", line, code, noise.String())
	}
}

// typeAll types a line of any command. An underscore is a blank within a word.
func typeAll(t *testing.T, b *bench, line string) {
	t.Helper()
	args := strings.Fields(strings.ReplaceAll(line, `"`, ""))
	for i := range args {
		args[i] = strings.ReplaceAll(args[i], "_", " ")
	}
	var c words.Command
	for _, x := range deskCommands() {
		if x.Path == args[0] || len(args) > 1 && x.Path == args[0]+" "+args[1] {
			c = x
		}
	}
	if c.Path == "" {
		t.Fatalf("no command for %s", line)
	}
	var noise bytes.Buffer
	e := &words.Env{In: strings.NewReader(""), Out: &noise, ErrOut: &noise, Now: func() time.Time { return b.now }, Getenv: func(k string) string {
		if k == "BOOKMATCH_FILE" {
			return b.path
		}
		return ""
	}}
	noun, _, _ := strings.Cut(c.Path, " ")
	p := words.Program{Groups: []words.Group{{Name: noun, Help: noun}}, Commands: []words.Command{c}}
	terminal.Lock()
	defer terminal.Unlock()
	if code := p.Run(context.Background(), args, e); code != 0 {
		t.Fatalf("%s: exit %d: %s", line, code, noise.String())
	}
}

// deskCommands are a few forms of the desk next to the bench words.
func deskCommands() []words.Command {
	return append(words.Bench(), words.Command{Path: "shop setup", Verb: workshop.ShopSetup}, words.Command{Path: "neck add", Verb: workshop.NeckAdd}, words.Command{Path: "supply add", Verb: workshop.SupplyAdd},
		words.Command{Path: "supply receive", Verb: workshop.SupplyReceive}, words.Command{Path: "bit add", Verb: workshop.BitAdd}, words.Command{Path: "quote draft", Verb: workshop.QuoteDraft},
		words.Command{Path: "layout begin", Verb: workshop.LayoutBegin, View: reports.View(reports.NewSpec), Draw: func(*words.Env, workshop.Ask, workshop.Result) error { return nil }, Then: func(res workshop.Result) (string, map[string][]string) {
			r := res.(*workshop.BeginResult)
			return "layout solve", map[string][]string{"neck": {r.Name}, "spec": {r.Text}, "mode": {"balanced"}}
		}}, words.Command{Path: "layout solve", Verb: workshop.LayoutSolve, View: reports.View(reports.Solved)},
		words.Command{Path: "layout move", Verb: workshop.LayoutMove},
		words.Command{Path: "evening show", Verb: workshop.EveningShow, View: reports.View(reports.Evening), Out: true},
		words.Command{Path: "paper drill", Verb: workshop.LayoutShow, View: reports.View(reports.DrillSheet), Out: true, Paper: true})
}

// recordsOf gives the records of a shop as an export has them.
func recordsOf(t *testing.T, path string) map[string]any {
	t.Helper()
	var b bytes.Buffer
	if err := workshop.At(path, nil).Export(&b); err != nil {
		t.Fatal(err)
	}
	var doc map[string]any
	if err := json.Unmarshal(b.Bytes(), &doc); err != nil {
		t.Fatalf("%s: %v", filepath.Base(path), err)
	}
	records, ok := doc["records"].(map[string]any)
	if !ok {
		t.Fatal("an export without records")
	}
	delete(records, "journal") // it holds who asked
	return records
}
