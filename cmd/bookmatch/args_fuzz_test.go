package main

import (
	"bookmatch/cmd/words"
	"bytes"
	"strings"
	"testing"
	"time"
)

// testEnv is an environment without a home, a clock or a terminal of its own.
func testEnv(vars map[string]string) (e *words.Env, out, errOut *bytes.Buffer) {
	out, errOut = &bytes.Buffer{}, &bytes.Buffer{}
	now := time.Date(2026, 11, 24, 19, 0, 0, 0, time.UTC)
	return &words.Env{In: strings.NewReader(""), Out: out, ErrOut: errOut, Now: func() time.Time { return now }, Getenv: func(k string) string { return vars[k] }}, out, errOut
}

func FuzzReadSheet(f *testing.F) {
	book := sheetOf(f, [][]any{{"date", "from", "operation"}, {46350.0, 0.8125, "drill"}, {"2026-01-05", "19:30", "=1+1"}})
	f.Add(book)
	f.Add(book[:len(book)/2])
	f.Add([]byte("PK\x03\x04"))
	f.Fuzz(func(t *testing.T, raw []byte) {
		rows := 0
		if _, err := sheet(raw, "", func(int, []string) error { rows++; return nil }); err == nil && rows < 0 {
			t.Error("fewer than no rows")
		}
	})
}
