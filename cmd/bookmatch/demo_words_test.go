package main

import (
	"testing"

	"bookmatch/jobs/workshop"
)

// The demo types every word that writes, so that each is seen in a file with
// other work around it. Left out are those that write no record of the shop's
// work, and the undoing of a change.
func TestDemoTypesEveryVerb(t *testing.T) {
	t.Parallel()
	d := newDemoShop(t)
	d.say("data", "history", "--last", "0")
	typed := map[string]bool{
		"data import":  true, // a whole file in place of this one
		"data restore": true, // the same
		"data backup":  true, // a copy beside the file
		"oops":         true, // the demo takes back what it only tried
	}
	for _, c := range d.res.(*workshop.HistoryResult).Changes {
		typed[c.Verb] = true
	}
	for _, v := range workshop.Verbs() {
		if v.Writes() && !typed[v.Name] {
			t.Errorf("the demo never types %q", v.Name)
		}
	}
}
