// Package html draws the bench page: screens and reports as HTML, with one style
// sheet, one script and the house's face. It knows no verb and no request.
package html

import (
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"fmt"
	"html/template"
	"io"
	"path"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"sync"

	"bookmatch/reports"
	"bookmatch/reports/draw"
	"bookmatch/reports/paper"
)

//go:embed templates/*.html page.css page.js
var files embed.FS

// Asset is a file that the page needs. Its name holds the hash of its content,
// so that a device may keep it for good.
type Asset struct {
	Type string
	Body []byte
}

// kit is what the page is made with.
type kit struct {
	assets  map[string]Asset
	names   map[string]string // by plain name
	screens *template.Template
}

// loaded makes the kit when the first screen wants it: a command that serves no page
// does not wait for it.
var loaded = sync.OnceValue(func() *kit {
	k := &kit{assets: map[string]Asset{}, names: map[string]string{}}
	regular, bold := paper.Face()
	k.keep("regular.ttf", "font/ttf", regular)
	k.keep("bold.ttf", "font/ttf", bold)
	css, err := files.ReadFile("page.css")
	if err != nil {
		panic(err)
	}
	// The style sheet names the faces by their hashes.
	css = []byte(strings.NewReplacer("REGULAR", "/"+k.names["regular.ttf"], "BOLD", "/"+k.names["bold.ttf"]).Replace(string(css)))
	k.keep("page.css", "text/css; charset=utf-8", css)
	js, err := files.ReadFile("page.js")
	if err != nil {
		panic(err)
	}
	k.keep("page.js", "text/javascript; charset=utf-8", js)
	k.screens = template.Must(template.New("").Funcs(template.FuncMap{
		"asset":   func(name string) string { return "/" + k.names[name] },
		"join":    strings.Join,
		"plus":    func(a, b int) int { return a + b },
		"picture": picture,
	}).ParseFS(files, "templates/*.html"))
	return k
})

func (k *kit) keep(name, kind string, body []byte) {
	sum := sha256.Sum256(body)
	ext := path.Ext(name)
	k.names[name] = "asset/" + strings.TrimSuffix(name, ext) + "-" + hex.EncodeToString(sum[:6]) + ext
	k.assets[k.names[name]] = Asset{kind, body}
}

// AssetAt gives the asset of a path such as "asset/page-0011.css".
func AssetAt(name string) (Asset, bool) {
	a, ok := loaded().assets[name]
	return a, ok
}

// picture draws a fragment. name is spoken in its place.
func picture(p draw.Picture, name, id string) (template.HTML, error) {
	if p == nil {
		return "", nil
	}
	svg, _, err := paper.Fragment(p, name, id)
	return template.HTML(svg), err // made of numbers and escaped words alone
}

// Frame is what is round every screen.
type Frame struct {
	Title   string
	Tab     string // now, start, cures, necks or more
	Theme   string // day, night or empty for what the device prefers
	Said    *Said
	Desk    bool
	Journal uint64
	Clock   string // RFC 3339, the workshop's
	Refresh bool   // without a script the screen is loaded again
	Bare    bool   // no tabs: pairing
	Refused bool   // framed
	Screen  any
}

// Said is the newest change, which can be taken back.
type Said struct {
	At, Text string
	Change   uint64
	Form     string
}

// dayForm is a date as the browser's own control takes it.
var dayForm = regexp.MustCompile(`^(\d{4}-\d{2}-\d{2})?$`)

// Date says that the control is the browser's own for a date. One that holds another
// form of it, as it was typed, stays a line of text.
func (c Control) Date() bool { return c.Kind == "date" && dayForm.MatchString(c.Value) }

// HasMore says that some fields are shown behind "more".
func (f Form) HasMore() bool {
	return slices.ContainsFunc(f.Inputs, func(c Control) bool { return c.More })
}

// In gives the frame with the lengths of its texts in the shop's unit. What a form
// holds or sends is left as it is.
func (f Frame) In(units string) Frame {
	if reports.Metric(units) || f.Screen == nil {
		return f
	}
	screen := reflect.New(reflect.TypeOf(f.Screen)).Elem()
	screen.Set(reflect.ValueOf(f.Screen))
	readIn(units, screen)
	f.Screen = screen.Interface()
	return f
}

func readIn(units string, v reflect.Value) {
	switch v.Kind() {
	case reflect.String:
		if v.Type() == reflect.TypeFor[string]() && v.CanSet() {
			v.SetString(reports.InText(units, v.String()))
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if f := v.Type().Field(i); f.Name != "Form" && f.Name != "Value" && f.Tag.Get("own") == "" {
				readIn(units, v.Field(i))
			}
		}
	case reflect.Slice:
		if !v.IsNil() && v.CanSet() {
			list := reflect.MakeSlice(v.Type(), v.Len(), v.Len())
			reflect.Copy(list, v)
			v.Set(list)
		}
		for i := range v.Len() {
			readIn(units, v.Index(i))
		}
	case reflect.Pointer:
		if !v.IsNil() && v.CanSet() && v.Elem().Kind() == reflect.Struct {
			fresh := reflect.New(v.Type().Elem())
			fresh.Elem().Set(v.Elem())
			readIn(units, fresh.Elem())
			v.Set(fresh)
		}
	}
}

// Write draws a screen in its frame. The template is that of the type's name.
func Write(w io.Writer, f Frame) error {
	return loaded().screens.ExecuteTemplate(w, "frame", f)
}

// Body draws a screen alone, as the script puts it in the place of the old one.
func (f Frame) Body() (template.HTML, error) {
	var b strings.Builder
	name := strings.ToLower(fmt.Sprintf("%T", f.Screen))
	err := loaded().screens.ExecuteTemplate(&b, name[strings.LastIndex(name, ".")+1:], f.Screen)
	return template.HTML(b.String()), err
}
