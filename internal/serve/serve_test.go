package serve

import (
	"bufio"
	"encoding/json"
	"io"
	"net"
	"net/http"
	"regexp"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/units"
)

// feed is a hold whose clock a test sets.
type feed struct {
	st   *hold.State
	now  atomic.Int64 // s
	asks atomic.Int64
}

func (f *feed) State() *hold.State { f.asks.Add(1); return f.st }
func (f *feed) Now() float64       { return float64(f.now.Load()) }

// leakingHold is the State after 40 minutes that lose half a per cent a minute.
func leakingHold(section string) *feed {
	h := hold.New()
	h.Apply(holdlog.Record{Kind: holdlog.KindHeader, Wall: 1, Header: &holdlog.Header{
		Settings: holdlog.Settings{Section: section, Limit: "1%/h", For: 3600},
		Devices:  []holdlog.Device{{Name: "gauge", Interval: 10}},
	}})
	for t := 0.0; t <= 2400; t += 10 {
		p := 20e5 * (1 - 0.005*t/60)
		if t < 20 {
			p = 1e5
		}
		h.Apply(holdlog.Record{Kind: holdlog.KindSample, Elapsed: t, Wall: 1 + int64(t*1000), Sample: holdlog.Sample{
			Pressure: p, Ref: units.AbsoluteRef, Ambient: units.FromCelsius(21),
		}})
	}
	f := &feed{st: h.State()}
	f.now.Store(2401)
	return f
}

// served answers for a server until the test ends, and gives its address.
func served(t *testing.T, s *Server) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	ended := make(chan error, 1)
	go func() { ended <- s.Serve(l) }()
	t.Cleanup(func() {
		l.Close()
		s.Stop()
		if err := <-ended; err != nil {
			t.Error(err)
		}
	})
	return "http://" + l.Addr().String()
}

func get(t *testing.T, url, host string) (int, http.Header, string) {
	t.Helper()
	req, err := http.NewRequest(http.MethodGet, url, nil)
	if err != nil {
		t.Fatal(err)
	}
	if host != "" {
		req.Host = host
	}
	resp, err := http.DefaultClient.Do(req)
	if err != nil {
		t.Fatal(err)
	}
	defer resp.Body.Close()
	body, err := io.ReadAll(resp.Body)
	if err != nil {
		t.Fatal(err)
	}
	return resp.StatusCode, resp.Header, string(body)
}

func TestOnlyTheTokenOnAnOwnNameOpensThePage(t *testing.T) {
	s := New([]Feed{leakingHold("condenser")}, "192.0.2.7")
	url := served(t, s)
	for _, c := range []struct {
		path, host string
		want       int
	}{
		{s.Path(), "", 200},
		{s.Path() + "page.js", "localhost:1", 200},
		{s.Path() + "state.json", "192.0.2.7:8080", 200},
		{s.Path() + "state.json", "[::1]:80", 200},
		{"/", "", 404},
		{"/state.json", "", 404},
		{"/" + strings.Repeat("A", 26) + "/", "", 404},
		{s.Path(), "rebound.example", 421},
		{s.Path() + "events", "192.0.2.8", 421},
	} {
		if got, _, _ := get(t, url+c.path, c.host); got != c.want {
			t.Errorf("%q as host %q: status %d, want %d", c.path, c.host, got, c.want)
		}
	}
	if other := New(nil); s.Path() == other.Path() {
		t.Error("two servers have the same token")
	}
}

func TestNothingCanBeChanged(t *testing.T) {
	s := New([]Feed{leakingHold("condenser")})
	url := served(t, s)
	for _, method := range []string{"POST", "PUT", "DELETE", "PATCH", "OPTIONS"} {
		for _, path := range []string{"", "state.json", "events", "metrics"} {
			req, _ := http.NewRequest(method, url+s.Path()+path, strings.NewReader("x"))
			resp, err := http.DefaultClient.Do(req)
			if err != nil {
				t.Fatal(err)
			}
			resp.Body.Close()
			if resp.StatusCode != http.StatusMethodNotAllowed {
				t.Errorf("%s %q: status %d", method, path, resp.StatusCode)
			}
		}
	}
	_, h, _ := get(t, url+s.Path(), "")
	if csp := h.Get("Content-Security-Policy"); !strings.HasPrefix(csp, "default-src 'none'") || strings.Contains(csp, "unsafe") {
		t.Errorf("content security policy %q", csp)
	}
}

