package serve

import (
	"context"
	"crypto/rand"
	"embed"
	"io/fs"
	"net"
	"net/http"
	"strings"
	"time"

	"example.org/holdfast/internal/hold"
)

// Feed is one hold to show. Both methods must answer at once, from any goroutine.
type Feed interface {
	// State is the newest picture of the hold; nil before the first record.
	State() *hold.State
	// Now is the time on the hold's own clock, s since its first record.
	Now() float64
}

const (
	writeWithin = 5 * time.Second // a client that takes longer for one write is gone
	eventEvery  = time.Second
	mostStreams = 16 // open event streams; more would only serve a mistake
)

//go:embed page
var pageFiles embed.FS

// Server answers for some holds.
type Server struct {
	feeds   []Feed
	token   string
	hosts   map[string]bool // host names that may be asked for, without port
	streams chan struct{}   // has an element for each open event stream
	done    chan struct{}   // closed by Shutdown
	http    *http.Server
}

// New makes a server for holds. Hosts are the names and addresses, without
// port, under which it may be asked; the loopback ones are always among them.
func New(feeds []Feed, hosts ...string) *Server {
	s := &Server{
		feeds:   feeds,
		token:   rand.Text(),
		hosts:   map[string]bool{"localhost": true, "127.0.0.1": true, "::1": true},
		streams: make(chan struct{}, mostStreams),
		done:    make(chan struct{}),
	}
	for _, h := range hosts {
		s.hosts[strings.ToLower(h)] = true
	}
	s.http = &http.Server{
		Handler:           s.Handler(),
		ReadHeaderTimeout: writeWithin,
		ReadTimeout:       writeWithin,
		IdleTimeout:       time.Minute,
		MaxHeaderBytes:    8 << 10,
	}
	s.http.RegisterOnShutdown(func() { close(s.done) })
	return s
}

// Path is where the page is: "/" + token + "/".
func (s *Server) Path() string { return "/" + s.token + "/" }

// Serve answers on a listener until Shutdown, and then gives http.ErrServerClosed.
func (s *Server) Serve(l net.Listener) error { return s.http.Serve(l) }

// Shutdown ends the server; streams are closed, not waited for.
func (s *Server) Shutdown(ctx context.Context) error { return s.http.Shutdown(ctx) }

// Handler is all the server answers.
func (s *Server) Handler() http.Handler {
	files, err := fs.Sub(pageFiles, "page")
	if err != nil {
		panic(err) // the folder is compiled in
	}
	mux := http.NewServeMux()
	mux.Handle("GET "+s.Path(), http.StripPrefix(s.Path(), http.FileServerFS(files)))
	mux.HandleFunc("GET "+s.Path()+"state.json", s.serveState)
	mux.HandleFunc("GET "+s.Path()+"events", s.serveEvents)
	mux.HandleFunc("GET "+s.Path()+"metrics", s.serveMetrics)
	return s.guarded(mux)
}

// guarded refuses foreign host names and sets what every answer carries.
func (s *Server) guarded(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if !s.hosts[hostName(r.Host)] {
			http.Error(w, "not a name of this machine", http.StatusMisdirectedRequest)
			return
		}
		h := w.Header()
		h.Set("Content-Security-Policy", "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'")
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cache-Control", "no-store")
		next.ServeHTTP(w, r)
	})
}

// hostName is a Host header without its port, in lower case.
func hostName(host string) string {
	if name, _, err := net.SplitHostPort(host); err == nil {
		host = name
	}
	return strings.ToLower(strings.Trim(host, "[]"))
}
