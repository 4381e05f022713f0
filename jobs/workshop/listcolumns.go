package workshop

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"bookmatch/jobs"
)

// mapColumns gives the field of each column; -1 columns are not used.
func mapColumns(head, maps []string, as string) (map[int]string, error) {
	known := map[string]bool{}
	var names []string
	for _, f := range BringFields(as) {
		known[f.Name] = true
		names = append(names, f.Name)
	}
	out, taken := map[int]string{}, map[string]string{}
	take := func(col int, field, how string) error {
		if by, twice := taken[field]; twice {
			return &jobs.Refusal{Code: "usage", Class: jobs.Invalid, Why: fmt.Sprintf("field %q is taken by %s already. Map one column to each field", field, by), Type: []string{"data import --help"}}
		}
		taken[field], out[col] = how, field
		return nil
	}
	for _, m := range maps {
		i := strings.LastIndexByte(m, '=')
		if i < 1 {
			return nil, &jobs.FieldError{Field: "map", Value: m, Want: "COLUMN=FIELD"}
		}
		column, field := strings.TrimSpace(m[:i]), strings.TrimSpace(m[i+1:])
		if !known[field] {
			return nil, &jobs.NotFoundError{Noun: "field of " + as, Value: field, Near: append(jobs.Nearest(field, names), "")[:1]}
		}
		col := slices.IndexFunc(head, func(h string) bool { return strings.EqualFold(h, column) })
		if n, err := strconv.Atoi(column); col < 0 && err == nil && n >= 1 && n <= len(head) {
			col = n - 1
		}
		if col < 0 {
			return nil, &jobs.NotFoundError{Noun: "column", Value: column, Near: jobs.Nearest(column, head)}
		}
		if err := take(col, field, "column "+head[col]); err != nil {
			return nil, err
		}
	}
	for i, h := range head {
		field := strings.ToLower(h)
		if _, mapped := out[i]; !mapped && known[field] && taken[field] == "" {
			if err := take(i, field, "column "+h); err != nil {
				return nil, err
			}
		}
	}
	return out, nil
}

func presets(sets []string, as string) (map[string]string, error) {
	out := map[string]string{}
	for _, s := range sets {
		field, v, ok := strings.Cut(s, "=")
		if !ok || !slices.ContainsFunc(BringFields(as), func(f BringField) bool { return f.Name == field }) {
			return nil, &jobs.FieldError{Field: "set", Value: s, Want: "FIELD=VALUE with a field of " + as}
		}
		out[field] = strings.TrimSpace(v)
	}
	return out, nil
}

// needed refuses a list that lacks a field no row can be made without.
func needed(fields map[int]string, preset map[string]string, as string) error {
	for _, f := range BringFields(as) {
		if !f.Required || preset[f.Name] != "" {
			continue
		}
		found := false
		for _, have := range fields {
			found = found || have == f.Name
		}
		if !found {
			return &jobs.Refusal{Code: "usage", Class: jobs.Invalid, Why: fmt.Sprintf("%s need the field %q and no column has it", as, f.Name), Type: []string{fmt.Sprintf("data import FILE --as %s --map COLUMN=%s", as, f.Name), fmt.Sprintf("data import FILE --as %s --set %s=VALUE", as, f.Name)}}
		}
	}
	return nil
}

func unused(head []string, fields map[int]string) []string {
	out := []string{}
	for i, h := range head {
		if _, ok := fields[i]; !ok && h != "" {
			out = append(out, h)
		}
	}
	return out
}