func TestTheStateAsJSONSaysWhatTheHoldSays(t *testing.T) {
	f := leakingHold("condenser")
	s := New([]Feed{f, &feed{}}) // the second has no record yet
	url := served(t, s)
	_, _, body := get(t, url+s.Path()+"state.json", "")
	var r report
	if err := json.Unmarshal([]byte(body), &r); err != nil {
		t.Fatal(err)
	}
	if len(r.Sections) != 1 {
		t.Fatalf("%d sections, want the one that has begun", len(r.Sections))
	}
	got, st := r.Sections[0], f.st
	if got.Verdict != "leaking" || got.Phrase != st.Verdict.Phrase || got.Section != "condenser" || got.Stale || got.Age != 1 {
		t.Errorf("%+v", got)
	}
	if got.Rate == nil || got.Rate.Value != st.Estimate.Rate.Value*3600 || *got.Absolute != float64(st.Pressure) {
		t.Errorf("rate %+v of %+v", got.Rate, st.Estimate.Rate)
	}
	n := len(got.Chart.Corrected)
	if n < 50 || n > chartPoints+1 || got.Chart.Corrected[n-1][0] != st.Curve[len(st.Curve)-1].T {
		t.Errorf("%d points of %d, the last at %v", n, len(st.Curve), got.Chart.Corrected[n-1])
	}
	f.now.Store(2500)
	if got := s.snapshot().Sections[0]; !got.Stale || got.Age != 100 {
		t.Errorf("100 s after the last reading of a sensor that reads every 10 s: stale %v, age %v", got.Stale, got.Age)
	}
}

// sampleLine is a sample with labels by the published grammar of the text format 0.0.4 (Prometheus
// documentation, "Exposition formats": names, the three escapes of a label value, Go's floats; each line ends in a line feed).
var sampleLine = regexp.MustCompile(`^[a-zA-Z_:][a-zA-Z0-9_:]*\{[a-zA-Z_][a-zA-Z0-9_]*="([^"\\\n]|\\["\\n])*"(,[a-zA-Z_][a-zA-Z0-9_]*="([^"\\\n]|\\["\\n])*")*\} (NaN|[+-]Inf|[-+]?\d+(\.\d+)?([eE][-+]?\d+)?)\n$`)

func TestMetricsAreInTheTextFormat(t *testing.T) {
	s := New([]Feed{leakingHold("a\"b\\c\nd"), leakingHold("drier")})
	url := served(t, s)
	_, h, body := get(t, url+s.Path()+"metrics", "")
	if got := h.Get("Content-Type"); got != "text/plain; version=0.0.4; charset=utf-8" {
		t.Errorf("content type %q", got)
	}
	families, seen := map[string]int{}, map[string]bool{}
	last := ""
	for line := range strings.Lines(body) {
		name := line[:strings.IndexAny(line, "{ ")]
		if name == "#" {
			if f := strings.Fields(line); f[1] == "TYPE" {
				last = f[2]
				families[last]++
			}
			continue
		}
		if name != last {
			t.Errorf("%q stands among the samples of %s", line, last)
		}
		if !sampleLine.MatchString(line) {
			t.Errorf("%q is no line of the format", line)
		}
		if series, _, _ := strings.Cut(line, "} "); seen[series] {
			t.Errorf("%s} is there twice", series)
		} else {
			seen[series] = true
		}
	}
	for name, n := range families {
		if n != 1 {
			t.Errorf("family %s is declared %d times", name, n)
		}
	}
	for _, want := range []string{
		`holdfast_verdict{hold="2",section="drier",word="leaking"} 1` + "\n",
		`holdfast_readings_total{hold="1",section="a\"b\\c\nd"} 241` + "\n",
		`holdfast_reading_age_seconds{hold="2",section="drier"} 1` + "\n",
	} {
		if !strings.Contains(body, want) {
			t.Errorf("missing %q in\n%s", want, body)
		}
	}
}

func TestEventsComeWithoutBeingAsked(t *testing.T) {
	s := New([]Feed{leakingHold("condenser")})
	url := served(t, s)
	resp, err := http.Get(url + s.Path() + "events")
	if err != nil {
		t.Fatal(err)
	}
	defer resp.Body.Close()
	lines := bufio.NewScanner(resp.Body)
	lines.Buffer(nil, 1<<20)
	for n := 0; n < 2 && lines.Scan(); {
		if data, found := strings.CutPrefix(lines.Text(), "data: "); found {
			var r report
			if err := json.Unmarshal([]byte(data), &r); err != nil || r.Sections[0].Verdict != "leaking" {
				t.Fatalf("event %q: %v", data, err)
			}
			n++
		}
	}
	if lines.Err() != nil {
		t.Fatal(lines.Err())
	}
}

