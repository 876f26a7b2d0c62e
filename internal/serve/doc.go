// Package serve shows running holds on a page for a phone: read-only, on a
// listener that the caller opened.
//
// The page, its events (server-sent events, as in the HTML standard, section
// 9.2), the state as JSON and the metrics (Prometheus text exposition format
// 0.0.4) all stand below a path that begins with a random token: who does not
// know it gets 404 and nothing else. Requests for a host name that is not an
// address of this machine are refused, so that a foreign web page cannot reach
// the holds through the browser of somebody in the workshop.
//
// A request only reads the newest State, which the recording publishes without
// waiting for anybody; a phone that is slow or gone costs its own connection
// and nothing else. The package keeps no history, writes no file and answers
// nothing but GET and HEAD. It speaks the little of HTTP/1.1 that this takes
// (see http.go for why). It does not encrypt: on a network that is not
// trusted, leave it on the loopback address.
//
// JSON and metrics are SI with the unit in the name.
package serve
