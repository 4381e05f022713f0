package store

import (
	"encoding/json"
	"reflect"
	"strings"
	"time"

	"bookmatch/costing/money"
	"bookmatch/jobs"

	"github.com/shopspring/decimal"
)

// ExportSchema gives the JSON Schema (draft 2020-12) of what Export writes,
// made from the types of the records, so that the two cannot part.
func ExportSchema() ([]byte, error) {
	sequences, records := map[string]any{}, map[string]any{}
	var order []string
	for _, c := range collections {
		sequences[c.name()] = counter
		records[c.name()] = map[string]any{"type": "array", "items": schemaOf(c.document())}
		order = append(order, c.name())
	}
	sequences[bucketJournal] = counter
	top := map[string]any{
		"format":      map[string]any{"const": exportFormat},
		"schema":      map[string]any{"const": schemaVersion},
		"made":        schemaOf(reflect.TypeFor[time.Time]()),
		"sequences":   closed(sequences, append(order, bucketJournal)),
		"records":     closed(records, order),
		bucketJournal: map[string]any{"type": "array", "items": schemaOf(changeType)},
		"sum":         map[string]any{"type": "string", "pattern": "^[0-9a-f]{8}$"},
	}
	doc := closed(top, []string{"format", "schema", "made", "sequences", "records", bucketJournal, "sum"})
	doc["$schema"] = "https://json-schema.org/draft/2020-12/schema"
	doc["title"] = "Bookmatch export, schema 1"
	out, err := json.MarshalIndent(doc, "", "  ")
	return append(out, '\n'), err
}

var counter = map[string]any{"type": "integer", "minimum": 0}

func closed(members map[string]any, required []string) map[string]any {
	return map[string]any{"type": "object", "properties": members, "required": required, "additionalProperties": false}
}

// leaves are types with a form of their own in JSON.
var leaves = map[reflect.Type]map[string]any{
	reflect.TypeFor[money.Amount]():    {"type": "string", "pattern": `^-?[0-9]+(\.[0-9]+)?$`},
	reflect.TypeFor[decimal.Decimal](): {"type": "string", "pattern": `^-?[0-9]+(\.[0-9]+)?$`},
	reflect.TypeFor[money.Qty]():       {"type": "number"},
	reflect.TypeFor[time.Time]():       {"type": "string", "format": "date-time"},
	reflect.TypeFor[jobs.Clock]():      {"type": "string", "pattern": `^[0-9]{2}:[0-9]{2}$`},
	rawMessage:                         {},
}

func schemaOf(t reflect.Type) map[string]any {
	if s, ok := leaves[t]; ok {
		return s
	}
	if t.Kind() != reflect.Pointer && readsItself(t) {
		return map[string]any{"type": "string"}
	}
	switch t.Kind() {
	case reflect.Pointer:
		return orNull(schemaOf(t.Elem()))
	case reflect.Struct:
		properties, required := map[string]any{}, []string{}
		for i := range t.NumField() {
			f := t.Field(i)
			name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
			switch {
			case name == "-" || !f.IsExported() && !f.Anonymous:
				continue
			case f.Anonymous && name == "":
				inner := schemaOf(f.Type)
				for n, s := range inner["properties"].(map[string]any) {
					properties[n] = s
				}
				required = append(required, inner["required"].([]string)...)
				continue
			case name == "":
				name = f.Name
			}
			properties[name] = schemaOf(f.Type)
			if !strings.Contains(options, "omit") {
				required = append(required, name)
			}
		}
		return closed(properties, required)
	case reflect.Slice, reflect.Array:
		if t.Elem().Kind() == reflect.Uint8 {
			return map[string]any{"type": "string", "contentEncoding": "base64"}
		}
		return orNull(map[string]any{"type": "array", "items": schemaOf(t.Elem())})
	case reflect.Map:
		return orNull(map[string]any{"type": "object", "additionalProperties": schemaOf(t.Elem())})
	case reflect.String:
		return map[string]any{"type": "string"}
	case reflect.Bool:
		return map[string]any{"type": "boolean"}
	case reflect.Float32, reflect.Float64:
		return map[string]any{"type": "number"}
	case reflect.Interface:
		return map[string]any{}
	}
	return map[string]any{"type": "integer"}
}

// orNull lets null be where Go writes it for a list or a map without value.
func orNull(s map[string]any) map[string]any {
	out := map[string]any{}
	for k, v := range s {
		out[k] = v
	}
	if name, ok := out["type"].(string); ok {
		out["type"] = []string{name, "null"}
	}
	return out
}
