package money

import (
	"encoding/json"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/shopspring/decimal"
)

func TestParse(t *testing.T) {
	for in, want := range map[string]string{
		"12": "12", "12.34": "12.34", " 12.50 ": "12.5", "12,5": "12.5", "12,50": "12.5", "0,125": "0.125", "-3,1": "-3.1", "+7": "7",
		",5": "0.5", ".5": "0.5", "1.250": "1.25", "1,2500": "1.25", "0": "0", "-0": "0", "0.000": "0", "00012": "12",
	} {
		got, err := Parse(in)
		if err != nil || got.String() != want {
			t.Errorf("Parse(%q) = %s, %v, want %s", in, got, err, want)
		}
	}
	for _, in := range []string{
		"", " ", "x", "1,250", "-1,250", "12,345", "1,250.00", "1.250,00", "1.2.3", "1,2,3", "1e3", "1E3", "--1", "+-1", "1-", "1 2", ".", ",", "-", "- 1",
		"NaN", "Inf", "0x10", "١٢", "12€", strings.Repeat("9", 41), "1_000", "1'000",
	} {
		if got, err := Parse(in); err == nil {
			t.Errorf("Parse(%q) = %s, want an error", in, got)
		}
	}
}

// Halves go away from zero, at every scale and on both sides; a value just
// below the half goes down.
func TestRoundHalfAwayFromZero(t *testing.T) {
	for _, c := range []struct {
		in    string
		scale int32
		want  string
	}{
		{"0.005", 2, "0.01"}, {"-0.005", 2, "-0.01"}, {"0.015", 2, "0.02"}, {"0.025", 2, "0.03"}, {"1.005", 2, "1.01"},
		{"0.0049999999999999999", 2, "0.00"}, {"2.5", 0, "3"}, {"-2.5", 0, "-3"}, {"1.5", 0, "2"}, {"0.0005", 3, "0.001"}, {"10", 2, "10.00"},
		// Net 2.50 at 5 % is 0.125: half up 0.13, half even would give 0.12.
		{"0.125", 2, "0.13"},
	} {
		if got := MustParse(c.in).Fixed(c.scale); got != c.want {
			t.Errorf("%s to %d digits = %s, want %s", c.in, c.scale, got, c.want)
		}
	}
	for _, c := range [][3]string{{"2967", "5", "2965"}, {"2967.5", "5", "2970"}, {"2964", "10", "2960"}, {"-2967.5", "5", "-2970"}, {"1.13", "0", "1.13"}} {
		if got := MustParse(c[0]).RoundTo(MustParse(c[1])).String(); got != c[2] {
			t.Errorf("%s to the nearest %s = %s, want %s", c[0], c[1], got, c[2])
		}
	}
}

func TestTimes(t *testing.T) {
	for _, c := range []struct {
		rate string
		span time.Duration
		want string
	}{
		{"34.00", 8*time.Hour + 20*time.Minute, "283.33"},
		{"7.50", 8*time.Hour + 20*time.Minute, "62.50"},
		{"36.00", time.Second, "0.01"},
		{"34", 0, "0.00"},
		{"34", 90 * time.Minute, "51.00"},
	} {
		if got := MustParse(c.rate).Times(c.span).Fixed(2); got != c.want {
			t.Errorf("%s an hour for %s = %s, want %s", c.rate, c.span, got, c.want)
		}
	}
}

func TestJSONIsAString(t *testing.T) {
	type doc struct {
		A Amount
		Q Qty
	}
	in := doc{MustParse("18.00"), Qty{decimal.RequireFromString("12.5")}}
	b, err := json.Marshal(in)
	if err != nil || string(b) != `{"A":"18.00","Q":12.5}` {
		t.Fatalf("got %s, %v", b, err)
	}
	var out doc
	if err := json.Unmarshal(b, &out); err != nil || out.A.Cmp(in.A) != 0 || !out.Q.Equal(in.Q.Decimal) {
		t.Errorf("back: %+v, %v", out, err)
	}
	for _, s := range []string{`{"A":18.00}`, `{"A":"1,250"}`, `{"A":"x"}`, `{"Q":"x"}`} {
		if err := json.Unmarshal([]byte(s), &out); err == nil {
			t.Errorf("%s was read", s)
		}
	}
}

