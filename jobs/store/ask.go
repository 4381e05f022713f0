package store

import (
	"bytes"
	"encoding/json"
	"path"
	"path/filepath"
	"strings"
)

// typedAsk makes the verb and the ask of a command that has only its text: the
// first word, and {"words": text}.
func typedAsk(command string) (verb string, ask json.RawMessage) {
	if command == "" {
		return "", nil
	}
	verb, _, _ = strings.Cut(command, " ")
	ask, err := json.Marshal(map[string]string{"words": command})
	if err != nil {
		return verb, nil
	}
	return verb, ask
}

// Words is what was typed for a change, where the journal has it, else its verb.
func (c Change) Words() string {
	var typed struct {
		Words string `json:"words"`
	}
	if json.Unmarshal(c.Ask, &typed) == nil && typed.Words != "" {
		return typed.Words
	}
	return c.Verb
}

// withoutFolders cuts every path in the texts of an ask to its last name: an
// export goes to other people, and the folders of a machine say whose it is.
// An ask that is no JSON is an error.
func withoutFolders(ask json.RawMessage) (json.RawMessage, error) {
	if len(ask) == 0 || !bytes.ContainsAny(ask, `/\`) {
		return ask, nil
	}
	var v any
	d := json.NewDecoder(bytes.NewReader(ask))
	d.UseNumber()
	if err := d.Decode(&v); err != nil {
		return nil, err
	}
	return json.Marshal(eachText(v, lastNames))
}

// eachText applies fn to every text of a decoded JSON value.
func eachText(v any, fn func(string) string) any {
	switch v := v.(type) {
	case string:
		return fn(v)
	case []any:
		for i := range v {
			v[i] = eachText(v[i], fn)
		}
	case map[string]any:
		for k := range v {
			v[k] = eachText(v[k], fn)
		}
	}
	return v
}

// lastNames cuts the paths among the words of a text, or the text where all of
// it is one path.
func lastNames(text string) string {
	if isPath(text) {
		return lastName(text)
	}
	words := strings.Split(text, " ")
	for i, w := range words {
		flag, value, isFlag := strings.Cut(w, "=")
		switch {
		case isFlag && strings.HasPrefix(flag, "-"):
			if isPath(value) {
				words[i] = flag + "=" + lastName(value)
			}
		case isPath(w):
			words[i] = lastName(w)
		}
	}
	return strings.Join(words, " ")
}

// isPath says that a text begins as a path does, or has a folder before a file
// name with an extension ("specs/ada.toml", not "oak/ash" or "1/2").
func isPath(text string) bool {
	text = strings.TrimLeft(text, `'"`)
	for _, begin := range []string{"/", "./", "../", "~/", `\\`, `.\`, `..\`} {
		if strings.HasPrefix(text, begin) && len(text) > len(begin) {
			return true
		}
	}
	if len(text) > 3 && text[1] == ':' && (text[2] == '\\' || text[2] == '/') {
		return true // a drive
	}
	ext := path.Ext(lastName(text))
	return strings.ContainsAny(text, `/\`) && !strings.Contains(text, " ") && len(ext) > 1 && len(ext) <= 5 && ext[1] >= 'a'
}

func lastName(text string) string {
	text = strings.TrimRight(text, `/\`)
	return filepath.Base(text[strings.LastIndexAny(text, `/\`)+1:])
}
