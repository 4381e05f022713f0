package store

import (
	"strings"
	"testing"
)

// An instant that can be read and not written again is refused with the record.
func TestInstantsThatCannotBeWritten(t *testing.T) {
	const entry = `{"id":1,"operation":"drill","class":"first","necks":[{"neck":"N1","count":6}],"from":"2026-01-06T18:30:00Z","to":"TO","written":"2026-01-06T19:30:00Z"}`
	for to, good := range map[string]bool{"2026-01-06T19:30:00Z": true, "2026-01-07T19:30:00+05:30": true, "9999-12-31T23:59:59Z": false, "2026-01-06T19:30:00+24:00": false} {
		if _, err := Entries.strict([]byte(strings.Replace(entry, "TO", to, 1))); (err == nil) != good {
			t.Errorf("%s: %v", to, err)
		}
	}
}
