package serve

import (
	"crypto/rand"
	"embed"
	"errors"
	"net"
	"path"
	"strings"
	"sync"
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
	mostAtOnce  = 32 // connections; more would only serve a mistake
)

//go:embed page
var pageFiles embed.FS

// Server answers for some holds.
type Server struct {
	feeds []Feed
	token string
	hosts map[string]bool // host names that may be asked for, without port
	room  chan struct{}   // has an element for each open connection
	done  chan struct{}   // closed by Stop
	open  sync.WaitGroup  // connections
	once  sync.Once

	streamFor time.Duration // a test's event streams end after it; 0 = they do not end
}

// New makes a server for holds. Hosts are the names and addresses, without
// port, under which it may be asked; the loopback ones are always among them.
func New(feeds []Feed, hosts ...string) *Server {
	s := &Server{
		feeds: feeds,
		token: rand.Text(),
		hosts: map[string]bool{"localhost": true, "127.0.0.1": true, "::1": true},
		room:  make(chan struct{}, mostAtOnce),
		done:  make(chan struct{}),
	}
	for _, h := range hosts {
		s.hosts[strings.ToLower(h)] = true
	}
	return s
}

// Path is where the page is: "/" + token + "/".
func (s *Server) Path() string { return "/" + s.token + "/" }

// Serve answers on a listener until it is closed. A connection that finds no
// room is told so and closed.
func (s *Server) Serve(l net.Listener) error {
	for {
		c, err := l.Accept()
		if errors.Is(err, net.ErrClosed) {
			return nil
		}
		if err != nil {
			if t, ok := err.(net.Error); ok && t.Timeout() {
				continue
			}
			return err
		}
		select {
		case s.room <- struct{}{}:
			s.open.Go(func() {
				defer func() { <-s.room }()
				s.converse(c)
			})
		default:
			_ = c.SetDeadline(time.Now().Add(time.Second / 10))
			_ = problem(503, "too many pages are open").write(c, false) // it is closed either way
			_ = c.Close()
		}
	}
}

// Stop ends open event streams and waits a moment for what is still being
// written. The listener is the caller's to close, before it.
func (s *Server) Stop() {
	s.once.Do(func() { close(s.done) })
	idle := make(chan struct{})
	go func() { s.open.Wait(); close(idle) }()
	select {
	case <-idle:
	case <-time.After(time.Second): // the program's end takes the rest along
	}
}

// converse reads one request and answers it.
func (s *Server) converse(c net.Conn) {
	defer c.Close()
	if c.SetReadDeadline(time.Now().Add(requestWithin)) != nil {
		return
	}
	req, status := readRequest(c)
	if c.SetWriteDeadline(time.Now().Add(writeWithin)) != nil {
		return
	}
	if status == 200 && s.hosts[req.host] && req.path == s.Path()+"events" && !req.head {
		s.stream(c)
		return
	}
	_ = s.answer(req, status).write(c, req.head) // whoever asked is gone if this fails
}

// answer is the reply to anything but a stream of events.
func (s *Server) answer(req request, status int) reply {
	switch {
	case status == 405:
		return problem(405, "this page can only be looked at")
	case status != 200:
		return problem(status, "not a request")
	case !s.hosts[req.host]:
		return problem(421, "not a name of this machine")
	}
	name, found := strings.CutPrefix(req.path, s.Path())
	if !found {
		return problem(404, "not found")
	}
	switch name {
	case "":
		name = "index.html"
	case "state.json":
		return s.stateReply()
	case "metrics":
		return s.metricsReply()
	case "events": // HEAD
		return reply{200, eventStream, nil}
	}
	return file(name)
}

// file is one of the page's own.
func file(name string) reply {
	kinds := map[string]string{".html": "text/html; charset=utf-8", ".css": "text/css; charset=utf-8", ".js": "text/javascript; charset=utf-8"}
	body, err := pageFiles.ReadFile("page/" + name)
	if err != nil {
		return problem(404, "not found")
	}
	return reply{200, kinds[path.Ext(name)], body}
}
