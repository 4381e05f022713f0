// Package page serves the shop to a tablet at the bench and to a desk: HTTP to
// the same Ask, the same verb and the same view as typed words. It opens the
// shop's file for each request, so that the terminal works meanwhile.
package page

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"net/http"
	"os"
	"slices"
	"strings"
	"sync"
	"syscall"
	"time"

	"bookmatch/cmd/words"
	"bookmatch/jobs"
	"bookmatch/jobs/workshop"
	"bookmatch/reports/html"
)

// Server answers the requests of paired devices.
type Server struct {
	Shop     string           // path of the shop's file
	KeyFile  string           // path of page.json
	Hosts    []string         // with their ports
	Secure   bool             // behind TLS
	Now      func() time.Time // nil is the machine's clock
	Groups   []words.Group
	Commands []words.Command
	Log      func(line string)

	write    sync.Mutex // one change at a time
	mu       sync.Mutex // what follows
	held     *Keys
	stamp    string
	posts    map[string][]time.Time
	tries    []time.Time
	refusals []string
	echo     echo
	newest   uint64 // number of the newest change
	newestOf string // what the shop's file looked like then
}

func (s *Server) now() time.Time {
	if s.Now != nil {
		return s.Now()
	}
	return time.Now()
}

// keys gives the devices, read again when their file changed.
func (s *Server) keys() *Keys {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.keysLocked()
}

func (s *Server) keysLocked() *Keys {
	stamp := ""
	if info, err := os.Stat(s.KeyFile); err == nil {
		stamp = fmt.Sprint(info.ModTime().UnixNano(), info.Size())
	}
	if s.held == nil || stamp != s.stamp || stamp == "" {
		k, err := LoadKeys(s.KeyFile)
		if err != nil {
			return &Keys{path: s.KeyFile} // nobody is paired while it cannot be read
		}
		s.held, s.stamp = k, stamp
	}
	return s.held
}

// request is one request with the device that made it.
type request struct {
	*Server
	w      http.ResponseWriter
	r      *http.Request
	device Device
	shop   *workshop.Workshop
	nonce  string
	units  string // in which the shop reads lengths
	zone   *time.Location
}

// Handler gives the page.
func (s *Server) Handler() http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("GET /asset/{name}", s.asset)
	mux.HandleFunc("GET /{$}", func(w http.ResponseWriter, r *http.Request) { http.Redirect(w, r, "/now", http.StatusSeeOther) })
	mux.HandleFunc("GET /pair", s.pairScreen)
	mux.HandleFunc("GET /pair/{code}", s.pairScreen)
	mux.HandleFunc("GET /PAIR/{code}", s.pairScreen)
	mux.HandleFunc("POST /pair", s.pair)
	for _, x := range routes() {
		mux.HandleFunc(x.pattern, s.on(x))
	}
	return s.guard(mux)
}

func (s *Server) asset(w http.ResponseWriter, r *http.Request) {
	a, ok := html.AssetAt("asset/" + r.PathValue("name"))
	if !ok {
		http.NotFound(w, r)
		return
	}
	w.Header().Set("Content-Type", a.Type)
	w.Header().Set("Cache-Control", "public, max-age=31536000, immutable")
	w.Write(a.Body)
}

// route is a way to a screen or an act.
type route struct {
	pattern string
	desk    bool // for desk devices alone
	do      func(*request) error
}

// on pairs a route with a device, answers its errors and writes what became of a tap
// into the log.
func (s *Server) on(x route) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		d, ok := s.device(r)
		if !ok {
			s.logTap(r, "no device", "not paired")
			s.unpaired(w, r)
			return
		}
		s.saw(d)
		q := &request{Server: s, w: w, r: r, device: d, shop: workshop.At(s.Shop, s.now)}
		s.logTap(r, d.Name, q.answered(x))
	}
}

// answered does what a route is for, if the device may, and says what came of it.
func (q *request) answered(x route) string {
	if x.desk && q.device.Kind != Desk {
		q.refuse(http.StatusForbidden, &jobs.Refusal{What: "NOT SHOWN", Why: "this device is paired for the bench, without money and customers. Pair it as desk in the terminal", Type: []string{"page pair --as desk"}}, nil)
		return "for a desk device"
	}
	if q.r.Method == http.MethodPost {
		if refused := q.admit(); refused != "" {
			return refused
		}
		q.write.Lock()
		defer q.write.Unlock()
	}
	if err := x.do(q); err != nil {
		return q.failed(err)
	}
	return "done"
}