// TestAPageThatStopsReadingIsLeftAlone opens streams that nobody reads: they
// may cost nothing but themselves, and no more than mostAtOnce are kept.
func TestAPageThatStopsReadingIsLeftAlone(t *testing.T) {
	f := leakingHold("condenser")
	s := New([]Feed{f})
	url := served(t, s)
	for range mostAtOnce - 1 {
		c, err := net.Dial("tcp", strings.TrimPrefix(url, "http://"))
		if err != nil {
			t.Fatal(err)
		}
		defer c.Close()
		if _, err := io.WriteString(c, "GET "+s.Path()+"events HTTP/1.1\r\nHost: localhost\r\n\r\n"); err != nil {
			t.Fatal(err)
		}
	}
	for f.asks.Load() < mostAtOnce-1 { // each must have been answered
		time.Sleep(time.Millisecond)
	}
	if code, _, _ := get(t, url+s.Path()+"state.json", ""); code != http.StatusOK {
		t.Errorf("the state beside them: status %d", code)
	}
	last, err := http.Get(url + s.Path() + "events")
	if err != nil {
		t.Fatal(err)
	}
	defer last.Body.Close()
	// Refused before it asks, which a client of the standard library takes for a stray answer.
	c, err := net.Dial("tcp", strings.TrimPrefix(url, "http://"))
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	if status, err := bufio.NewReader(c).ReadString('\n'); err != nil || !strings.Contains(status, " 503 ") {
		t.Errorf("one connection too many: %q, %v", status, err)
	}
}

func TestStopEndsOpenStreams(t *testing.T) {
	s := New([]Feed{leakingHold("condenser")})
	url := served(t, s)
	resp, err := http.Get(url + s.Path() + "events")
	if err != nil {
		t.Fatal(err)
	}
	defer resp.Body.Close()
	s.Stop()
	if _, err := io.Copy(io.Discard, resp.Body); err != nil {
		t.Errorf("the stream was cut off, not ended: %v", err)
	}
}

func TestWhatIsNoRequestIsRefused(t *testing.T) {
	s := New([]Feed{leakingHold("condenser")})
	for _, c := range []struct {
		text string
		want int
	}{
		{"GET / HTTP/1.1\r\nHost: localhost\r\n\r\n", 200},
		{"HEAD /?a=b HTTP/1.1\r\nHost: LOCALHOST:80\r\n\r\n", 200},
		{"", 400},
		{"\r\n\r\n", 400},
		{"GET /\r\n\r\n", 400},
		{"GET / HTTP/1.1\r\n\r\n", 400},
		{"GET / HTTP/1.1\r\nHost: a\r\nHost: b\r\n\r\n", 400},
		{"GET http://localhost/ HTTP/1.1\r\nHost: localhost\r\n\r\n", 400},
		{"GET / HTTP/2.0\r\nHost: localhost\r\n\r\n", 400},
		{"GET / HTTP/1.1\r\nHost: localhost\r\nX: " + strings.Repeat("y", requestMost) + "\r\n\r\n", 400},
		{"DELETE / HTTP/1.1\r\nHost: localhost\r\n\r\n", 405},
	} {
		if _, got := readRequest(strings.NewReader(c.text)); got != c.want {
			t.Errorf("%.40q: %d, want %d", c.text, got, c.want)
		}
	}
	for _, name := range []string{"../serve.go", "page/index.html", ".", "page.js/"} {
		if got := s.answer(request{path: s.Path() + name, host: "localhost"}, 200); got.status != 404 {
			t.Errorf("%q: status %d", name, got.status)
		}
	}
}

// FuzzRequest looks for bytes that open the page without the token.
func FuzzRequest(f *testing.F) {
	f.Add("GET / HTTP/1.1\r\nHost: localhost\r\n\r\n")
	f.Add("POST /x HTTP/1.1\r\nHost: [::1]:80\r\nContent-Length: 3\r\n\r\nabc")
	s := New(nil)
	f.Fuzz(func(t *testing.T, text string) {
		req, status := readRequest(strings.NewReader(text))
		if got := s.answer(req, status); got.status == 200 && !strings.Contains(text, s.token) {
			t.Errorf("%q is answered", text)
		}
	})
}

func TestTheCodeIsSquareWithAMargin(t *testing.T) {
	lines, err := QR("http://192.168.100.100:54321/" + strings.Repeat("A", 26) + "/")
	if err != nil {
		t.Fatal(err)
	}
	w := len([]rune(lines[0]))
	if w != 37 || len(lines) != 19 || strings.Trim(lines[0], "█") != "" {
		t.Errorf("%d by %d, first line %q", w, len(lines), lines[0])
	}
	// The finder pattern of ISO/IEC 18004: 7 by 7 dark, a light ring, 3 by 3 dark.
	for i, want := range []string{"██ ▄▄▄▄▄ █", "██ █   █ █", "██ █▄▄▄█ █", "██▄▄▄▄▄▄▄█"} {
		if !strings.HasPrefix(lines[1+i], want) {
			t.Errorf("line %d begins %q, want %q", 1+i, string([]rune(lines[1+i])[:10]), want)
		}
	}
}
