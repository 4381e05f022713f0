package page

import (
	"fmt"
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
