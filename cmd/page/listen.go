package page

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"net"
	"net/http"
	"net/netip"
	"strconv"
	"strings"
	"sync"
	"time"

	"bookmatch/jobs"
)

// Options say where the page is served.
type Options struct {
	Port      int
	Home      bool   // the private address of this machine, for the network at home
	Address   string // this address
	Name      string // a further host name
	Cert, Key string // files for TLS

	own func() ([]string, error) // the home address, for tests
}

// lookEvery is how often a page at home looks whether its address changed.
var lookEvery = 20 * time.Second

// connectionsMost is how many connections are held at once.
const connectionsMost = 128

// Addresses gives the addresses to listen on. It refuses what would open the page
// to the world.
func (o Options) Addresses(of func() ([]net.Addr, error)) ([]string, error) {
	switch {
	case o.Address != "":
		ip, err := netip.ParseAddr(o.Address)
		switch {
		case err != nil:
			return nil, &jobs.FieldError{Field: "address", Value: o.Address, Want: "an address of this machine, such as 192.168.1.20"}
		case ip.IsUnspecified():
			return nil, jobs.Refuse("address", o.Address+" would open the page on every network", "page --home")
		case !ip.IsLoopback() && !ip.IsPrivate() && !ip.IsLinkLocalUnicast() && o.Cert == "":
			return nil, jobs.Refuse("address", o.Address+" is a public address, and the page is not encrypted", "page --address "+o.Address+" --cert FILE --key FILE")
		}
		return []string{o.Address}, nil
	case !o.Home:
		return []string{"127.0.0.1", "::1"}, nil
	}
	all, err := of()
	if err != nil {
		return nil, err
	}
	var own []string
	for _, a := range all {
		p, err := netip.ParsePrefix(a.String())
		if err == nil && p.Addr().Is4() && p.Addr().IsPrivate() {
			own = append(own, p.Addr().String())
		}
	}
	switch len(own) {
	case 0:
		return nil, jobs.Refuse("address", "this machine has no address of a home network", "page")
	case 1:
		return own, nil
	}
	return nil, jobs.Refuse("address", "this machine has several addresses: "+strings.Join(own, ", "), "page --address "+own[0])
}

// hosts are the hosts that the page answers to.
func (o Options) hosts(addresses []string) (out []string) {
	port := strconv.Itoa(o.Port)
	names := []string{"127.0.0.1", "localhost", "::1"}
	names = append(names, addresses...)
	if o.Name != "" {
		names = append(names, o.Name)
	}
	for _, n := range names {
		out = append(out, net.JoinHostPort(n, port))
		if o.Port == 80 || o.Port == 443 {
			out = append(out, n)
		}
	}
	return out
}

// Serve listens until ctx ends, then gives requests five seconds to end. ready is
// called once it listens, with the address to open, and again when a page at home got
// another address.
func (s *Server) Serve(ctx context.Context, o Options, ready func(address string)) error {
	if o.own == nil {
		o.own = func() ([]string, error) { return o.Addresses(net.InterfaceAddrs) }
	}
	addresses, err := o.own()
	if err != nil {
		return err
	}
	s.setHosts(o.hosts(addresses))
	s.Secure = o.Cert != ""
	var cert []tls.Certificate
	if s.Secure {
		c, err := tls.LoadX509KeyPair(o.Cert, o.Key)
		if err != nil {
			return jobs.Refuse("cert", "no TLS with this certificate: "+err.Error(), "page --cert FILE --key FILE")
		}
		cert = append(cert, c)
	}
	var listeners []net.Listener
	for i, a := range addresses {
		l, err := net.Listen("tcp", net.JoinHostPort(a, strconv.Itoa(o.Port)))
		if err != nil {
			if i > 0 { // a machine without IPv6
				continue
			}
			return jobs.Refuse("port", fmt.Sprintf("port %d of %s is taken: another page runs already, or another program has it", o.Port, a), fmt.Sprintf("page --port %d", o.Port+1))
		}
		listeners = append(listeners, limited(l, connectionsMost))
	}
	srv := &http.Server{Handler: s.Handler(), MaxHeaderBytes: headerMost, ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 10 * time.Second, WriteTimeout: 20 * time.Second, IdleTimeout: time.Minute,
		TLSConfig: &tls.Config{MinVersion: tls.VersionTLS12, Certificates: cert}}
	failed := make(chan error, 1)
	serve := func(l net.Listener) {
		err := error(nil)
		if s.Secure {
			err = srv.ServeTLS(l, "", "")
		} else {
			err = srv.Serve(l)
		}
		select {
		case failed <- err:
		default: // the first is enough
		}
	}
	for _, l := range listeners {
		go serve(l)
	}
	ready(o.url(addresses[0]))
	look := time.NewTicker(lookEvery)
	defer look.Stop()
	for {
		select {
		case err = <-failed:
		case <-ctx.Done():
			end, cancel := context.WithTimeout(context.Background(), 5*time.Second)
			defer cancel()
			err = srv.Shutdown(end)
		case <-look.C:
			is, err := o.own()
			if !o.Home || err != nil || is[0] == addresses[0] {
				continue
			}
			l, err := net.Listen("tcp", net.JoinHostPort(is[0], strconv.Itoa(o.Port)))
			if err != nil {
				continue // not yet: it is tried again
			}
			addresses = is
			s.setHosts(o.hosts(addresses))
			go serve(limited(l, connectionsMost))
			ready(o.url(addresses[0]))
			continue
		}
		if errors.Is(err, http.ErrServerClosed) {
			return nil
		}
		return err
	}
}

// url is what to open for an address of this machine.
func (o Options) url(address string) string {
	scheme := "http"
	if o.Cert != "" {
		scheme = "https"
	}
	if o.Name != "" {
		address = o.Name
	}
	return scheme + "://" + net.JoinHostPort(address, strconv.Itoa(o.Port))
}

// limited holds so many connections at once; further ones wait.
func limited(l net.Listener, most int) net.Listener {
	return &limitedListener{l, make(chan struct{}, most)}
}

type limitedListener struct {
	net.Listener
	free chan struct{}
}

func (l *limitedListener) Accept() (net.Conn, error) {
	l.free <- struct{}{}
	c, err := l.Listener.Accept()
	if err != nil {
		<-l.free
		return nil, err
	}
	return &limitedConn{Conn: c, end: sync.OnceFunc(func() { <-l.free })}, nil
}

type limitedConn struct {
	net.Conn
	end func()
}

func (c *limitedConn) Close() error {
	c.end()
	return c.Conn.Close()
}
