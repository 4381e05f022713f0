package workshop

import (
	"bookmatch/jobs"
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"sync"
)

// Field is one field of an Ask as its tags describe it. The tags are
//
//	word:"NECK"    the next word. "[COUNT]" may be missing. "TEXT..." takes all
//	               that are left, joined for a string, one by one for a list
//	flag:"due"     a flag. arg:"DATE" names its value, help:"..." explains it
//	unit:"mm"      the unit of a number: mm, min, c, h, percent
//	read:"necks"   a list that is typed with pluses: ada+bo
//	of:"face back" the words it takes, where they are few
//	flags:"shop"   a map with a flag for each setting of the shop
type Field struct {
	Word, Flag, Arg, Help, Unit, Read string

	Of   []string // the words it takes, where they are few
	At   []int    // index path in the struct
	Type reflect.Type
	Key  string // the entry of a map that the flag fills
}

// Optional says that the word may be missing.
func (f Field) Optional() bool { return strings.HasPrefix(f.Word, "[") }

// Rest says that the field takes all words that are left.
func (f Field) Rest() bool { return strings.Contains(f.Word, "...") }

// Name is what a refusal calls the field.
func (f Field) Name() string {
	if f.Flag != "" {
		return f.Flag
	}
	name, _, _ := strings.Cut(strings.TrimLeft(f.Word, "["), "[")
	return strings.ToLower(strings.TrimRight(name, "].+|"))
}

// Switch says that the flag takes no value.
func (f Field) Switch() bool {
	t := f.Type
	if t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	return t.Kind() == reflect.Bool
}

// List says that the flag may be given several times.
func (f Field) List() bool {
	return f.Flag != "" && (f.Type.Kind() == reflect.Slice || f.Type.Kind() == reflect.Map)
}

// Fields gives the tagged fields of an Ask in the order they are declared, those
// of embedded structs included.
func Fields(ask Ask) []Field {
	t := reflect.TypeOf(ask).Elem()
	known, ok := fieldsOf.Load(t)
	if !ok {
		known, _ = fieldsOf.LoadOrStore(t, fieldsIn(t, nil))
	}
	return known.([]Field)
}

// fieldsOf keeps the fields of every type of Ask: a session of the bench words
// and the page ask for them at every command.
var fieldsOf sync.Map

func fieldsIn(t reflect.Type, at []int) (out []Field) {
	for i := range t.NumField() {
		f := t.Field(i)
		here := append(append([]int(nil), at...), i)
		if f.Anonymous && f.Type.Kind() == reflect.Struct {
			out = append(out, fieldsIn(f.Type, here)...)
			continue
		}
		tag := f.Tag.Get
		if tag("flags") == "shop" {
			for _, k := range jobs.ShopKeys() {
				out = append(out, Field{Flag: k.Key, Help: k.Help, Of: jobs.ShopChoices(k.Key), At: here, Type: reflect.TypeFor[[]string](), Key: k.Key})
			}
			continue
		}
		if x := (Field{tag("word"), tag("flag"), tag("arg"), tag("help"), tag("unit"), tag("read"), strings.Fields(tag("of")), here, f.Type, ""}); x.Word != "" || x.Flag != "" {
			out = append(out, x)
		}
	}
	return out
}

// WordsOf gives a change of the journal as it would be typed: the verb, its
// words, its flags.
func WordsOf(verb string, raw json.RawMessage) string {
	var old struct {
		Words string `json:"words"`
	}
	for _, v := range Verbs() {
		if v.Name != verb {
			continue
		}
		ask := v.NewAsk()
		if json.Unmarshal(raw, ask) != nil {
			return verb
		}
		return strings.TrimSpace(verb + " " + typedOf(ask))
	}
	if json.Unmarshal(raw, &old) == nil && old.Words != "" {
		return old.Words
	}
	return verb
}

func typedOf(ask Ask) string {
	v := reflect.ValueOf(ask).Elem()
	var words, flags []string
	for _, f := range Fields(ask) {
		x := v.FieldByIndex(f.At)
		if f.Key != "" {
			x = x.MapIndex(reflect.ValueOf(f.Key))
		}
		if !x.IsValid() || x.IsZero() {
			continue
		}
		for x.Kind() == reflect.Pointer {
			x = x.Elem()
		}
		var parts []string
		switch {
		case x.Type() == reflect.TypeFor[Document]():
			parts = []string{x.Interface().(Document).Name}
		case x.Kind() == reflect.Slice:
			for i := range x.Len() {
				parts = append(parts, fmt.Sprint(x.Index(i).Interface()))
			}
		case x.Kind() == reflect.Map:
			for _, k := range x.MapKeys() {
				parts = append(parts, fmt.Sprintf("%v=%v", k, x.MapIndex(k)))
			}
			slices.Sort(parts)
		default:
			parts = []string{fmt.Sprint(x.Interface())}
		}
		switch {
		case f.Read == "necks":
			words = append(words, strings.Join(parts, "+"))
		case f.Word != "":
			words = append(words, parts...)
		case f.Switch():
			flags = append(flags, "--"+f.Flag)
		default:
			for _, p := range parts {
				flags = append(flags, "--"+f.Flag+" "+quoted(p))
			}
		}
	}
	return strings.Join(append(words, flags...), " ")
}

func quoted(s string) string {
	if strings.ContainsAny(s, " \t\"'") || s == "" {
		return fmt.Sprintf("%q", s)
	}
	return s
}
