package words

import (
	"fmt"
	"reflect"
	"strings"
	"time"

	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
)

// Given is what was typed or filled in: the words behind the command, the
// values of flags by name, and how to read a file that a flag names. A flag
// that was not given is absent.
type Given struct {
	Words []string
	Flags map[string][]string
	Read  func(path string, limit int64) ([]byte, error)
	Today func() jobs.Day // for a date without its year; may be nil
	Dates jobs.DateOrder  // what the shop says of dates of numbers
}

// Bind fills an Ask from what was typed. A word or a value that cannot be used
// is a *jobs.Refusal or a *jobs.FieldError that names the field.
func Bind(cmd Command, ask workshop.Ask, g Given) error {
	v := reflect.ValueOf(ask).Elem()
	words := g.Words
	for _, f := range workshop.Fields(ask) {
		to := v.FieldByIndex(f.At)
		if f.Word != "" {
			if len(words) == 0 {
				if f.Optional() || f.Flag != "" && len(g.Flags[f.Flag]) > 0 {
					goto flags
				}
				return missingWord(cmd, f, g.Words)
			}
			take := 1
			if f.Rest() {
				take = len(words)
			}
			if err := set(to, f, words[:take], g); err != nil {
				return err
			}
			words = words[take:]
		}
	flags:
		if given, ok := g.Flags[f.Flag]; ok && f.Key != "" {
			if to.IsNil() {
				to.Set(reflect.MakeMap(to.Type()))
			}
			to.SetMapIndex(reflect.ValueOf(f.Key), reflect.ValueOf(given))
		} else if ok && f.Flag != "" {
			if err := set(to, f, given, g); err != nil {
				return err
			}
		}
	}
	if len(words) > 0 {
		return &jobs.Refusal{Code: "usage", Class: jobs.Invalid, What: cmd.Verb.Not, Why: fmt.Sprintf("%q is one word too many", words[0]), Type: append([]string{strings.Join(append([]string{cmd.Path}, g.Words[:len(g.Words)-len(words)]...), " ")}, cmd.examples()...)}
	}
	return nil
}

func missingWord(cmd Command, f workshop.Field, typed []string) error {
	r := &jobs.Refusal{Code: "usage", Class: jobs.Invalid, What: cmd.Verb.Not, Why: "the " + f.Name() + " is missing", Type: cmd.examples()}
	if rest, ok := strings.CutPrefix(cmd.Example, cmd.Path+" "); ok && len(typed) > 0 {
		if such := strings.Fields(rest); len(such) > len(typed) && !strings.Contains(cmd.Example, `"`) {
			r.Type = []string{strings.Join(append(append([]string{cmd.Path}, typed...), such[len(typed):]...), " ")}
		}
	}
	return r
}

// examples is what to type when a command was not understood.
func (c Command) examples() []string {
	if c.Example != "" {
		return []string{c.Example}
	}
	return []string{c.Path + " --help"}
}

// today is the day that a typed date is read from; empty where it has its own year.
func (g Given) today(typed string) jobs.Day {
	if _, err := time.Parse(time.DateOnly, typed); err == nil || g.Today == nil {
		return ""
	}
	return g.Today()
}

// set gives a field what was typed for it.
func set(to reflect.Value, f workshop.Field, typed []string, g Given) error {
	t := to.Type()
	if t.Kind() == reflect.Pointer {
		fresh := reflect.New(t.Elem())
		if err := set(fresh.Elem(), f, typed, g); err != nil {
			return err
		}
		to.Set(fresh)
		return nil
	}
	last := typed[len(typed)-1]
	if f.Rest() && t.Kind() == reflect.String {
		last = strings.Join(typed, " ")
	}
	if f.Read == "necks" {
		necks, err := SplitNecks(typed)
		to.Set(reflect.ValueOf(necks))
		return err
	}
	if t == reflect.TypeFor[jobs.Day]() {
		read := jobs.ReadPastDay
		if f.Read == "coming" {
			read = jobs.ReadDay
		}
		d, err := read(f.Name(), last, g.today(last), g.Dates)
		to.Set(reflect.ValueOf(d))
		return err
	}
	if parse, ok := parsers[t]; ok {
		x, err := parse(f, last, g)
		if err == nil {
			to.Set(reflect.ValueOf(x))
		}
		return err
	}
	switch t.Kind() {
	case reflect.String:
		to.SetString(last)
	case reflect.Bool:
		to.SetBool(last != "false")
	case reflect.Int, reflect.Int64:
		n, err := whole(f.Name(), last)
		to.SetInt(n)
		return err
	case reflect.Uint64:
		if f.Read == "entry" && strings.EqualFold(last, "last") {
			to.SetUint(0)
			return nil
		}
		n, err := whole(f.Name(), last)
		if err == nil && n < 0 {
			err = &jobs.FieldError{Field: f.Name(), Value: last, Want: "a number such as 12"}
		}
		to.SetUint(uint64(n))
		return err
	case reflect.Float64:
		x, err := number(f, last)
		to.SetFloat(x)
		return err
	case reflect.Slice:
		list := reflect.MakeSlice(t, len(typed), len(typed))
		for i, s := range typed {
			if err := set(list.Index(i), workshop.Field{Flag: f.Name(), Unit: f.Unit, Type: t.Elem()}, []string{s}, g); err != nil {
				return err
			}
		}
		to.Set(list)
	case reflect.Map:
		m, err := quantities(f.Name(), typed)
		to.Set(reflect.ValueOf(m))
		return err
	case reflect.Struct:
		if t == reflect.TypeFor[workshop.Document]() {
			d, err := document(f, last, g)
			to.Set(reflect.ValueOf(d))
			return err
		}
		panic(fmt.Sprintf("no parser for field %s of type %s", f.Name(), t))
	default:
		panic(fmt.Sprintf("no parser for field %s of type %s", f.Name(), t))
	}
	return nil
}

// SplitNecks reads "ada+bo", "ada + bo" and "ada, bo" as a list. A plus with
// nothing behind it is a neck that was not typed: a *jobs.FieldError.
func SplitNecks(w []string) ([]string, error) {
	text := strings.TrimSpace(strings.Join(w, " "))
	if strings.HasSuffix(text, "+") || strings.HasPrefix(text, "+") {
		return nil, &jobs.FieldError{Field: "neck", Value: text, Want: "a neck on each side of the plus, such as ada+bo"}
	}
	return strings.FieldsFunc(text, func(r rune) bool { return r == '+' || r == ',' || r == ' ' }), nil
}
