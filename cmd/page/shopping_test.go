package page

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"bookmatch/costing/money"
	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
	"bookmatch/reports"
)

// toBuy is the list of a shop that lacks glue, the tuners of ada and the next show bit.
func toBuy(b *bench) {
	b.ask(workshop.SupplyAdd, &workshop.SupplyAddAsk{Supply: "wood-glue", Unit: "ml", SupplyFields: workshop.SupplyFields{Reorder: new(money.QtyOf(200)), Pack: new(money.QtyOf(500))}})
	b.ask(workshop.SupplyReceive, &workshop.SupplyReceiveAsk{Supply: "wood-glue", Quantity: "100", Price: new(money.MustParse("2.40"))})
	b.ask(workshop.PartAdd, &workshop.PartAddAsk{Neck: "ada", Name: "tuners", PartFacts: workshop.PartFacts{Price: new(money.MustParse("48.00"))}})
	b.ask(workshop.BitMove, &workshop.BitMoveAsk{Bit: "S10-1", Why: "dull", To: "general"})
}

func (b *bench) list() map[string]string {
	out := map[string]string{}
	for _, it := range b.ask(workshop.Shopping, &workshop.ShoppingAsk{}).(*workshop.ShoppingResult).Items {
		out[it.Code] = string(it.Ordered)
	}
	return out
}

// Taps tick the list off: ordered moves a thing down, got it takes it in at the last
// price or at the one that was typed, each once however often it is sent.
func TestShoppingByTaps(t *testing.T) {
	b := newBench(t)
	toBuy(b)
	tablet, desk := b.pair(Bench, "tablet"), b.pair(Desk, "desk")
	tap := func(d *device, code, what, price string) answer {
		t.Helper()
		path := "/shopping/" + url.PathEscape(code)
		form := formOf(t, d.get("/shopping").body, path)
		form.Set("what", what)
		if price != "" {
			form.Set("price", price)
		}
		n := b.journal()
		r := d.post(path, form)
		if again := d.post(path, form); again.StatusCode != r.StatusCode || again.Header.Get("Location") != r.Header.Get("Location") || b.journal() > n+1 {
			t.Errorf("%s %s sent twice: %d and %d, %d changes", what, code, r.StatusCode, again.StatusCode, b.journal()-n)
		}
		return r
	}
	ok := func(r answer) {
		t.Helper()
		if r.StatusCode != http.StatusSeeOther || r.Header.Get("Location") != "/shopping" {
			t.Errorf("%d to %q: %s", r.StatusCode, r.Header.Get("Location"), r.body)
		}
	}
	body := tablet.get("/shopping").body
	if strings.Contains(body, "EUR") || strings.Contains(body, "48.00") || strings.Contains(body, "Thistlewood") {
		t.Error("a bench device sees money or a customer")
	}
	ok(tap(tablet, "part 1", "ordered", ""))
	if got := b.list()["part 1"]; got != "2026-12-08" {
		t.Errorf("the tuners are ordered on %q", got)
	}
	body = tablet.get("/shopping").body
	if strings.Index(body, "<b>tuners</b>") < strings.Index(body, "<b>wood-glue</b>") || !strings.Contains(body, "ordered 8 Dec") || strings.Count(body, ">ordered</button>") != len(b.list())-1 {
		t.Errorf("what is ordered does not move down, or can be ordered again:\n%s", body)
	}
	ok(tap(tablet, "part 1", "got", ""))
	if _, there := b.list()["part 1"]; there {
		t.Error("the tuners are here and on the list")
	}
	// At the last price: 400 ml or whatever the list says, for what 100 ml cost times that.
	list := b.ask(workshop.Shopping, &workshop.ShoppingAsk{}).(*workshop.ShoppingResult)
	for _, it := range list.Items {
		if it.Code == "wood-glue" && !strings.Contains(desk.get("/shopping").body, `value="`+reports.Fixed(list.Currency, it.Cost)+`"`) {
			t.Error("the desk does not see the last price")
		}
	}
	if r := tap(desk, "wood-glue", "got", "1,2,3"); r.StatusCode != http.StatusUnprocessableEntity {
		t.Errorf("a price that is none: %d", r.StatusCode)
	}
	ok(tap(desk, "wood-glue", "got", "13.10"))
	lots := b.ask(workshop.SupplyShow, &workshop.SupplyShowAsk{Supply: "wood-glue"}).(*workshop.SupplyShowResult)
	if n := len(lots.Lots); n != 2 || lots.ValueIn.Fixed(2) != "15.50" {
		t.Errorf("%d lots for %s, want 2 for 15.50", n, lots.ValueIn.Fixed(2))
	}
	if r := tap(desk, "bit S10-1", "ordered", ""); r.StatusCode != http.StatusSeeOther || b.list()["bit S10-1"] == "" {
		t.Errorf("a bit is ordered: %d, %v", r.StatusCode, b.list())
	}
}

