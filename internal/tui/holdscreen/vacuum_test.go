package holdscreen

import (
	"math"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/units"
)

// vacuumState is a wet section an hour and a half after the pump was shut off.
func vacuumState() *hold.State {
	h := hold.New()
	h.Apply(holdlog.Record{Kind: holdlog.KindHeader, Header: &holdlog.Header{Settings: holdlog.Settings{Kind: "vacuum", Accept: "anz-deep", Section: "cooler"}}})
	for at := 0.0; at <= 5700; at += 10 {
		p := 40 + 90e3*math.Exp(-at/40)
		if at > 300 {
			p = 40 - 2300*math.Expm1(-(at-300)/900)
		}
		s := holdlog.NoSample()
		s.Pressure, s.Ref, s.Ambient = p, units.AbsoluteRef, units.FromCelsius(20)
		h.Apply(holdlog.Record{Kind: holdlog.KindSample, Elapsed: at, Sample: s})
	}
	return h.State()
}

func TestAVacuumHoldSpeaksOfVacuum(t *testing.T) {
	m := New(feedOf(vacuumState(), 1), Actions{Close: func() {}}, Options{})
	m.Update(tea.WindowSizeMsg{Width: 120, Height: 40})
	view := m.View()
	for _, word := range []string{"vacuum", "pumping down", "Pa", "abs", "steady rise", "accepted", "water", "valve closed"} {
		if !strings.Contains(view, word) {
			t.Errorf("%q is missing:\n%s", word, view)
		}
	}
	for _, word := range []string{"nitrogen,", "filling", "could hide", "gauge", "corrected"} {
		if strings.Contains(view, word) {
			t.Errorf("%q belongs to a hold under pressure:\n%s", word, view)
		}
	}
}
