package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"bookmatch/cmd/words"
	"bookmatch/costing/money"
	"bookmatch/jobs"
	"bookmatch/jobs/store"
	"bookmatch/jobs/workshop"
	"bookmatch/reports/plain"

	"github.com/urfave/cli/v2"
)

// evil is what must never reach a terminal as it is: an escape that clears the
// screen, a C1 control that does the same in one byte of Latin-1, a bell, marks
// that turn the writing direction (CVE-2021-42574 shows what they do to a
// reader), a line end, bytes that are not UTF-8, and the start of a formula.
const evil = "=1+1\x1b[2J\u009b31m\a\u202evil\u2066\r\nx\u2028\xff\xfe\u200b"

// unclean gives the first thing in a text that a terminal must not get.
func unclean(s string) string {
	for i, r := range s {
		if r == '\n' {
			continue
		}
		if r == utf8.RuneError {
			if _, n := utf8.DecodeRuneInString(s[i:]); n > 1 {
				continue // U+FFFD itself: what was there is marked
			}
		} else if plain.Clean(string(r)) == string(r) {
			continue
		}
		return fmt.Sprintf("%q at %q", r, s[max(0, i-30):min(len(s), i+30)])
	}
	return ""
}

// hostileShop is a file whose every free text is evil.
func hostileShop(t *testing.T, path string) {
	t.Helper()
	e, _, _ := testEnv(nil)
	s, err := store.Open(path, store.Options{Now: e.Now, Create: true, Command: "shop setup " + evil})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	at := e.Now().AddDate(0, 0, -7)
	to := at.Add(40 * 60e9)
	err = s.Update(func(tx *store.Tx) error {
		shop, err := workshop.Seed(tx)
		if err != nil {
			return err
		}
		shop.Name, shop.Currency = evil, "EUR"
		neck := jobs.Neck{Code: "N1", Nickname: "ada", Title: evil, Customer: evil, Wood: "hard-maple", Route: "headstock", Status: jobs.Open, Added: at, Why: evil, Papers: evil, Notes: []jobs.NeckNote{{Text: evil, At: at}},
			Steps: []jobs.Step{{No: 1, Operation: "drill", Quantity: 6, Note: evil}, {No: 2, Operation: "flush-sand", Quantity: 1, Skip: evil}}, Quantities: map[string]float64{"holes": 6}}
		id, err := store.NextID(tx, store.Entries)
		if err != nil {
			return err
		}
		entry := jobs.Entry{ID: id, Operation: "drill", Class: jobs.First, Shares: []jobs.Share{{Neck: "N1", Step: 1, Count: 6, Done: true}}, From: at, To: &to, Note: evil, Anyway: evil, Person: evil, Written: at}
		lot := jobs.Lot{ID: 1, Supply: "glue", Source: jobs.SourceBought, Received: at, Quantity: money.QtyOf(100), Price: money.New(5, 0), Note: evil}
		use := jobs.SupplyUse{ID: 1, Supply: "glue", Kind: jobs.UseIssue, Quantity: money.QtyOf(5), On: at, Written: at, Neck: "N1", Note: evil, Reason: evil}
		bit := jobs.Bit{Code: "S1", DiameterMM: 10, DiameterText: evil, Point: "brad", Material: "hss", Keep: jobs.KeepShow, Added: at, Note: evil}
		operation, _, err := store.Get(tx, store.Operations, "drill")
		if err != nil {
			return err
		}
		operation.Title = evil
		{ // each number has been given
			store.NextID(tx, store.Lots)
			store.NextID(tx, store.Uses)
			store.NextID(tx, store.Parts)
		}
		return errors.Join(
			store.Put(tx, store.Shops, shop), store.Put(tx, store.Necks, neck), store.Put(tx, store.Entries, entry), store.Put(tx, store.Operations, operation),
			store.Put(tx, store.Supplies, jobs.Supply{Name: "glue", Title: evil, Unit: jobs.UnitML, Label: evil, Note: evil}),
			store.Put(tx, store.Lots, lot), store.Put(tx, store.Uses, use), store.Put(tx, store.Bits, bit),
			store.Put(tx, store.Edges, jobs.Edge{Bit: "S1", No: 1, Origin: jobs.OriginNew, Started: at, DiameterMM: 10, Note: evil}),
			store.Put(tx, store.Woods, jobs.Wood{Name: "apple", Title: evil, Abrasion: 1, Source: evil, Dust: evil, TradeControl: evil, Reaction: evil}),
			store.Put(tx, store.Parts, jobs.Part{ID: 1, Neck: "N1", Name: evil, Quantity: 1, Price: money.New(5, 0), Note: evil, Delivery: evil}),
			store.Put(tx, store.Pieces, jobs.Piece{Code: "V1", Kind: jobs.PieceVeneer, Wood: "apple", Received: at, Note: evil, Papers: evil}),
		)
	})
	if err != nil {
		t.Fatal(err)
	}
}

