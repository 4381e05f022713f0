package jobs

import (
	"encoding/json"
	"os"
	"os/exec"
	"testing"
)

// The order of a country's dates is that of CLDR's short dates in its first official
// language, as another library reads them (Debian's python3-babel).
func TestDateOrderByCLDR(t *testing.T) {
	if exec.Command("/usr/bin/python3", "-c", "import babel").Run() != nil {
		if os.Getenv("CI") != "" {
			t.Fatal("python3-babel is missing")
		}
		t.Skip("python3-babel is missing")
	}
	out, err := exec.Command("/usr/bin/python3", "-c", `
import json
from babel import Locale
from babel.languages import get_official_languages
orders = {}
for country in Locale("en").territories:
    if len(country) != 2 or not country.isalpha():
        continue
    for language in get_official_languages(country, de_facto=True) or get_official_languages(country, regional=True, de_facto=True) or ():
        try:
            pattern = Locale.parse(language + "_" + country).date_formats["short"].pattern
        except Exception:
            continue
        order = "".join(sorted((c for c in "yMd" if c in pattern), key=pattern.index))
        orders[country] = {"dMy": "dmy", "Mdy": "mdy"}.get(order, "")
        break
print(json.dumps(orders))
`).Output()
	if err != nil {
		t.Fatal(err)
	}
	var want map[string]DateOrder
	if err := json.Unmarshal(out, &want); err != nil {
		t.Fatal(err)
	}
	if len(want) < 200 {
		t.Fatalf("CLDR knows %d countries only", len(want))
	}
	for country, order := range want {
		if got := OrderOf(country); got != order {
			t.Errorf("%s: %q, CLDR has %q", country, got, order)
		}
	}
}