// admit reads the form of a tap. It answers what is too much, cannot be read or is not
// of this page, and says which.
func (q *request) admit() (refused string) {
	if !q.mayPost(q.device.Name) {
		q.w.Header().Set("Retry-After", "10")
		http.Error(q.w, "too many taps at once", http.StatusTooManyRequests)
		return "too many taps"
	}
	if err := q.r.ParseForm(); err != nil {
		code := http.StatusBadRequest
		var large *http.MaxBytesError
		if errors.As(err, &large) {
			code = http.StatusRequestEntityTooLarge
		}
		http.Error(q.w, "this form cannot be read", code)
		return "form not readable"
	}
	for _, token := range q.r.PostForm["form"] {
		if n, ok := q.checkForm(token, q.device.Name, q.r.URL.Path); ok {
			q.nonce = n
		}
	}
	if q.nonce == "" {
		q.refuse(http.StatusForbidden, &jobs.Refusal{What: "NOT DONE", Why: "this form is not of this page, or too old. Open the screen again"}, nil)
		return "form not of this page, or too old"
	}
	return ""
}

// logTap writes a line of the log: time, device, path and outcome. It holds no cookie,
// code or token.
func (s *Server) logTap(r *http.Request, device, outcome string) {
	if s.Log != nil && r.Method == http.MethodPost {
		s.Log(fmt.Sprintf("%s %s %s: %s", s.now().Format("15:04:05"), device, r.URL.EscapedPath(), outcome))
	}
}

// device gives the device of a request's cookie.
func (s *Server) device(r *http.Request) (Device, bool) {
	c, err := r.Cookie(s.cookieName())
	if err != nil {
		return Device{}, false
	}
	return s.keys().Of(c.Value)
}

// saw notes once an evening that a device was here. A file that cannot be written
// stops nobody.
func (s *Server) saw(d Device) {
	evening := jobs.DayOf(s.now().Add(-5 * time.Hour))
	if d.Seen == evening {
		return
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if k, err := LoadKeys(s.KeyFile); err == nil {
		k.Saw(d.Name, evening)
	}
}

// journal gives the number of the newest change. The file is opened only when it was
// written since: a poll costs one look at the folder.
func (q *request) journal() uint64 {
	stamp := ""
	if info, err := os.Stat(q.Shop); err == nil && time.Since(info.ModTime()) > time.Second {
		stamp = fmt.Sprint(info.ModTime().UnixNano(), info.Size(), fileID(info))
	}
	q.mu.Lock()
	if stamp != "" && stamp == q.newestOf {
		defer q.mu.Unlock()
		return q.newest
	}
	q.mu.Unlock()
	_, n := q.said()
	q.mu.Lock()
	q.newest, q.newestOf = n, stamp
	q.mu.Unlock()
	return n
}

// fileID parts a file from another that took its name, as a restore leaves it.
func fileID(info fs.FileInfo) uint64 {
	if s, ok := info.Sys().(*syscall.Stat_t); ok {
		return s.Ino
	}
	return 0
}

func (s *Server) cookieName() string {
	if s.Secure {
		return "__Host-bench"
	}
	return "bench"
}

// mayPost counts the taps of a device.
func (s *Server) mayPost(device string) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.posts == nil {
		s.posts = map[string][]time.Time{}
	}
	now := time.Now()
	recent := slices.DeleteFunc(s.posts[device], func(t time.Time) bool { return now.Sub(t) > postsTime })
	s.posts[device] = append(recent, now)
	return len(recent) < postsMost
}

// failed answers an error and says what became of the request.
func (q *request) failed(err error) string {
	r, ok := jobs.RefusalOf("NOT DONE", err)
	if !ok {
		r = &jobs.Refusal{Code: "failure", Class: jobs.Missing, What: "NOT DONE", Why: err.Error()}
	}
	if r.Code == "busy" || r.Code == "locked" {
		q.refuse(http.StatusServiceUnavailable, r, q.again(nil))
		return "busy"
	}
	code := http.StatusConflict
	switch r.Class {
	case jobs.Missing:
		code = http.StatusNotFound
	case jobs.Invalid:
		code = http.StatusUnprocessableEntity
	case jobs.Damaged:
		code = http.StatusInternalServerError
	}
	if !ok {
		code = http.StatusInternalServerError
	}
	var again *html.Again
	if q.r.Method == http.MethodPost && (r.Anyway || slices.ContainsFunc(r.Type, func(t string) bool { return strings.Contains(t, "--anyway") })) {
		again = q.again([]string{"I looked, it is ready", "the label says so", "it was warm here"})
	}
	q.refuse(code, r, again)
	return r.What
}

