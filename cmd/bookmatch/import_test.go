package main

import (
	"bookmatch/cmd/words"
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"
)

func sheetOf(t testing.TB, rows [][]any) []byte {
	t.Helper()
	f := excelize.NewFile()
	defer f.Close()
	for i, r := range rows {
		cell, _ := excelize.CoordinatesToCellName(1, i+1)
		if err := f.SetSheetRow("Sheet1", cell, &r); err != nil {
			t.Fatal(err)
		}
	}
	var b bytes.Buffer
	if err := f.Write(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestListFromAWorkbook(t *testing.T) {
	dir := t.TempDir()
	vars := map[string]string{"BOOKMATCH_FILE": filepath.Join(dir, "shop.db")}
	play := func(want int, args ...string) string {
		t.Helper()
		e, out, errOut := testEnv(vars)
		if code := run(context.Background(), args, e); code != want {
			t.Fatalf("%q: exit code %d\n%s%s", args, code, out, errOut)
		}
		return out.String()
	}
	play(0, "shop", "setup", "--name", "Test", "--currency", "EUR", "--zone", "Europe/Berlin")
	play(0, "neck", "add", "N1", "--nickname", "ada", "--title", "Six", "--route", "headstock", "--wood", "hard-maple")
	book := filepath.Join(dir, "log.xlsx")
	rows := [][]any{{"Day", "Begin", "End", "operation", "neck"}, {46000, 0.8125, 0.84375, "flush-sand", "ada"}, {46000.9, 46000.85, 46000.875, "drill", "N1"}, {"2026-13-01", 0.8, 0.9, "drill", "ada"}}
	if err := os.WriteFile(book, sheetOf(t, rows), 0o600); err != nil {
		t.Fatal(err)
	}
	args := []string{"data", "import", "--as", "entries", book, "--map", "Day=date", "--map", "Begin=from", "--map", "3=to"}
	if out := play(4, args...); !strings.Contains(out, `4  date "2026-13-01" does not fit`) {
		t.Errorf("got\n%s", out)
	}
	if err := os.WriteFile(book, sheetOf(t, rows[:3]), 0o600); err != nil {
		t.Fatal(err)
	}
	if out := play(0, args...); !strings.Contains(out, "SAVED 2 records") {
		t.Errorf("got\n%s", out)
	}
	got := play(0, "entry", "list", "--json")
	for _, want := range []string{`"from": "2025-12-09T19:30:00+01:00"`, `"to": "2025-12-09T20:15:00+01:00"`, `"from": "2025-12-09T20:24:00+01:00"`} {
		if !strings.Contains(got, want) {
			t.Errorf("%s is not in\n%s", want, got)
		}
	}
	if out := play(0, "data", "check"); !strings.Contains(out, "Sound") {
		t.Errorf("got\n%s", out)
	}
}

// What is written lands under the name that was given: a link in its place is
// replaced, what it leads to stays as it was, and nobody else may read it.
func TestOutNeverFollowsALink(t *testing.T) {
	dir := t.TempDir()
	t.Chdir(dir)
	hostileShop(t, filepath.Join(dir, "shop.db"))
	vars := map[string]string{"BOOKMATCH_FILE": filepath.Join(dir, "shop.db"), "BOOKMATCH_NOW": "2026-11-24T20:00:00Z"}
	other := filepath.Join(dir, "other")
	for _, args := range [][]string{{"data", "export"}, {"report", "evening"}} {
		out := "out-" + args[0] + ".csv"
		if err := os.WriteFile(other, []byte("mine"), 0o600); err != nil {
			t.Fatal(err)
		}
		if err := os.Symlink(other, out); err != nil {
			t.Fatal(err)
		}
		e, _, _ := testEnv(vars)
		if code := run(context.Background(), append(args, "--out", out), e); code != words.ExitConflict {
			t.Errorf("%q over a link without --force: exit code %d", args, code)
		}
		e, _, errOut := testEnv(vars)
		if code := run(context.Background(), append(args, "--out", out, "--force"), e); code != words.ExitDone {
			t.Fatalf("%q: %s", args, errOut)
		}
		if raw, err := os.ReadFile(other); err != nil || string(raw) != "mine" {
			t.Errorf("%q wrote through the link: %q, %v", args, raw, err)
		}
		if info, err := os.Lstat(out); err != nil || info.Mode() != 0o600 {
			t.Errorf("%q: mode %v, %v", args, info.Mode(), err)
		}
	}
}
