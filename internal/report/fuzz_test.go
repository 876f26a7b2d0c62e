package report_test

import (
	"bytes"
	"errors"
	"io"
	"math"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/report"
)

// hostileLog is a log with what should not be in one: numbers at the end of the
// range, times that run backwards, pressures below nothing, and texts that would take over a terminal or a page.
const hostileLog = `{"k":"hdr","t_ms":1772438400000,"e_s":0,"hdr":{"v":1,"program":"\u001b[2J","zone":"+99:99","devices":[{"name":"\u001b]0;x\u0007<script>","pressure_step_pa":-1}],"settings":{"section":"\u001b[31m<script>alert(1)</script>","limit":"1%/h","display":"\u009b31m","volume_m3":1e308}}}
{"k":"s","t_ms":1772438401000,"e_s":1,"p_pa":1980000,"ta_k":294.65}
{"k":"s","e_s":2,"p_pa":1e308,"ta_k":-1e308}
{"k":"s","e_s":1.5,"p_pa":-1980000,"ta_k":294.65}
{"k":"s","e_s":-1e308,"p_pa":1980000,"pb_pa":-5}
{"k":"s","e_s":1e308,"pg_pa":1980000,"ts_k":1e-300,"d":255}
{"k":"mark","t_ms":1,"e_s":3,"text":"door \u001b[2J\u202e<script>alert(1)</script>"}
{"k":"bad","t_ms":1,"e_s":4,"text_hex":"1b5b324a","why":"\u001b[2J","n":-5}
{"k":"ev","t_ms":1,"e_s":5,"ev":"\u001b[2J","for_s":-1e308,"device":"\u001b[2J","text":"\u001b[2J"}
{"k":"ev","t_ms":1,"e_s":6,"ev":"settings","hdr":{"v":1}}
{"k":"verdict","t_ms":1,"e_s":6,"text":"\u001b[2Jtight"}
`

// FuzzLogToReport takes any bytes the whole way of a log: read, judged, printed.
// Nothing may panic, no number may come out that is none, nothing alive may reach the text or the page.
func FuzzLogToReport(f *testing.F) {
	f.Add([]byte(hostileLog))
	f.Add([]byte(strings.Repeat(hostileLog, 3)))
	script := regexp.MustCompile(`(?i)<script|<[^>]*\son[a-z]+=`)
	f.Fuzz(func(t *testing.T, log []byte) {
		r := holdlog.NewReader(bytes.NewReader(log)).Verify()
		h := hold.New()
		n := 0
		for {
			rec, err := r.Next()
			if errors.Is(err, io.EOF) {
				break
			}
			if err != nil {
				return
			}
			if n++; n > 2000 {
				return
			}
			h.Apply(rec)
		}
		st := h.State()
		if e := st.Estimate; e.Valid && (math.IsNaN(e.Rate.Value) || math.IsNaN(e.Rate.Lo) || math.IsNaN(e.Rate.Hi)) {
			t.Errorf("a valid estimate that is no number: %+v", e.Rate)
		}
		d := report.OfHold(report.HoldInput{File: "hold.jsonl", State: st, Integrity: r.Integrity()})
		var text, html bytes.Buffer
		if err := errors.Join(report.WriteText(&text, d), report.WriteHTML(&html, d)); err != nil {
			t.Fatal(err)
		}
		for _, c := range text.String() {
			if c < ' ' && c != '\n' || 0x7f <= c && c < 0xa0 {
				t.Fatalf("the text holds %U", c)
			}
		}
		if m := script.FindString(html.String()); m != "" || strings.Contains(html.String(), "\x1b") {
			t.Fatalf("the page holds %q", m)
		}
		if !utf8.Valid(html.Bytes()) || strings.Contains(html.String(), "NaN") {
			t.Error("the page holds what is no text or no number")
		}
	})
}
