package words

import "testing"

// The file lies in the data folder of the user (XDG Base Directory Specification,
// version 0.8): $XDG_DATA_HOME where it is absolute, else ~/.local/share.
func TestPath(t *testing.T) {
	for _, c := range []struct{ said, file, xdg, home, want string }{
		{"here.db", "there.db", "/data", "/home/me", "here.db"},
		{"", "there.db", "/data", "/home/me", "there.db"},
		{"", "", "/data", "/home/me", "/data/bookmatch/shop.db"},
		{"", "", "data", "/home/me", "/home/me/.local/share/bookmatch/shop.db"},
		{"", "", "", "/home/me", "/home/me/.local/share/bookmatch/shop.db"},
		{"", "", "", "", ""},
	} {
		vars := map[string]string{"BOOKMATCH_FILE": c.file, "XDG_DATA_HOME": c.xdg, "HOME": c.home}
		got, err := (&Env{Getenv: func(k string) string { return vars[k] }}).Path(c.said)
		if got != c.want || (err != nil) != (c.want == "") {
			t.Errorf("%+v: %q, %v", c, got, err)
		}
	}
}
