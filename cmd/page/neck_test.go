package page

import (
	"fmt"
	"net/http"
	"regexp"
	"strings"
	"testing"
	"time"

	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
)

// A desk sees what a neck that runs cost so far, its likely end and its price. A bench
// device sees no amount.
func TestCostOfARunningNeck(t *testing.T) {
	b := newBench(t)
	b.ask(workshop.ShopSet, &workshop.ShopSetAsk{Key: "labour", Value: "30.00"})
	b.ask(workshop.On, &workshop.OnAsk{Operation: "choose-veneer", Necks: []string{"ada"}})
	b.now = b.now.Add(30 * time.Minute)
	desk, tablet := b.pair(Desk, "desk").get("/n/ada").body, b.pair(Bench, "tablet").get("/n/ada").body
	n := b.ask(workshop.NeckShow, &workshop.NeckShowAsk{Neck: "ada"}).(*workshop.NeckShowResult)
	for _, want := range []string{"EUR 15.00", "likely to end at " + n.AtEnd.Fixed(2), "0.5 h so far", fmt.Sprintf("safe by %s", shortDay(n.Promise.Safe, n.Made)), "cost so far, and to its likely end"} {
		if !strings.Contains(desk, want) {
			t.Errorf("the desk does not see %q", want)
		}
	}
	if n.AtEnd.Float() <= 15 {
		t.Errorf("the end at %s", n.AtEnd.Fixed(2))
	}
	if m := regexp.MustCompile(`EUR|\d\.\d\d\b|cost so far|over its price`).FindString(regexp.MustCompile(`(?s)<svg.*?</svg>`).ReplaceAllString(tablet, "")); m != "" {
		t.Errorf("a bench device sees %q", m)
	}
	// A neck that was sold has its price next to it. What goes beyond is in words.
	day := jobs.DayOf(b.now)
	b.ask(workshop.QuoteDraft, &workshop.QuoteDraftAsk{Quote: "Q1", QuoteWishes: workshop.QuoteWishes{Customer: new("R. Thistlewood")}})
	b.ask(workshop.QuoteSend, &workshop.QuoteSendAsk{Quote: "Q1"})
	b.ask(workshop.QuoteAccept, &workshop.QuoteAcceptAsk{Quote: "Q1", DepositOn: &day, Nickname: "cy"})
	sold := b.pair(Desk, "second desk")
	net := b.ask(workshop.NeckShow, &workshop.NeckShowAsk{Neck: "cy"}).(*workshop.NeckShowResult).Sale.Net
	if body := sold.get("/n/cy").body; !strings.Contains(body, "price "+net.Fixed(2)+" without tax") || strings.Contains(body, "over its price") {
		t.Errorf("a sold neck:\n%s", body)
	}
	b.ask(workshop.ShopSet, &workshop.ShopSetAsk{Key: "labour", Value: "90.00"})
	if body := sold.get("/n/cy").body; !strings.Contains(body, " over its price<") {
		t.Errorf("a sold neck that is dearer than its price:\n%s", body)
	}
}

// The strip has the numbers of its steps below it, and the list names the steps that are
// left by them: the next in bold, coats once.
func TestStripHasNumbers(t *testing.T) {
	b := newBench(t)
	b.ask(workshop.NeckAdd, &workshop.NeckAddAsk{Neck: "N3", Nickname: "cy", Wood: "hard-maple", Quantities: map[string]float64{"coats": 3}})
	body := b.pair(Bench, "tablet").get("/n/cy").body
	left := regexp.MustCompile(`<li><span class="soft">(\d+)\.</span> (.*?)</li>`).FindAllStringSubmatch(body, -1)
	n := b.ask(workshop.NeckShow, &workshop.NeckShowAsk{Neck: "cy"}).(*workshop.NeckShowResult)
	named := map[string]string{}
	for _, s := range n.Steps {
		named[fmt.Sprint(s.Step)] = s.Operation
	}
	svg := regexp.MustCompile(`(?s)<svg[^>]*>\s*<title[^>]*>the steps</title>.*?</svg>`).FindString(body)
	numbers := regexp.MustCompile(`<text[^>]*>(\d+)</text>`).FindAllStringSubmatch(svg, -1)
	if len(numbers) < 5 {
		t.Errorf("%d numbers below the strip:\n%s", len(numbers), svg)
	}
	for _, x := range numbers {
		if named[x[1]] == "" {
			t.Errorf("the strip has a number %s of no step", x[1])
		}
	}
	coats := 0
	for i, x := range left {
		if name := strings.NewReplacer("<b>", "", "</b>", "").Replace(x[2]); !strings.HasPrefix(name, named[x[1]]) {
			t.Errorf("step %s is %s, want %s", x[1], name, named[x[1]])
		}
		if strings.Contains(x[2], "finish-coat") {
			coats++
			if !strings.HasSuffix(x[2], "finish-coat, 3 times") {
				t.Errorf("the coats are %q", x[2])
			}
		}
		if bold := strings.Contains(x[2], "<b>"); bold != (i == 0) {
			t.Errorf("%s is bold: %v", x[2], bold)
		}
	}
	if coats != 1 {
		t.Errorf("the coats are listed %d times", coats)
	}
}

// A plan says that it is frozen, or out of date, wherever it is named.
func TestPlanSaysThatItIsFrozen(t *testing.T) {
	b := newBench(t)
	plan := b.solve("ada", "balanced").Code
	d := b.pair(Desk, "desk")
	for _, state := range []string{"", "frozen"} {
		if state != "" {
			b.ask(workshop.LayoutFreeze, &workshop.LayoutFreezeAsk{Neck: "ada"})
		}
		for path, want := range map[string][2]string{
			"/n/ada":      {`>plan</span><b>` + plan, `>plan, frozen</span><b>` + plan},
			"/layout":     {">ada: " + plan + "<", ">ada: " + plan + ", frozen<"},
			"/layout/ada": {`>draft</span><b>` + plan, `>frozen</span><b>` + plan},
		} {
			i := 0
			if state != "" {
				i = 1
			}
			if body := d.get(path).body; !strings.Contains(body, want[i]) {
				t.Errorf("%s has no %q", path, want[i])
			}
		}
	}
}

// The card of a batch leads to its necks, and to no other.
func TestBatchCard(t *testing.T) {
	b := newBench(t)
	d := b.pair(Bench, "bench tablet")
	b.ask(workshop.NeckAdd, &workshop.NeckAddAsk{Neck: "N3", Nickname: "cy", Wood: "hard-maple"})
	r := d.get("/J/N1+N3")
	if r.StatusCode != http.StatusOK || !strings.Contains(r.body, "<b>ada</b>") || !strings.Contains(r.body, "<b>cy</b>") || strings.Contains(r.body, "<b>bo</b>") {
		t.Errorf("%d %s", r.StatusCode, r.body)
	}
	if r := d.get("/J/N1+N9"); r.StatusCode != http.StatusNotFound {
		t.Errorf("a neck that is not there: %d", r.StatusCode)
	}
}
