package store

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"bookmatch/costing/money"
	"bookmatch/jobs"

	"github.com/google/go-cmp/cmp"
)

func fixture(version int) string {
	return filepath.Join("..", "..", "testdata", "schema", fmt.Sprintf("v%d.json", version))
}

func golden(t *testing.T, path string, got []byte) {
	t.Helper()
	if os.Getenv("UPDATE_GOLDEN") != "" {
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), string(got)); diff != "" {
		t.Errorf("%s differs (-want +got):\n%s\nwhat is stored has changed: keep old files readable (a migration, or a member that may be missing), then UPDATE_GOLDEN=1", path, diff)
	}
}

// oneOfEach is a file with every kind of record and the odd values that a
// format must carry: marks, quotes, other scripts, a colour of every time.
func oneOfEach(t *testing.T) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "shop.db")
	grow(t, path, size{entries: 3, necks: 1, bits: 1, bitUses: 1, supplies: 1, lots: 1}, 1)
	when := start.Add(24 * time.Hour)
	grade := 1
	update(t, path, when, `neck add "N7" <&>`, func(tx *Tx) error {
		n := jobs.Neck{Code: "N7", Nickname: "ada", Title: "tab\there \"quoted\" <b>&amp; Größe 木 \u202e\u001b[31m", Wood: "hard-maple", Route: "headstock", Status: jobs.Open, Added: when, Quantities: map[string]float64{"hole": 6}, Due: "2026-09-01"}
		e := jobs.Entry{Operation: "drill", Class: jobs.Rework, Shares: []jobs.Share{{Neck: "N7", Step: 2, Count: 6, Done: true}, {Neck: "N1", Count: 5.5}}, From: when, To: &when, Grade: &grade, SpentSec: 1500, Cause: "bit", Payer: "shop", Written: when, Note: "=1+1"}
		id, err := NextID(tx, Entries)
		if err != nil {
			return err
		}
		e.ID = id
		move := jobs.BitMove{Bit: "S10-1", Edge: 1, On: when, To: jobs.KeepGeneral, Cause: jobs.CauseDull}
		if move.ID, err = tx.NextBitID(); err != nil {
			return err
		}
		part := jobs.Part{Neck: "N7", Name: "tuners", Quantity: 1, Price: money.New(8995, -2), Ordered: "2026-01-10"}
		if part.ID, err = NextID(tx, Parts); err != nil {
			return err
		}
		for _, put := range []func() error{
			func() error { return Put(tx, Necks, n) },
			func() error { return Put(tx, Entries, e) },
			func() error { return Put(tx, BitMoves, move) },
			func() error { return Put(tx, Parts, part) },
			func() error {
				return Put(tx, Pieces, jobs.Piece{Code: "V1", Kind: jobs.PieceVeneer, Wood: "walnut", ThicknessMM: 0.6, Received: when, Price: money.New(5, 0)})
			},
			func() error {
				return Put(tx, Plans, jobs.Plan{Neck: "N7", Version: 1, Code: "K3M", Mode: "balanced", Spec: "spec", Holes: []jobs.PlanHole{{String: 1, Side: "bass", DiameterMM: 10, DepthMM: 15, XMM: -12.5, YMM: 40}}, Solved: json.RawMessage(`{"a":[1,2.50]}`), Made: when})
			},
		} {
			if err := put(); err != nil {
				return err
			}
		}
		return nil
	})
	return path
}

// The lock of the stored format: a file of one of each as it is exported today.
// A change of a stored record shows here first.
func TestStoredFormatIsLocked(t *testing.T) {
	path := oneOfEach(t)
	golden(t, fixture(schemaVersion), export(t, path))
	mustBeSound(t, path)
}

// Every fixture, of every version that was ever released, can be read.
func TestFixturesCanBeRead(t *testing.T) {
	document, err := os.ReadFile(fixture(schemaVersion))
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "shop.db")
	if _, err := importDocument(t, path, document); err != nil {
		t.Fatal(err)
	}
	mustBeSound(t, path)
	if !bytes.Equal(document, export(t, path)) {
		t.Error("the fixture does not come back")
	}
	for range 2 {
		if err := undo(t, path); err != nil {
			t.Fatal(err)
		}
	}
	mustBeSound(t, path)
}

func TestPublishedSchemaIsThatOfTheRecords(t *testing.T) {
	schema, err := ExportSchema()
	if err != nil {
		t.Fatal(err)
	}
	golden(t, filepath.Join("..", "..", "testdata", "schema", "export.schema.json"), schema)
}

// needsTool skips a check by another program that is not here; under CI that is
// a failure, since a skip would hide it.
func needsTool(t *testing.T, name string) {
	t.Helper()
	if os.Getenv("CI") != "" {
		t.Fatalf("%s is not installed", name)
	}
	t.Skip(name + " is not installed")
}

// Another reader: the jsonschema package of Debian (python3-jsonschema, an
// implementation of json-schema.org draft 2020-12) validates an export by the
// published schema, and finds what does not fit.
func TestExportByAnotherReader(t *testing.T) {
	if exec.Command("/usr/bin/python3", "-c", "import jsonschema").Run() != nil {
		needsTool(t, "python3-jsonschema")
	}
	dir := t.TempDir()
	good := export(t, oneOfEach(t))
	bad := bytes.Replace(good, []byte(`"abrasion":`), []byte(`"abrasions":`), 1)
	for name, doc := range map[string][]byte{"good.json": good, "bad.json": bad} {
		if err := os.WriteFile(filepath.Join(dir, name), doc, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	schema, err := filepath.Abs(filepath.Join("..", "..", "testdata", "schema", "export.schema.json"))
	if err != nil {
		t.Fatal(err)
	}
	script := `
import json, sys, jsonschema
schema = json.load(open(sys.argv[1]))
jsonschema.Draft202012Validator.check_schema(schema)
v = jsonschema.Draft202012Validator(schema)
for name in ("good.json", "bad.json"):
    doc = json.load(open(sys.argv[2] + "/" + name))
    print(name, len(list(v.iter_errors(doc))) > 0, len(doc["records"]["entries"]), len(doc["journal"]) == doc["sequences"]["journal"])
`
	out, err := exec.Command("/usr/bin/python3", "-c", script, schema, dir).CombinedOutput()
	if err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	if diff := cmp.Diff("good.json False 4 True\nbad.json True 4 True\n", string(out)); diff != "" {
		t.Error(diff)
	}
}

// bbolt's own tool looks a file over. It is a command of the module that the
// program is built with: go install go.etcd.io/bbolt/cmd/bbolt@v1.5.0
func TestFileByBboltsOwnTool(t *testing.T) {
	tool, err := exec.LookPath("bbolt")
	if err != nil {
		gopath, _ := exec.Command("go", "env", "GOPATH").Output()
		tool = filepath.Join(strings.TrimSpace(string(gopath)), "bin", "bbolt")
	}
	path := newFile(t)
	grow(t, path, size{entries: 600, necks: 20, bits: 10, bitUses: 100, supplies: 10, lots: 40}, 3)
	if _, err := os.Stat(tool); err != nil {
		needsTool(t, "bbolt")
	}
	out, err := exec.Command(tool, "check", path).CombinedOutput()
	if err != nil || !strings.Contains(string(out), "OK") {
		t.Errorf("%v: %s", err, out)
	}
}