// The list says which lots to use up first.
func TestUseUpFirst(t *testing.T) {
	b := newBench(t)
	last := jobs.Day("2026-12-12")
	b.ask(workshop.SupplyAdd, &workshop.SupplyAddAsk{Supply: "wood-glue", Unit: "ml"})
	b.ask(workshop.SupplyReceive, &workshop.SupplyReceiveAsk{Supply: "wood-glue", Quantity: "100", Price: new(money.MustParse("2.40")), Expires: &last})
	if body := b.pair(Bench, "tablet").get("/shopping").body; !strings.Contains(body, "wood-glue lot 1, 100 ml left, good through 12 Dec 2026") {
		t.Errorf("a lot that ends is not on the list:\n%s", body)
	}
}

// What has no price on record is not taken in for nothing.
func TestShoppingWithoutAPrice(t *testing.T) {
	b := newBench(t)
	b.ask(workshop.SupplyAdd, &workshop.SupplyAddAsk{Supply: "gloves", Unit: "pc", SupplyFields: workshop.SupplyFields{Reorder: new(money.QtyOf(20))}})
	for _, d := range []*device{b.pair(Bench, "tablet"), b.pair(Desk, "desk")} {
		form := formOf(t, d.get("/shopping").body, "/shopping/gloves")
		form.Set("what", "got")
		n := b.journal()
		if r := d.post("/shopping/gloves", form); r.StatusCode < 400 || r.StatusCode >= 500 || b.journal() != n || !strings.Contains(r.body, "price") {
			t.Errorf("%s: %d, %d changes: %s", d.cookie[:4], r.StatusCode, b.journal()-n, r.body)
		}
	}
}

// A bit that came leads to the form of a new bit, with the facts of the one it replaces;
// when it is kept the order is over. A bench device is told where that is done.
func TestGotABit(t *testing.T) {
	b := newBench(t)
	toBuy(b)
	desk, tablet := b.pair(Desk, "desk"), b.pair(Bench, "tablet")
	path := "/shopping/bit%20S10-1"
	got := func(d *device) answer {
		form := formOf(t, d.get("/shopping").body, path)
		form.Set("what", "got")
		return d.post(path, form)
	}
	n := b.journal()
	if r := got(tablet); r.StatusCode != http.StatusConflict || !strings.Contains(r.body, "NOT ADDED") || !strings.Contains(r.body, "desk device") {
		t.Errorf("on a bench device: %d %s", r.StatusCode, r.body)
	}
	r := got(desk)
	to := r.Header.Get("Location")
	if r.StatusCode != http.StatusSeeOther || !strings.HasPrefix(to, "/do/bit/add?") || b.journal() != n {
		t.Fatalf("a bit that came: %d to %q, %d changes", r.StatusCode, to, b.journal()-n)
	}
	screen := desk.get(to).body
	for _, want := range []string{`name="diameter" value="10mm"`, "<option selected>brad</option>", "<option selected>hss</option>", "<option selected>show</option>", `name="code" value=""`} {
		if !strings.Contains(screen, want) {
			t.Errorf("its form has no %s", want)
		}
	}
	form := formOf(t, screen, "/do/bit/add")
	for name, v := range map[string]string{"code": "S10-2", "diameter": "10mm", "point": "brad", "material": "hss", "keep": "show", "price": "15.00"} {
		form.Set(name, v)
	}
	if r := desk.post("/do/bit/add", form); r.StatusCode != http.StatusOK {
		t.Fatalf("the new bit: %d %s", r.StatusCode, r.body)
	}
	if _, there := b.list()["bit S10-1"]; there {
		t.Errorf("the list still has the bit: %v", b.list())
	}
}