// leaves gives the words of every command that does something.
func leaves(cmds []*cli.Command, before []string) (out [][]string) {
	for _, c := range cmds {
		path := append(append([]string{}, before...), c.Name)
		if len(c.Subcommands) > 0 {
			out = append(out, leaves(c.Subcommands, path)...)
		}
		out = append(out, path)
	}
	return out
}

// Every command, over a file of hostile text and with hostile words: nothing
// on either stream that a terminal must not get, in text, in JSON, in colour.
func TestHostileTextNeverReachesATerminal(t *testing.T) {
	dir := t.TempDir()
	t.Chdir(dir)
	original := filepath.Join(dir, "original.db")
	hostileShop(t, original)
	image, err := os.ReadFile(original)
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(dir, "shop.db")
	ran := 0
	for _, typed := range leaves(words.Tree(groups, verbs(), nil), nil) {
		name := strings.Join(typed, " ")
		if typed[0] == "demo" {
			continue // it plays its own invented workshop
		}
		piped := name == "data export" // refused on a terminal; a pipe gets the document as it is
		for _, more := range [][]string{nil, {"ada"}, {"glue"}, {"S1"}, {"apple"}, {"drill"}, {"drill", "ada"}, {"1"}, {evil}, {evil, evil}, {"ada", "--note", evil}, {"--" + evil}, {"--help"}} {
			for _, json := range []bool{false, true} {
				if json && os.Getenv("CI") == "" && len(more) != 1 {
					continue // every answer as JSON is for CI
				}
				if err := os.WriteFile(path, image, 0o600); err != nil {
					t.Fatal(err)
				}
				args := append([]string{"--file", path}, append(typed, more...)...)
				if json {
					args = append(args, "--json")
				}
				e, out, errOut := testEnv(map[string]string{"BOOKMATCH_NOW": "2026-11-24T20:00:00Z"})
				e.ErrTerminal = true
				if !json {
					e.Columns = 80
				}
				code := run(context.Background(), args, e)
				if code == 0 {
					ran++
				}
				if bad := unclean(stripColor(out.String())); bad != "" && !(piped && json) {
					t.Errorf("%s %q (json %v) prints %s", name, more, json, bad)
				}
				if bad := unclean(stripColor(errOut.String())); bad != "" {
					t.Errorf("%s %q (json %v) says %s", name, more, json, bad)
				}
			}
		}
	}
	t.Logf("%d runs that ended well", ran)
}

// stripColor takes out the program's own colours: SGR sequences and nothing
// else.
func stripColor(s string) string {
	var b strings.Builder
	for {
		i := strings.Index(s, "\x1b[")
		if i < 0 {
			return b.String() + s
		}
		end := i + 2
		for end < len(s) && (s[end] == ';' || s[end] >= '0' && s[end] <= '9') {
			end++
		}
		if end < len(s) && s[end] == 'm' {
			b.WriteString(s[:i])
			s = s[end+1:]
			continue
		}
		b.WriteString(s[:end])
		s = s[end:]
	}
}

// No cell of a file that a report writes begins a formula with a builder's
// text.
func TestHostileTextStaysTextInCells(t *testing.T) {
	dir := t.TempDir()
	t.Chdir(dir)
	path := filepath.Join(dir, "shop.db")
	hostileShop(t, path)
	wrote := 0
	for _, words := range [][]string{{"report", "evening"}, {"report", "evening", "2026-11-17"}, {"report", "neck", "ada"}, {"report", "bits"}, {"report", "supplies"}, {"report", "year"}, {"report", "year", "2026"}} {
		out := filepath.Join(dir, fmt.Sprintf("f%d.csv", wrote))
		e, _, errOut := testEnv(map[string]string{"BOOKMATCH_NOW": "2026-11-24T20:00:00Z"})
		if code := run(context.Background(), append(append([]string{"--file", path}, words...), "--out", out), e); code != 0 {
			t.Logf("%q: %s", words, errOut)
			continue
		}
		wrote++
		raw, err := os.ReadFile(out)
		if err != nil {
			t.Fatal(err)
		}
		for _, line := range strings.Split(string(raw), "\n") {
			for _, cell := range strings.Split(line, ",") {
				if c := strings.TrimPrefix(cell, `"`); strings.HasPrefix(c, "=") {
					t.Errorf("%q: a cell begins %q", words, c)
				}
			}
		}
		if bad := unclean(strings.TrimPrefix(strings.ReplaceAll(string(raw), "\r\n", "\n"), "\ufeff")); bad != "" {
			t.Errorf("%q writes %s", words, bad)
		}
	}
	if wrote == 0 {
		t.Error("no report wrote a file")
	}
}
