package layout

import (
	"errors"
	"reflect"
	"regexp"
	"strings"
)

// maxFaults is how many faults of a spec are named at once.
const maxFaults = 8

// one gives a single fault as itself.
func (e SpecErrors) one() error {
	switch len(e) {
	case 0:
		return nil
	case 1:
		return e[0]
	}
	return e
}

// faults finds every value of a spec that cannot be used, with its line in the
// text. Behind each one it goes on as if the value had not been given; a fault that
// this does not put right is the last.
func (s Spec) faults(text string) error {
	var all SpecErrors
	for len(all) < maxFaults {
		err := s.Validate()
		var bad *SpecError
		if err == nil {
			break
		}
		if !errors.As(err, &bad) {
			return err
		}
		for _, known := range all {
			if known.Key == bad.Key {
				return all.one()
			}
		}
		bad.Line = lineOf(text, bad.Key)
		all = append(all, bad)
		if bad.Key == "strings" || !forget(reflect.ValueOf(&s).Elem(), strings.Split(bad.Key, ".")) {
			break // what else there is hangs on it
		}
		s = s.withDefaults()
	}
	return all.one()
}

// forget sets the field of a key to what it is in a spec that can be used.
func forget(v reflect.Value, path []string) bool {
	sound := reflect.ValueOf(soundSpec())
	for _, part := range path {
		if v.Kind() != reflect.Struct {
			break // a list is put right as a whole
		}
		at := -1
		for i := range v.NumField() {
			if v.Type().Field(i).Tag.Get("toml") == part {
				at = i
			}
		}
		if at < 0 {
			return false
		}
		v, sound = v.Field(at), sound.Field(at)
	}
	v.Set(sound)
	return true
}

// soundSpec has a value for each key that is needed. They only fill the place
// of a fault while the others are looked at.
func soundSpec() Spec {
	s := Spec{Strings: 6, Nut: Nut{OuterSpanMM: 35}, Posts: Posts{DiameterMM: 6, FirstMM: 45, PitchMM: 26, Bass: 6}, Tuner: Tuner{Bores: []Bore{{DiameterMM: 10, From: "face"}}, PilotMM: 2},
		Pull: Pull{ScaleMM: 640, ScaleBassMM: 640, ScaleTrebleMM: 640, BridgeSpanMM: 52}}
	return s.withDefaults()
}

var (
	headOf = regexp.MustCompile(`^\s*\[\[?\s*([a-z_.]+)\s*\]\]?`)
	nameOf = regexp.MustCompile(`^\s*([a-z_]+)\s*=`)
)

// lineOf finds the line on which a spec gives a key, counted from 1; else that of
// its table, or 0.
func lineOf(text, key string) int {
	key = regexp.MustCompile(`\[\d+\]`).ReplaceAllString(key, "")
	table, at := "", 0
	for i, l := range strings.Split(text, "\n") {
		if m := headOf.FindStringSubmatch(l); m != nil {
			table = m[1] + "."
			if m[1] == key || at == 0 && strings.HasPrefix(key, table) {
				at = i + 1
			}
		}
		if m := nameOf.FindStringSubmatch(l); m != nil && table+m[1] == key {
			return i + 1
		}
	}
	return at
}
