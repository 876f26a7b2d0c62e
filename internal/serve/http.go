package serve

import (
	"bufio"
	"fmt"
	"io"
	"net"
	"net/textproto"
	"strconv"
	"strings"
	"time"
)

// The little of HTTP/1.1 that a read-only page needs, by RFC 9110 and RFC 9112:
// GET and HEAD, one request for each connection, no request body. The server of
// the standard library would do it too, and more, but brings TLS and HTTP/2
// along, nearly four of the thirteen megabytes that the program then had.

const (
	requestMost   = 8 << 10         // bytes of request line and headers
	requestWithin = 5 * time.Second // for a request to come in
)

// request is what was asked for.
type request struct {
	head bool   // HEAD: the answer's body is left out
	path string // without query
	host string // without port, in lower case
}

// reply is an answer that is known whole.
type reply struct {
	status int
	kind   string // media type
	body   []byte
}

// problem is a reply that says in plain words what is wrong.
func problem(status int, text string) reply {
	return reply{status, "text/plain; charset=utf-8", []byte(text + "\n")}
}

// statusText are the reason phrases of RFC 9110, section 15, for what we answer.
func statusText(status int) string {
	switch status {
	case 200:
		return "OK"
	case 400:
		return "Bad Request"
	case 404:
		return "Not Found"
	case 405:
		return "Method Not Allowed"
	case 421:
		return "Misdirected Request"
	case 503:
		return "Service Unavailable"
	}
	return "Unknown"
}

// readRequest reads request line and headers (RFC 9112, sections 2 to 5). A
// status that is not 200 says why the request cannot be answered.
func readRequest(r io.Reader) (req request, status int) {
	in := textproto.NewReader(bufio.NewReader(io.LimitReader(r, requestMost)))
	line, err := in.ReadLine()
	if err != nil {
		return req, 400
	}
	method, rest, _ := strings.Cut(line, " ")
	target, version, found := strings.Cut(rest, " ")
	if !found || !strings.HasPrefix(version, "HTTP/1.") || !strings.HasPrefix(target, "/") {
		return req, 400
	}
	header, err := in.ReadMIMEHeader()
	if err != nil || len(header["Host"]) != 1 { // section 3.2: one Host, or it is a bad request
		return req, 400
	}
	req.host = hostName(header.Get("Host"))
	req.path, _, _ = strings.Cut(target, "?")
	req.head = method == "HEAD"
	if method != "GET" && method != "HEAD" {
		return req, 405
	}
	return req, 200
}

// hostName is a Host header without its port, in lower case.
func hostName(host string) string {
	if name, _, err := net.SplitHostPort(host); err == nil {
		host = name
	}
	return strings.ToLower(strings.Trim(host, "[]"))
}

// writeHead writes status line and headers; length -1 = until the connection ends.
func writeHead(w io.Writer, status int, kind string, length int) error {
	var b strings.Builder
	fmt.Fprintf(&b, "HTTP/1.1 %d %s\r\n", status, statusText(status))
	for _, h := range [][2]string{
		{"Content-Type", kind},
		{"Connection", "close"},
		{"Cache-Control", "no-store"},
		{"X-Content-Type-Options", "nosniff"},
		{"Referrer-Policy", "no-referrer"},
		{"Content-Security-Policy", "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"},
	} {
		fmt.Fprintf(&b, "%s: %s\r\n", h[0], h[1])
	}
	if status == 405 {
		b.WriteString("Allow: GET, HEAD\r\n")
	}
	if length >= 0 {
		b.WriteString("Content-Length: " + strconv.Itoa(length) + "\r\n")
	}
	_, err := io.WriteString(w, b.String()+"\r\n")
	return err
}

// write sends a reply.
func (r reply) write(w io.Writer, head bool) error {
	if err := writeHead(w, r.status, r.kind, len(r.body)); err != nil || head {
		return err
	}
	_, err := w.Write(r.body)
	return err
}