func TestSplit(t *testing.T) {
	d := func(ss ...string) []decimal.Decimal {
		out := make([]decimal.Decimal, len(ss))
		for i, s := range ss {
			out[i] = decimal.RequireFromString(s)
		}
		return out
	}
	for _, c := range []struct {
		name, whole string
		weights     []decimal.Decimal
		scale       int32
		want        string
	}{
		{"thirds", "10.00", d("1", "1", "1"), 2, "3.34 3.33 3.33"},
		{"six and eight holes", "36.00", d("6", "8"), 2, "15.43 20.57"},
		{"no weight", "1.00", d("0", "0", "0"), 2, "0.34 0.33 0.33"},
		{"below zero", "-10.00", d("1", "1", "1"), 2, "-3.34 -3.33 -3.33"},
		{"negative weights count as none", "5.00", d("-1", "1"), 2, "0.00 5.00"},
		{"yen", "100", d("1", "2"), 0, "33 67"},
		{"dinar", "1.000", d("1", "2"), 3, "0.333 0.667"},
		{"nobody", "1.00", nil, 2, ""},
	} {
		var got []string
		for _, p := range Split(MustParse(c.whole), c.weights, c.scale) {
			got = append(got, p.Fixed(c.scale))
		}
		if s := strings.Join(got, " "); s != c.want {
			t.Errorf("%s: got %s, want %s", c.name, s, c.want)
		}
	}
}

// Parts add to the whole and no part is a whole coin away from its exact share.
func TestSplitAddsUp(t *testing.T) {
	const seed = 4
	r := rand.New(rand.NewPCG(seed, seed))
	for range 2000 {
		whole := New(r.Int64N(2_000_001)-1_000_000, -2)
		w := make([]decimal.Decimal, 1+r.IntN(7))
		sum := decimal.Zero
		for i := range w {
			w[i] = decimal.New(r.Int64N(1000), -1)
			sum = sum.Add(w[i])
		}
		parts := Split(whole, w, 2)
		if got := Sum(parts...); got.Cmp(whole) != 0 {
			t.Fatalf("seed %d: %s by %v gives %v = %s", seed, whole, w, parts, got)
		}
		for i := range parts {
			if sum.IsZero() {
				continue
			}
			exact := whole.Mul(w[i]).Div(sum)
			if off := parts[i].Sub(exact).Decimal().Abs(); !off.LessThan(decimal.New(1, -2)) {
				t.Fatalf("seed %d: part %d of %s by %v is %s, %s away", seed, i, whole, w, parts[i], off)
			}
		}
	}
}

func TestSplitQty(t *testing.T) {
	got := SplitQty(Qty{decimal.RequireFromString("10.0005")}, []Qty{QtyOf(6), QtyOf(8)}, 3)
	if len(got) != 2 || got[0].String() != "4.2865" || got[1].String() != "5.714" || !got[0].Plus(got[1]).Equal(decimal.RequireFromString("10.0005")) {
		t.Errorf("got %v", got)
	}
	if got := SplitQty(QtyOf(1), nil, 3); len(got) != 0 {
		t.Errorf("nobody: %v", got)
	}
}

// Whatever a computation leaves can be read again from a record: a price by the
// piece of a price by the piece, on a large sum.
func TestLongAmountsAreReadBack(t *testing.T) {
	a := MustParse("123456789012").Div(decimal.NewFromInt(7)).Mul(decimal.RequireFromString("0.142857142857142857"))
	raw, err := json.Marshal(a)
	if err != nil {
		t.Fatal(err)
	}
	var back Amount
	if err := json.Unmarshal(raw, &back); err != nil || back.Cmp(a) != 0 || len(raw) <= 42 {
		t.Errorf("%s reads as %s, %v", raw, back, err)
	}
	if err := json.Unmarshal([]byte(`"`+strings.Repeat("9", mostStored+1)+`"`), &back); err == nil {
		t.Error("a number without end was read")
	}
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"12", "12.34", "1,250", "12,5", "-0.005", "+7", "1e9", "..", "0,125", "", ",", "-,5", "00.10", "１２", ",010000000000000000000000000000000000000", "-0.9999999999999999999999999999999999999999"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		a, err := Parse(s)
		if err != nil {
			return
		}
		back, err := Parse(a.String())
		if err != nil || back.Cmp(a) != 0 {
			t.Fatalf("%q reads as %s, which reads as %s, %v", s, a, back, err)
		}
		b, err := a.MarshalJSON()
		var c Amount
		if err != nil || c.UnmarshalJSON(b) != nil || c.Cmp(a) != 0 {
			t.Fatalf("%q: JSON %s reads as %s", s, b, c)
		}
		if q, err := ParseQty(s); err != nil || !q.Equal(a.Decimal()) {
			t.Fatalf("%q as a quantity is %s, %v", s, q, err)
		}
	})
}

func FuzzCurrency(f *testing.F) {
	for _, s := range []string{"EUR", "jpy", " KWD", "978", "XXX", "€", "ſek"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		c, err := ParseCurrency(s)
		if err != nil {
			return
		}
		if again, err := ParseCurrency(string(c)); err != nil || again != c || len(c) != 3 || c.Scale() < 0 || c.Scale() > 4 {
			t.Fatalf("%q gives %q, scale %d", s, c, c.Scale())
		}
	})
}
