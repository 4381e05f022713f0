package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"bookmatch/cmd/words"
	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
)

// writing gives the lines of a small shop, one after another: every verb that
// writes is typed at least once. DIR is the folder of a spec.
func writing() []string {
	return []string{
		`shop setup --name Test --currency EUR --zone Europe/Berlin --labour 34.00 --overhead 7.50 --tax 21 --paper a4 --evening "tue 19:30-22:00" --backup-keep 0`,
		`shop set yearly-overhead 2600`,
		`operation set drill --setup 8`,
		`operation add bind-edge --setup 12 --run 0.3 --per edge_cm`,
		`route set headstock --quantity inlay=14`,
		`route add headstock decide --after drill`,
		`wood set myrtle --new --abrasion 0.8`,
		`neck add N1 --nickname ada --wood hard-maple`,
		`neck add N2 --nickname bo --wood hard-maple`,
		`neck set ada --due 2027-06-01`,
		`neck step ada inlay-cut --quantity 9`,
		`neck note ada "two voids at the fifth fret"`,
		`neck hold ada --why "waits for wood"`,
		`neck resume ada`,
		`neck pay ada 200.00`,
		`supply add wood-glue --unit ml`,
		`supply set wood-glue --reorder 150`,
		`supply receive wood-glue 250 --price 12.50`,
		`supply open wood-glue`,
		`supply use wood-glue 10 --neck ada`,
		`supply amend use 1 --quantity 8`,
		`supply count wood-glue 200`,
		`supply write-off wood-glue 20 --why spilled`,
		`supply offcut wood-glue 3 --neck ada --value 0.10`,
		`supply drop use 1`,
		`part add ada tuners --price 84.00`,
		`part add ada nut --price 6.00`,
		`shopping order wood-glue`,
		`part set 1 --here`,
		`part freight 9.90 1`,
		`part drop 2`,
		`piece add V1 --wood walnut --thickness 0.6 --price 4.00`,
		`piece set V1 --thickness 0.55`,
		`piece use V1 ada`,
		`piece offcut V1 V2 --value 2.00`,
		`bit add S10-1 --diameter 10 --point brad --keep show --price 14.00 --life 133`,
		`bit set S10-1 --price 15.00`,
		`bit use S10-1 --holes 6 --depth 17 --wood hard-maple`,
		`bit test S10-1 --wood hard-maple --grade clean`,
		`bit drop 1`,
		`bit sharpen S10-1 --why dull`,
		`bit move S10-1 --to general --why dull`,
		`layout solve ada --spec DIR/six-in-line.toml --mode straight-row`,
		`layout move ada 2=66.4`,
		`layout freeze ada`,
		`on choose ada`,
		`away`,
		`back`,
		`go`,
		`off`,
		`spent 25 choose ada --done`,
		`on flush bo --anyway later`,
		`done`,
		`oops`,
		`oops --redo`,
		`entry amend 1 --note tired --why "forgot it"`,
		`entry move 1 --to-neck bo --why "the wrong neck"`,
		`entry drop 1 --why "logged twice"`,
		`evening enter 2026-10-27 "1910 flush ada, 1945 drill bo 6, 2115 end"`,
		`quote draft Q1 --for "a customer" --quantity holes=6 --margin 25`,
		`quote send Q1`,
		`quote revise Q1`,
		`quote send Q1`,
		`quote accept Q1 --deposit-on 2026-11-03`,
		`quote change Q1 --ask "four more dots" --quantity inlay=7`,
		`customer set "a customer" --address "Alder Court 14, Lower Marsh"`,
		`quote draft Q2 --for "a customer" --quantity holes=6`,
		`quote send Q2`,
		`quote decline Q2 --why "found another"`,
		`neck finish bo --price 640.00 --anyway "sold as it is"`,
		`neck scrap ada --why "torn face"`,
	}
}

// split breaks a line at spaces, outside of double quotes.
func split(line string) (out []string) {
	for i, part := range strings.Split(line, `"`) {
		if i%2 == 1 {
			out = append(out, part)
		} else {
			out = append(out, strings.Fields(part)...)
		}
	}
	return out
}

// smallShop is the file that the lines of writing play on.
type smallShop struct {
	t         *testing.T
	dir, file string
	now       time.Time
}

func newSmallShop(t *testing.T) *smallShop {
	s := &smallShop{t: t, dir: t.TempDir(), now: time.Date(2026, 11, 3, 18, 0, 0, 0, time.UTC)}
	s.file = filepath.Join(s.dir, "shop.db")
	if err := os.WriteFile(filepath.Join(s.dir, "six-in-line.toml"), []byte(demoSpecs["six-in-line.toml"]), 0o600); err != nil {
		t.Fatal(err)
	}
	return s
}

// bound gives what a line asks of the shop, without doing it.
func (s *smallShop) bound(line string) (verb workshop.Verb, ask workshop.Ask) {
	s.t.Helper()
	stop := errors.New("bound")
	cmds := verbs()
	for i := range cmds {
		v := cmds[i].Verb
		cmds[i].Before = func(_ *words.Env, _ *workshop.Workshop, a workshop.Ask) error {
			verb, ask = v, a
			return stop
		}
	}
	var noise bytes.Buffer
	e := &words.Env{In: strings.NewReader(""), Out: io.Discard, ErrOut: &noise, Now: func() time.Time { return s.now }, Getenv: func(string) string { return "" }}
	words.Program{Groups: groups, Commands: cmds, Sheet: sheet}.Run(context.Background(), append([]string{"--file", s.file}, split(strings.ReplaceAll(line, "DIR", s.dir))...), e)
	if ask == nil {
		s.t.Fatalf("%s: %s", line, noise.String())
	}
	return verb, ask
}

