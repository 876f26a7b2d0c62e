package serve

import (
	"bytes"
	"fmt"
	"strconv"
	"strings"

	"example.org/holdfast/internal/hold"
)

// metric is one family of the text format: all its samples stand together.
type metric struct {
	name, kind, help string
	of               func(st *hold.State, now float64) (v float64, known bool)
}

func gauge(name, help string, of func(st *hold.State, now float64) (float64, bool)) metric {
	return metric{name, "gauge", help, of}
}

// metrics are all there are, apart from the verdict, which has a label of its own.
func metrics() []metric {
	rate := func(of func(st *hold.State) float64) func(*hold.State, float64) (float64, bool) {
		return func(st *hold.State, _ float64) (float64, bool) { return of(st), st.Estimate.Valid }
	}
	return []metric{
		gauge("holdfast_pressure_pascals", "Last reading, absolute.",
			func(st *hold.State, _ float64) (float64, bool) { return float64(st.Pressure), st.HasPressure }),
		gauge("holdfast_ambient_celsius", "Last reading of the room thermometer.",
			func(st *hold.State, _ float64) (float64, bool) { return st.Ambient.Celsius(), st.HasAmbient }),
		gauge("holdfast_section_celsius", "Last reading of the thermometer on the part.",
			func(st *hold.State, _ float64) (float64, bool) { return st.Section.Celsius(), st.HasSection }),
		gauge("holdfast_leak_pascals_per_second", "Loss of pressure by the leak alone, at the start pressure; positive = loss.",
			rate(func(st *hold.State) float64 { return st.Estimate.Rate.Value })),
		gauge("holdfast_leak_lower_pascals_per_second", "Lower end of the 95 % interval of the leak.",
			rate(func(st *hold.State) float64 { return st.Estimate.Rate.Lo })),
		gauge("holdfast_leak_upper_pascals_per_second", "Upper end of the 95 % interval of the leak: what could still hide.",
			rate(func(st *hold.State) float64 { return st.Estimate.Rate.Hi })),
		gauge("holdfast_limit_pascals_per_second", "Acceptance limit.",
			func(st *hold.State, _ float64) (float64, bool) { return st.LimitRate, st.LimitRate > 0 }),
		gauge("holdfast_reading_age_seconds", "Time since the last reading.",
			func(st *hold.State, now float64) (float64, bool) { return age(st, now), st.HasPressure }),
		gauge("holdfast_stale", "1 if readings should have come and did not.",
			func(st *hold.State, now float64) (float64, bool) { return oneIf(stale(st, now)), true }),
		gauge("holdfast_left_seconds", "Time left of the hold; 0 = over.",
			func(st *hold.State, _ float64) (float64, bool) { return st.Left, st.Segment > 0 }),
		{"holdfast_readings_total", "counter", "Readings used.",
			func(st *hold.State, _ float64) (float64, bool) { return float64(st.Samples), true }},
		{"holdfast_readings_rejected_total", "counter", "Readings that could not be used.",
			func(st *hold.State, _ float64) (float64, bool) { return float64(st.Rejected), true }},
	}
}

func oneIf(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

func (s *Server) metricsReply() reply {
	var b bytes.Buffer
	for _, m := range metrics() {
		fmt.Fprintf(&b, "# HELP %s %s\n# TYPE %s %s\n", m.name, m.help, m.name, m.kind)
		s.eachHold(func(label string, st *hold.State, now float64) {
			if v, known := m.of(st, now); known {
				fmt.Fprintf(&b, "%s{%s} %s\n", m.name, label, strconv.FormatFloat(v, 'g', -1, 64))
			}
		})
	}
	fmt.Fprint(&b, "# HELP holdfast_verdict 1 for the word that holds now.\n# TYPE holdfast_verdict gauge\n")
	s.eachHold(func(label string, st *hold.State, _ float64) {
		for _, word := range []string{"tight", "leaking", "unproven"} {
			fmt.Fprintf(&b, "holdfast_verdict{%s,word=%q} %g\n", label, word, oneIf(string(st.Verdict.Word) == word))
		}
	})
	return reply{200, "text/plain; version=0.0.4; charset=utf-8", b.Bytes()}
}

// eachHold calls f with the label that tells a hold from the others.
func (s *Server) eachHold(f func(label string, st *hold.State, now float64)) {
	for i, feed := range s.feeds {
		st := feed.State()
		if st == nil {
			continue
		}
		escape := strings.NewReplacer(`\`, `\\`, "\n", `\n`, `"`, `\"`) // all that a label value needs
		f(fmt.Sprintf(`hold="%d",section="%s"`, i+1, escape.Replace(st.Header.Settings.Section)), st, feed.Now())
	}
}
