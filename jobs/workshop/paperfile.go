package workshop

import (
	"bytes"
	"io"
	"os"
	"path/filepath"
	"slices"

	"bookmatch/jobs"
)

// paperFile is a kind of file that papers take: how such a file begins, by its
// format's own definition, and what to type.
type paperFile struct {
	begins [][]byte
	want   string
}

// paperFiles are the settings that name a file. PNG: W3C PNG specification 5.2; JPEG:
// ITU-T T.81 B.1.1.3, start of image; TrueType: OpenType 1.9, table directory.
var paperFiles = map[string]paperFile{
	"logo": {[][]byte{[]byte("\x89PNG\r\n\x1a\n"), {0xff, 0xd8, 0xff}}, "a PNG or JPEG file"},
	"font": {[][]byte{{0, 1, 0, 0}, []byte("true")}, "a TrueType font such as Name.ttf"},
}

// fileOf is what a setting keeps: the whole path of a file that was looked at, or the
// words as they were typed where the setting names no file.
func fileOf(key, typed string) (string, error) {
	kind, ok := paperFiles[key]
	if !ok || typed == "" || typed == "none" {
		return typed, nil
	}
	path, err := filepath.Abs(typed)
	if err != nil {
		return "", err
	}
	if !fileThere(path) {
		return "", &jobs.NotFoundError{Noun: "file", Value: typed}
	}
	f, err := os.Open(path)
	if err != nil {
		return "", err
	}
	defer f.Close()
	head := make([]byte, 8)
	n, err := io.ReadFull(f, head)
	if err != nil && err != io.ErrUnexpectedEOF && err != io.EOF {
		return "", err
	}
	if !slices.ContainsFunc(kind.begins, func(b []byte) bool { return bytes.HasPrefix(head[:n], b) }) {
		return "", &jobs.FieldError{Field: key, Value: typed, Want: kind.want}
	}
	return path, nil
}
