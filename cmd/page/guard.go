package page

import (
	"crypto/hmac"
	"crypto/sha256"
	"encoding/base64"
	"encoding/binary"
	"net/http"
	"strings"
	"time"
)

// The limits of a request.
const (
	bodyMost   = 16 << 10
	textMost   = 256 << 10 // of a desk form, which may hold the text of a file
	headerMost = 16 << 10
	postsMost  = 20 // in postsTime, by device
	postsTime  = 10 * time.Second
	triesMost  = 10 // of pairing, in a minute, over all addresses
	formLife   = 72 * time.Hour
)

// policy is the content policy: nothing from anywhere else, no inline style or
// script. The referrer stays on this page: without one a plain form would be
// posted from the origin null.
const policy = "default-src 'none'; style-src 'self'; script-src 'self'; font-src 'self'; img-src 'self'; connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

func headers(h http.Header) {
	h.Set("Content-Security-Policy", policy)
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Referrer-Policy", "same-origin")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Cache-Control", "no-store")
}

// guard is the way into the page: the host first, then where the request comes
// from, then its size. A name that leads to this machine by a trick of its name
// server has another host.
func (s *Server) guard(next http.Handler) http.Handler {
	cross := http.NewCrossOriginProtection()
	inner := cross.Handler(next)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		headers(w.Header())
		if !s.ours(r.Host) {
			http.Error(w, "not a host of this page", http.StatusMisdirectedRequest)
			return
		}
		if o := r.Header.Get("Origin"); o != "" && r.Method != http.MethodGet && r.Method != http.MethodHead && !s.ownOrigin(o) {
			http.Error(w, "not from this page", http.StatusForbidden)
			return
		}
		if strings.Contains(r.URL.Path, "..") || strings.Contains(r.URL.Path, "//") || strings.ContainsAny(r.URL.Path, "\\\x00") {
			http.Error(w, "no such page", http.StatusNotFound)
			return
		}
		most := int64(bodyMost)
		if strings.HasPrefix(r.URL.Path, "/do/") {
			most = textMost
		}
		if r.ContentLength > most {
			http.Error(w, "too large", http.StatusRequestEntityTooLarge)
			return
		}
		r.Body = http.MaxBytesReader(w, r.Body, most)
		inner.ServeHTTP(w, r)
	})
}

// setHosts changes what the page answers to.
func (s *Server) setHosts(hosts []string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.Hosts = hosts
}

// ours says that a host is one of this page's.
func (s *Server) ours(host string) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, h := range s.Hosts {
		if strings.EqualFold(h, host) {
			return true
		}
	}
	return false
}

func (s *Server) ownOrigin(origin string) bool {
	_, host, ok := strings.Cut(origin, "://")
	return ok && s.ours(host)
}

// formToken gives a token for the form that a device sends to a path: a nonce, when
// it was made, and their seal. The nonce is also the token of the change, so
// that the same form changes the shop once.
func (s *Server) formToken(device, path string) string {
	raw := make([]byte, 0, 52)
	raw = append(raw, random(12)...)
	raw = binary.BigEndian.AppendUint64(raw, uint64(s.now().Unix()))
	return base64.RawURLEncoding.EncodeToString(append(raw, s.seal(raw, device, path)...))
}

func (s *Server) seal(raw []byte, device, path string) []byte {
	mac := hmac.New(sha256.New, []byte(s.keys().Key))
	mac.Write(raw)
	mac.Write([]byte("\x00" + device + "\x00" + path))
	return mac.Sum(nil)
}

// checkForm gives the nonce of a form token, or false.
func (s *Server) checkForm(token, device, path string) (string, bool) {
	all, err := base64.RawURLEncoding.DecodeString(token)
	if err != nil || len(all) != 20+sha256.Size {
		return "", false
	}
	raw := all[:20]
	if !hmac.Equal(all[20:], s.seal(raw, device, path)) {
		return "", false
	}
	made := time.Unix(int64(binary.BigEndian.Uint64(raw[12:])), 0)
	if age := s.now().Sub(made); age > formLife || age < -formLife {
		return "", false
	}
	return base64.RawURLEncoding.EncodeToString(raw[:12]), true
}