// changes is the number of the newest change, and the export of the whole file.
func (s *smallShop) changes() (newest uint64, export string) {
	s.t.Helper()
	if _, err := os.Stat(s.file); err != nil {
		return 0, ""
	}
	w := workshop.At(s.file, func() time.Time { return s.now })
	r, err := w.Do(workshop.ShopShow, workshop.ShopShow.NewAsk())
	var out bytes.Buffer
	if err == nil {
		err = w.Export(&out)
	}
	if err != nil { // a child was killed before the shop was set up
		return 0, ""
	}
	return workshop.MetaOf(r).Change, out.String()
}

// askJSON is what the child process is told to do.
type askJSON struct {
	File, Verb string
	Now        time.Time
	Token      string
	Ask        json.RawMessage
}

// askOnce is a child process: it does what standard input asks.
func askOnce() {
	var in askJSON
	err := json.NewDecoder(os.Stdin).Decode(&in)
	if err == nil {
		i := slices.IndexFunc(workshop.Verbs(), func(v workshop.Verb) bool { return v.Name == in.Verb })
		v := workshop.Verbs()[i]
		ask := v.NewAsk()
		if err = json.Unmarshal(in.Ask, ask); err == nil {
			workshop.AskedOf(ask).Token = in.Token
			_, err = workshop.At(in.File, func() time.Time { return in.Now }).Do(v, ask)
		}
	}
	if err != nil {
		os.Stderr.WriteString(err.Error())
		os.Exit(1)
	}
}

// TestATokenChangesOnce does every line of a small shop three times with one token:
// in a process that is killed at a random moment, then twice more. The file is
// changed once, and the answers are the same.
func TestATokenChangesOnce(t *testing.T) {
	t.Parallel()
	s := newSmallShop(t)
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	rng := rand.New(rand.NewPCG(seed, 4))
	typed, inTime := map[string]bool{}, 0
	for i, line := range writing() {
		s.now = s.now.Add(2 * time.Minute)
		verb, ask := s.bound(line)
		typed[verb.Name] = true
		raw, err := json.Marshal(ask)
		if err != nil {
			t.Fatal(err)
		}
		token := "t" + string(rune('A'+i/26)) + string(rune('a'+i%26)) + "0123456789"
		before, _ := s.changes()

		child := exec.Command("bookmatch-ask")
		told, _ := json.Marshal(askJSON{s.file, verb.Name, s.now, token, raw})
		child.Stdin = bytes.NewReader(told)
		var noise bytes.Buffer
		child.Stderr = &noise
		if err := child.Start(); err != nil {
			t.Fatal(err)
		}
		kill := time.AfterFunc(time.Duration(rng.IntN(60_000))*time.Microsecond, func() { child.Process.Kill() })
		child.Wait()
		kill.Stop()
		if noise.Len() > 0 {
			t.Errorf("%s: %s", line, noise.String())
			continue
		}
		if after, _ := s.changes(); after != before {
			inTime++
		}

		shop := workshop.At(s.file, func() time.Time { return s.now })
		var answers, exports []string
		for range 2 {
			again := verb.NewAsk()
			if err := json.Unmarshal(raw, again); err != nil {
				t.Fatalf("%s: %v", line, err)
			}
			workshop.AskedOf(again).Token = token
			res, err := shop.Do(verb, again)
			if err != nil {
				t.Fatalf("%s: %v", line, err)
			}
			after, export := s.changes()
			if after != before+1 {
				t.Errorf("%s: %d changes", line, after-before)
			}
			answers, exports = append(answers, encoded(t, res)), append(exports, export)
		}
		if answers[0] != answers[1] {
			t.Errorf("%s answers\n%.500s\nand then\n%.500s", line, answers[0], answers[1])
		}
		if exports[0] != exports[1] {
			t.Errorf("%s changes the file again", line)
		}
	}
	t.Logf("%d of %d were done before the process was killed", inTime, len(writing()))
	for _, v := range workshop.Verbs() {
		if v.Writes() && !typed[v.Name] {
			t.Errorf("%s writes, but no line of writing() does it", v.Name)
		}
	}
}

// TestATokenIsOfOneChange: a token of one verb is refused for another, and a change
// that was taken back is
// not done again.
func TestATokenIsOfOneChange(t *testing.T) {
	s := newSmallShop(t)
	for _, line := range writing()[:9] {
		v, ask := s.bound(line)
		if _, err := workshop.At(s.file, func() time.Time { return s.now }).Do(v, ask); err != nil {
			t.Fatal(err)
		}
	}
	do := func(line, token string) error {
		v, ask := s.bound(line)
		workshop.AskedOf(ask).Token = token
		_, err := workshop.At(s.file, func() time.Time { return s.now }).Do(v, ask)
		return err
	}
	if err := do("on choose ada", "token-one"); err != nil {
		t.Fatal(err)
	}
	if err := do("off", "token-one"); err == nil {
		t.Error("the token of on was taken for off")
	}
	if err := do("oops", ""); err != nil {
		t.Fatal(err)
	}
	var r *jobs.Refusal
	if err := do("on choose ada", "token-one"); !errors.As(err, &r) || r.Code != "taken-back" {
		t.Errorf("a change that was taken back: %v", err)
	}
}
