package store

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"strconv"
	"strings"
	"testing"

	"bookmatch/jobs"
)

// scale multiplies how long the random tests run: four times for BOOKMATCH_LONG=1,
// which .ci/run sets, more for a night.
func scale() int {
	n, err := strconv.Atoi(os.Getenv("BOOKMATCH_LONG"))
	if err != nil || n < 1 {
		return 1
	}
	return 4 * n
}

func export(t testing.TB, path string) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := Export(path, &b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// digest stands for everything in the file.
func digest(t testing.TB, path string) string {
	t.Helper()
	return fmt.Sprintf("%x", sha256.Sum256(export(t, path)))
}

func importDocument(t testing.TB, path string, document []byte) (kept string, err error) {
	t.Helper()
	from := filepath.Join(t.TempDir(), "export.json")
	if err := os.WriteFile(from, document, 0o600); err != nil {
		t.Fatal(err)
	}
	g, err := StageImport(path, from, nil)
	if err != nil {
		return "", err
	}
	defer g.Discard()
	return g.Place(start)
}

func TestExportComesBackByteForByte(t *testing.T) {
	path := newFile(t)
	grow(t, path, small, 5)
	if err := undo(t, path); err != nil {
		t.Fatal(err)
	}
	first := export(t, path)
	if !bytes.Equal(first, export(t, path)) {
		t.Error("the same file gave two documents")
	}
	other := filepath.Join(t.TempDir(), "new", "shop.db")
	if _, err := importDocument(t, other, first); err != nil {
		t.Fatal(err)
	}
	if second := export(t, other); !bytes.Equal(first, second) {
		t.Error("export, import, export is not the same document")
	}
	mustBeSound(t, other)
	// The next number goes on from where the first file stood, and what was taken
	// back can be brought in again.
	next := func(path string) (id uint64) {
		update(t, path, start, "next", func(tx *Tx) (err error) { id, err = NextID(tx, Entries); return err })
		return id
	}
	if a, b := next(path), next(other); a != b {
		t.Errorf("the next number is %d, after the import %d", a, b)
	}
	if err := redo(t, other); err != nil {
		t.Error(err)
	}
	list, err := os.ReadDir(filepath.Dir(other))
	if err != nil || len(list) != 1 {
		t.Errorf("the import left %v", list)
	}
}

// Spaces between the values do not matter: a document that went through another
// program's pretty printer is the same.
func TestImportTakesOtherSpacing(t *testing.T) {
	path := newFile(t)
	grow(t, path, small, 5)
	first := export(t, path)
	var wide bytes.Buffer
	if err := json.Indent(&wide, first, "", "    "); err != nil {
		t.Fatal(err)
	}
	other := filepath.Join(t.TempDir(), "shop.db")
	if _, err := importDocument(t, other, wide.Bytes()); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(first, export(t, other)) {
		t.Error("the indented document gave another file")
	}
}

func TestImportKeepsWhatItReplaces(t *testing.T) {
	path := newFile(t)
	document := export(t, path)
	putWood(t, path, "apple", 0.9)
	was := digest(t, path)
	kept, err := importDocument(t, path, document)
	if err != nil {
		t.Fatal(err)
	}
	if got := digest(t, kept); got != was {
		t.Error("what was kept is not what was there")
	}
	if !bytes.Equal(document, export(t, path)) {
		t.Error("the import is not in place")
	}
}

func TestImportRefusesWithLineAndPath(t *testing.T) {
	path := newFile(t)
	grow(t, path, small, 5)
	good := string(export(t, path))
	deep := strings.Repeat(`{"a":`, 200) + "1" + strings.Repeat("}", 200)
	lineOfText := func(doc, text string) int { return 1 + strings.Count(doc[:strings.Index(doc, text)], "\n") }
	entry := lineOfText(good, `{"id":1,"operation"`)
	cases := []struct {
		name     string
		from, to string
		line     int
		path     string
		what     string
	}{
		{"another format", `"bookmatch export"`, `"cook match"`, 2, "$.format", `must be "bookmatch export"`},
		{"newer schema", `"schema": 1`, `"schema": 2`, 3, "$.schema", "this program reads 1"},
		{"schema that is no number", `"schema": 1`, `"schema": "1"`, 3, "$.schema", ""},
		{"unknown member at the top", "\"made\"", "\"maker\"", 4, "$.maker", `is where "made" belongs`},
		{"unknown collection", "\n\"woods\": [", "\n\"forests\": [", lineOfText(good, "\n\"woods\": [") + 1, "$.records.forests", `is where "woods" belongs`},
		{"unknown sequence", `"sequences": {`, `"sequences": {"x": 1, `, 5, "$.sequences.x", "is not known"},
		{"missing sequence", `"entries": `, `"entrances": `, 5, "$.sequences", `"entries" is missing`},
		{"unknown member of a record", `{"id":1,"operation"`, `{"id":1,"colour":"red","operation"`, entry, "$.records.entries[0].colour", "is not known"},
		{"member in another case", `{"id":1,"operation"`, `{"id":1,"Operation"`, entry, "$.records.entries[0].Operation", "is not known"},
		{"member twice", `{"id":1,"operation"`, `{"id":1,"id":1,"operation"`, entry, "$.records.entries[0].id", "comes twice"},
		{"member deep inside", `"necks":[{"neck":`, `"necks":[{"size":1,"neck":`, entry, "$.records.entries[0].necks[0].size", "is not known"},
		{"wrong type deep inside", `"necks":[{"neck":"N1"`, `"necks":[{"neck":1`, entry, "$.records.entries[0].necks", "cannot be a number"},
		{"value that cannot be", `"abrasion":`, `"abrasion":-`, 0, "$.records.woods[0]", "abrasion"},
		{"too deep", `{"id":1,"operation"`, `{"id":1,"note":` + deep + `,"operation"`, entry, "", "levels deep"},
		{"record out of order", `{"id":1,"operation"`, `{"id":3,"operation"`, entry + 1, "$.records.entries[1]", "out of order"},
		{"change altered", `"words":"done"`, `"words":"gone"`, 0, "$.sum", "does not match"},
		{"broken JSON", "\n\"journal\": [", "\n\"journal\": [,", lineOfText(good, "\n\"journal\": [") + 1, "$.journal[0]", "invalid character"},
		{"cut off", good[len(good)/2:], "", 0, "", "ends too early"},
		{"followed by more", "\"\n}\n", "\"\n}\n{}", 0, "$", "followed by"},
		{"array where an object is", `"records": {`, `"records": [`, 0, "$.records", "{ is missing here"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if !strings.Contains(good, c.from) {
				t.Fatalf("%q is not in the document", c.from)
			}
			target := filepath.Join(t.TempDir(), "shop.db")
			_, err := importDocument(t, target, []byte(strings.Replace(good, c.from, c.to, 1)))
			var doc *DocumentError
			if !errors.As(err, &doc) || !errors.Is(err, jobs.ErrInvalid) {
				t.Fatalf("got %v", err)
			}
			if c.line > 0 && doc.Line != c.line || !strings.HasPrefix(doc.Path, c.path) || !strings.Contains(doc.What, c.what) {
				t.Errorf("got line %d, path %s: %s; want line %d, path %s: %s", doc.Line, doc.Path, doc.What, c.line, c.path, c.what)
			}
			if list, _ := os.ReadDir(filepath.Dir(target)); len(list) > 0 {
				t.Errorf("a refused import left %v", list)
			}
		})
	}
}

