package serve

import (
	"encoding/json"
	"fmt"
	"net/http"
	"time"
)

// serveEvents sends a snapshot each second until the client goes, takes too
// long for one, or the server ends.
func (s *Server) serveEvents(w http.ResponseWriter, r *http.Request) {
	select {
	case s.streams <- struct{}{}:
		defer func() { <-s.streams }()
	default:
		http.Error(w, "too many pages are open", http.StatusServiceUnavailable)
		return
	}
	w.Header().Set("Content-Type", "text/event-stream")
	out := http.NewResponseController(w)
	tick := time.NewTicker(eventEvery)
	defer tick.Stop()
	for {
		data, err := json.Marshal(s.snapshot())
		if err != nil || out.SetWriteDeadline(time.Now().Add(writeWithin)) != nil {
			return
		}
		if _, err := fmt.Fprintf(w, "data: %s\n\n", data); err != nil || out.Flush() != nil {
			return
		}
		select {
		case <-r.Context().Done():
			return
		case <-s.done:
			return
		case <-tick.C:
		}
	}
}
