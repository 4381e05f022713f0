package page

import (
	"net/http"
	"net/url"
	"slices"
	"strings"
	"time"

	"bookmatch/reports/html"
)

// unpaired answers a device that is not known: nothing of the shop is in it.
func (s *Server) unpaired(w http.ResponseWriter, r *http.Request) {
	if r.Method != http.MethodGet && r.Method != http.MethodHead {
		http.Error(w, "this device is not paired", http.StatusForbidden)
		return
	}
	if r.URL.Path == "/state" {
		http.Error(w, "this device is not paired", http.StatusForbidden)
		return
	}
	http.Redirect(w, r, "/pair?next="+url.QueryEscape(r.URL.Path), http.StatusSeeOther)
}

// ownPath gives a path of this page, /now for any other.
func ownPath(next string) string {
	u, err := url.Parse(next)
	if err != nil || u.Host != "" || u.Scheme != "" || !strings.HasPrefix(next, "/") || strings.HasPrefix(next, "//") || strings.ContainsAny(next, "\\\n\r") {
		return "/now"
	}
	return u.Path
}

func (s *Server) pairScreen(w http.ResponseWriter, r *http.Request) {
	s.showPair(w, r, http.StatusOK, html.Pair{Code: r.PathValue("code"), Next: ownPath(r.URL.Query().Get("next"))})
}

func (s *Server) showPair(w http.ResponseWriter, r *http.Request, code int, x html.Pair) {
	x.Form = s.formToken("", "/pair")
	var b strings.Builder
	if err := html.Write(&b, html.Frame{Title: "pair", Bare: true, Screen: x}); err != nil {
		http.Error(w, "this screen cannot be drawn", http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(code)
	w.Write([]byte(b.String()))
}

// pair spends a code and gives the device its key.
func (s *Server) pair(w http.ResponseWriter, r *http.Request) {
	if err := r.ParseForm(); err != nil {
		http.Error(w, "this form cannot be read", http.StatusBadRequest)
		return
	}
	next := ownPath(r.PostFormValue("next"))
	if !s.mayTry() {
		w.Header().Set("Retry-After", "60")
		http.Error(w, "too many tries", http.StatusTooManyRequests)
		s.logTap(r, "no device", "too many tries")
		return
	}
	if form := r.PostFormValue("form"); form != "" {
		if _, ok := s.checkForm(form, "", "/pair"); !ok {
			http.Error(w, "this form is too old", http.StatusForbidden)
			s.logTap(r, "no device", "form not of this page, or too old")
			return
		}
	}
	s.mu.Lock()
	d, token, err := s.keysLocked().Pair(r.PostFormValue("code"), r.PostFormValue("name"), s.now())
	s.mu.Unlock()
	if err != nil {
		s.logTap(r, "no device", "wrong code")
		s.showPair(w, r, http.StatusForbidden, html.Pair{Next: next, Wrong: "NOT PAIRED: " + errCode.Error() + "."})
		return
	}
	http.SetCookie(w, &http.Cookie{Name: s.cookieName(), Value: token, Path: "/", HttpOnly: true, SameSite: http.SameSiteLaxMode, Secure: s.Secure, MaxAge: 400 * 24 * 3600})
	s.logTap(r, d.Name, "paired as "+string(d.Kind))
	http.Redirect(w, r, next, http.StatusSeeOther)
}

// mayTry counts the tries of all addresses.
func (s *Server) mayTry() bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	now := time.Now()
	s.tries = slices.DeleteFunc(s.tries, func(t time.Time) bool { return now.Sub(t) > time.Minute })
	if len(s.tries) >= triesMost {
		return false
	}
	s.tries = append(s.tries, now)
	return true
}
