package main

import (
	"fmt"
	"go/ast"
	"go/token"
	"maps"
	"os"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// agreed holds lines against a list of the project, so that a new name is a
// deliberate one. UPDATE_GOLDEN=1 rewrites the list.
func agreed(t *testing.T, list, head string, lines []string) {
	t.Helper()
	path := "../../testdata/voice/" + list
	got := head + "\n" + strings.Join(lines, "\n") + "\n"
	if os.Getenv("UPDATE_GOLDEN") != "" {
		if err := os.WriteFile(path, []byte(got), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), got); diff != "" {
		t.Errorf("%s (-want +got):\n%s", list, diff)
	}
}

func TestCommandsAreThoseAgreed(t *testing.T) {
	var lines []string
	for _, g := range groups {
		lines = append(lines, g.Name+"\t"+g.Help)
	}
	for _, c := range verbs() {
		lines = append(lines, c.Path+"\t"+c.Help)
	}
	agreed(t, "commands.tsv", "# command <tab> one-line help", slices.Compact(slices.Sorted(slices.Values(lines))))
}

// Every head of a column is in one list, next to the keys that it shows.
func TestHeadsAreThoseAgreed(t *testing.T) {
	keys := map[string]map[string]bool{}
	eachSource(t, func(set *token.FileSet, file *ast.File) {
		if !strings.HasPrefix(set.Position(file.Pos()).Filename, "../../reports/") || file.Name.Name == "reporttest" {
			return
		}
		ast.Inspect(file, func(n ast.Node) bool {
			lit, ok := n.(*ast.CompositeLit)
			if !ok {
				return true
			}
			said := map[string]string{}
			for _, e := range lit.Elts {
				if kv, ok := e.(*ast.KeyValueExpr); ok {
					if name, ok := kv.Key.(*ast.Ident); ok {
						said[name.Name] = sketch(kv.Value)
					}
				}
			}
			if head := said["Header"]; head != "" {
				if unit := said["Unit"]; unit != "" {
					head += " (" + unit + ")"
				}
				if keys[head] == nil {
					keys[head] = map[string]bool{}
				}
				keys[head][said["Key"]] = true
			}
			return true
		})
	})
	var lines []string
	for _, head := range slices.Sorted(maps.Keys(keys)) {
		lines = append(lines, head+"\t"+strings.Join(slices.Sorted(maps.Keys(keys[head])), " "))
	}
	if len(lines) < 100 {
		t.Fatalf("%d heads found", len(lines))
	}
	agreed(t, "heads.tsv", "# head of a column <tab> its keys in JSON and CSV", lines)
}

var (
	identPart = regexp.MustCompile(`[A-Z]+[a-z0-9]*|[a-z0-9]+`)
	jsonName  = regexp.MustCompile(`^[^,]*`)
)

// No old name of a thing is part of a name in the code, nor a key of JSON.
func TestNoOldNames(t *testing.T) {
	raw, err := os.ReadFile("../../testdata/voice/old-names.txt")
	if err != nil {
		t.Fatal(err)
	}
	parts, keys := map[string]string{}, map[string]string{}
	for _, line := range strings.Split(strings.TrimSpace(string(raw)), "\n") {
		if strings.HasPrefix(line, "#") {
			continue
		}
		f := strings.Split(line, "\t")
		if len(f) != 3 {
			t.Fatalf("not three fields: %q", line)
		}
		into := parts
		if f[1] == "key" {
			into = keys
		}
		into[f[0]] = f[2]
	}
	eachSource(t, func(set *token.FileSet, file *ast.File) {
		report := func(n ast.Node, what, name, instead string) {
			t.Errorf("%s: %s %s: say %s", set.Position(n.Pos()), what, name, instead)
		}
		part := func(n ast.Node, what, name string) {
			for _, w := range identPart.FindAllString(name, -1) {
				if instead, ok := parts[strings.ToLower(w)]; ok {
					report(n, what, name, instead)
				}
			}
		}
		ast.Inspect(file, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.Ident:
				part(n, "name", n.Name)
			case *ast.Field:
				if n.Tag == nil {
					return true
				}
				tag, err := strconv.Unquote(n.Tag.Value)
				if err != nil {
					t.Fatal(err)
				}
				for _, of := range []string{"json", "flag", "toml"} {
					key := jsonName.FindString(reflect.StructTag(tag).Get(of))
					part(n, of, key)
					if instead, ok := keys[key]; ok && of == "json" {
						report(n, fmt.Sprintf("%s key", of), key, instead)
					}
				}
			}
			return true
		})
	})
}