// endless gives a document with a record that never ends.
type endless struct {
	head string
	sent int64
}

func (e *endless) Read(p []byte) (int, error) {
	if e.sent < int64(len(e.head)) {
		n := copy(p, e.head[e.sent:])
		e.sent += int64(n)
		return n, nil
	}
	for i := range p {
		p[i] = 'x'
	}
	e.sent += int64(len(p))
	return len(p), nil
}

func TestImportLimitsTheSizeOfARecord(t *testing.T) {
	path := newFile(t)
	good := string(export(t, path))
	head, _, _ := strings.Cut(good, `"Lime Tree Lane`)
	src := &endless{head: head + `"`}
	err := buildFrom(filepath.Join(t.TempDir(), "shop.db"), src)
	if err == nil || !strings.Contains(err.Error(), "longer than a record may be") {
		t.Errorf("got %v", err)
	}
	if src.sent > 3*maxRecord {
		t.Errorf("%d bytes were read before it was refused", src.sent)
	}
}

func FuzzImport(f *testing.F) {
	path := filepath.Join(f.TempDir(), "seed.db")
	update(f, path, start, "wood set", func(tx *Tx) error { return Put(tx, Woods, wood("apple", 1)) })
	good := export(f, path)
	f.Add(good)
	f.Add(good[:len(good)/2])
	f.Add([]byte("{}"))
	f.Add([]byte(`{"format":"bookmatch export","schema":1,"made":"2026-01-06T18:30:00Z","sequences":{}}`))
	f.Add([]byte(strings.Repeat("[", 20000)))
	f.Add(bytes.Replace(good, []byte(`"abrasion"`), []byte(`"Abrasion"`), 1))
	f.Add(bytes.Replace(good, []byte(`"before":null`), []byte(`"before":{"a":{"a":{}}}`), 1))
	f.Fuzz(func(t *testing.T, document []byte) {
		target := filepath.Join(t.TempDir(), "shop.db")
		if err := buildFrom(target, bytes.NewReader(document)); err != nil {
			var fault *documentFault
			if !errors.As(err, &fault) {
				t.Fatalf("an error without a place: %v", err)
			}
			if fault.offset < 0 || fault.offset > int64(len(document)) {
				t.Fatalf("a place outside the document: %d of %d", fault.offset, len(document))
			}
			return
		}
		// What is taken comes out again.
		again := export(t, target)
		var a, b bytes.Buffer
		if json.Compact(&a, document) != nil || json.Compact(&b, again) != nil || !bytes.Equal(a.Bytes(), b.Bytes()) {
			t.Error("an accepted document does not come back")
		}
	})
}

func FuzzStrictForm(f *testing.F) {
	for _, s := range []string{`{"id":1,"operation":"drill"}`, `{"id":1,"id":2}`, `{"Id":1}`, `[]`, `null`, `{"necks":[{"neck":"a","x":1}]}`, `{"away":[{"from":null}]}`, `{"to":null}`, strings.Repeat(`{"note":`, 90), `{"id":1}x`} {
		f.Add([]byte(s))
	}
	entry := reflect.TypeFor[jobs.Entry]()
	f.Fuzz(func(t *testing.T, raw []byte) {
		if !json.Valid(raw) || strictForm(raw, entry) != nil {
			return
		}
		// What passes is read by encoding/json with nothing left over.
		dec := json.NewDecoder(bytes.NewReader(raw))
		dec.DisallowUnknownFields()
		var e jobs.Entry
		if err := dec.Decode(&e); err != nil && strings.Contains(err.Error(), "unknown field") {
			t.Errorf("%s: %v", raw, err)
		}
	})
}