// again is the same request once more, under a new token.
func (q *request) again(reasons []string) *html.Again {
	if q.r.Method != http.MethodPost {
		return nil
	}
	a := &html.Again{Path: q.r.URL.Path, Form: q.form(q.r.URL.Path), Reasons: reasons}
	for _, name := range sortedKeys(q.r.PostForm) {
		if name == "form" || name == "anyway" {
			continue
		}
		for _, v := range q.r.PostForm[name] {
			a.Fields = append(a.Fields, html.Field{Name: name, Value: v})
		}
	}
	return a
}

func sortedKeys[V any](m map[string]V) []string {
	out := make([]string, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}

// refuse shows a refusal in its frame, with what runs meanwhile.
func (q *request) refuse(code int, r *jobs.Refusal, again *html.Again) {
	if r.Class == jobs.Missing && len(r.Swap) > 0 {
		r.Why = strings.TrimRight(r.Why, ".") + ". The nearest is " + strings.Join(r.Swap, " or ")
	}
	x := html.Refused{What: cmp.Or(r.What, "NOT DONE"), Why: sentence(r.Why), Type: r.Type, Back: "/now", Again: again}
	if q.r.Method == http.MethodPost {
		x.Subject = strings.TrimSpace(q.r.PostFormValue("operation") + " " + q.r.PostFormValue("necks"))
		q.mu.Lock()
		q.refusals = append(q.refusals, fmt.Sprintf("%s %s: %s", q.now().Format("15:04"), x.What, x.Why))
		q.refusals = q.refusals[max(0, len(q.refusals)-20):]
		q.mu.Unlock()
	}
	if r.Code == "seen" && len(r.Type) > 0 {
		if _, err := fmt.Sscanf(r.Type[0], "entry amend %d", &x.Entry); err == nil {
			x.EntryForm = q.form(fmt.Sprintf("/entry/%d/end", x.Entry))
		}
	}
	if now, err := q.shop.Do(workshop.Now, &workshop.NowAsk{}); err == nil {
		if on := now.(*workshop.NowResult).Running; on != nil {
			x.Running = fmt.Sprintf("%s %s, %.0f min", on.Operation, namesOf(on.Necks), on.ElapsedMin)
		}
	}
	q.show(code, html.Frame{Title: x.What, Tab: "now", Refused: true, Screen: x})
}

func sentence(text string) string {
	text = strings.TrimRight(strings.TrimSpace(text), ".")
	if text == "" {
		return ""
	}
	return strings.ToUpper(text[:1]) + text[1:] + "."
}

// show writes a screen in its frame.
func (q *request) show(code int, f html.Frame) error {
	f.Desk = q.device.Kind == Desk
	if c, err := q.r.Cookie("theme"); err == nil && (c.Value == "day" || c.Value == "night") {
		f.Theme = c.Value
	}
	said, journal := q.said()
	f.Journal, f.Clock = journal, q.now().In(cmp.Or(q.zone, time.UTC)).Format("2006-01-02T15:04:05-07:00")
	if !f.Bare && !f.Refused {
		f.Said = said
	}
	if f.Refused && q.units == "" {
		if r, err := do[*workshop.ShopResult](q, workshop.ShopShow, &workshop.ShopShowAsk{}); err == nil {
			q.units = r.Units
		}
	}
	var b strings.Builder
	if err := html.Write(&b, f.In(q.units)); err != nil {
		http.Error(q.w, "this screen cannot be drawn", http.StatusInternalServerError)
		return nil
	}
	q.w.Header().Set("Content-Type", "text/html; charset=utf-8")
	q.w.WriteHeader(code)
	fmt.Fprint(q.w, b.String())
	return nil
}

// form gives the token of a form that this device sends to a path.
func (q *request) form(path string) string { return q.formToken(q.device.Name, path) }
