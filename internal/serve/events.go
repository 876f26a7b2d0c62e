package serve

import (
	"encoding/json"
	"fmt"
	"net"
	"time"
)

const eventStream = "text/event-stream"

// stream sends a snapshot each second until the client goes, takes too long for
// one, or the server ends.
func (s *Server) stream(c net.Conn) {
	if writeHead(c, 200, eventStream, -1) != nil {
		return
	}
	var end <-chan time.Time
	if s.streamFor > 0 {
		fmt.Fprint(c, "retry: 1000000\n") // and do not come back
		end = time.After(s.streamFor)
	}
	tick := time.NewTicker(eventEvery)
	defer tick.Stop()
	for {
		data, err := json.Marshal(s.snapshot())
		if err != nil || c.SetWriteDeadline(time.Now().Add(writeWithin)) != nil {
			return
		}
		if _, err := fmt.Fprintf(c, "data: %s\n\n", data); err != nil {
			return
		}
		select {
		case <-end:
			return
		case <-s.done:
			return
		case <-tick.C:
		}
	}
}
