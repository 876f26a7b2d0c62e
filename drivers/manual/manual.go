// Package manual is the instrument for a gauge without a plug: a person reads
// the needle and types the number. The screen, or a plain line reader, hands
// the text in; Enter says how it was understood, Submit makes it a reading.
//
// A typed value that cannot be is refused on the spot, unlike with instruments
// that cannot be asked again. Values are SI; bare pressures take the unit of
// the one before, and pressures without a suffix are gauge.
package manual

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"math"
	"strings"
	"sync"
	"time"
	"unicode"

	"example.org/holdfast/drivers"
	"example.org/holdfast/internal/units"
)

// Config describes the gauge and the thermometer that the person reads.
type Config struct {
	Unit            string             // of the first bare pressure; "" = bar
	TemperatureUnit string             // of bare temperatures: C, F or K; "" = C
	Vacuum          bool               // a vacuum gauge: what is not below zero is absolute, whatever its unit usually means
	OnPart          bool               // the thermometer sits on the part, not in the room
	PressureStep    units.PressureDiff // readable step of the gauge; 0 = taken from the decimals typed
	TemperatureStep units.TempDiff     // readable step of the thermometer; 0 = unknown
	AskEvery        time.Duration      // how often a reading is wanted; 0 = whenever
}

// Manual takes typed readings. Its methods may be called from any goroutine.
type Manual struct {
	cfg Config

	mu       sync.Mutex
	unit     string    // of bare pressures, canonical
	decimals int       // most seen in that unit; -1 = none seen
	last     time.Time // of the last reading; zero = none yet
	lastP    float64   // Pa, its pressure against lastRef; 0 = none yet
	lastRef  units.Reference
	held     string // the text that Try held back; "" = none
	queue    []drivers.Reading
	ended    bool
	entered  entry         // the last text that was understood, until it is submitted
	more     chan struct{} // has an element when queue or ended changed
}

// entry is what Submit has to remember of a text.
type entry struct {
	raw      string
	unit     string
	decimals int
}

// New checks the units of the configuration.
func New(cfg Config) (*Manual, error) {
	if cfg.Unit == "" {
		cfg.Unit = "bar"
	}
	_, _, unit, err := units.PressureUnit(cfg.Unit)
	if err != nil {
		return nil, fmt.Errorf("manual: %w", err)
	}
	if cfg.TemperatureUnit == "" {
		cfg.TemperatureUnit = "C"
	}
	if _, err := units.ParseTemperature("300", cfg.TemperatureUnit); err != nil {
		return nil, fmt.Errorf("manual: %w", err)
	}
	if cfg.AskEvery < 0 {
		return nil, fmt.Errorf("manual: a reading every %v", cfg.AskEvery)
	}
	return &Manual{cfg: cfg, unit: unit, decimals: -1, more: make(chan struct{}, 1)}, nil
}

// Spec is what the configuration says of the instruments.
func (m *Manual) Spec() drivers.Spec {
	return drivers.Spec{PressureStep: m.cfg.PressureStep, TemperatureStep: m.cfg.TemperatureStep, Interval: m.cfg.AskEvery.Seconds()}
}

// Unit is the unit that a bare pressure takes now.
func (m *Manual) Unit() string {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.unit
}

// Enter reads a text such as "19,8bar", "290 psi 70F", "19.8 21.5" or "21.5C"
// and says how: "read as 19.80 bar gauge, 21.5 C". It changes nothing until
// the reading is submitted, so that a screen may call it at every key.
func (m *Manual) Enter(text string) (r drivers.Reading, echo string, err error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	pressure, temperature, err := m.sort(quantities(text))
	if err != nil {
		return drivers.Empty(), "", err
	}
	r = drivers.Empty()
	r.Raw = printable(text)
	e := entry{raw: r.Raw, unit: m.unit, decimals: m.decimals}
	var said []string
	if pressure != "" {
		p, err := m.pressure(pressure)
		if err != nil {
			return drivers.Empty(), "", err
		}
		r.Pressure, r.Ref = p.Pa, p.Ref
		e.note(p.Unit, pressure)
		r.Step = m.step(e)
		said = append(said, p.String())
	}
	if temperature != "" {
		t, err := m.temperature(temperature)
		if err != nil {
			return drivers.Empty(), "", err
		}
		if m.cfg.OnPart {
			r.Section = t
		} else {
			r.Ambient = t
		}
		said = append(said, units.FormatTemperature(t, temperatureUnit(temperature, m.cfg.TemperatureUnit)))
	}
	m.entered = e
	echo = "read as " + strings.Join(said, ", ")
	if slip := m.slip(r); slip != "" {
		echo += ": " + slip
	}
	return r, echo, nil
}

// Bounds of what is believed when typed. Common practice, no source: far
// outside of any refrigeration work, so that only a wrong unit or a slip is refused.
const (
	highestPressure = 1e8 // Pa; 1000 bar
	coldest         = 200 // K
	hottest         = 400 // K
)

func (m *Manual) pressure(text string) (units.Pressure, error) {
	p, err := units.ParsePressure(text, m.unit)
	if err == nil && p.Pa > highestPressure {
		err = fmt.Errorf("pressure %q is beyond any gauge: check the unit", text)
	}
	if m.cfg.Vacuum && p.Pa >= 0 {
		p.Ref = units.AbsoluteRef
	}
	return p, err
}

func (m *Manual) temperature(text string) (units.Temperature, error) {
	t, err := units.ParseTemperature(text, m.cfg.TemperatureUnit)
	if err == nil && (t < coldest || t > hottest) {
		err = fmt.Errorf("temperature %q is not one of a room or a part: check the unit", text)
	}
	return t, err
}

// temperatureUnit gives the unit written behind a temperature, else the default.
func temperatureUnit(text, def string) string {
	if _, unit, err := units.ParseNumber(text); err == nil && unit != "" {
		return unit
	}
	return def
}

// quantities cuts a text into numbers with their units. Semicolons and white
// space separate, and so does a comma that no digit follows.
func quantities(text string) []string {
	var q []string
	for _, word := range strings.FieldsFunc(text, func(r rune) bool { return unicode.IsSpace(r) || r == ';' }) {
		word = strings.TrimSuffix(word, ",")
		switch last := len(q) - 1; {
		case word == "":
		case last >= 0 && !startsNumber(word):
			q[last] += " " + word
		default:
			q = append(q, word)
		}
	}
	return q
}

func startsNumber(word string) bool {
	return strings.ContainsAny(word[:1], "0123456789+-.,") || strings.HasPrefix(word, "\u2212")
}

// sort tells the pressure from the temperature: by their units, else the pressure comes first.
func (m *Manual) sort(q []string) (pressure, temperature string, err error) {
	switch len(q) {
	case 0:
		return "", "", fmt.Errorf("nothing typed: write a pressure such as \"19.8 bar\", and the temperature behind it if there is one")
	case 1:
		if isTemperature(q[0]) {
			return "", q[0], nil
		}
		return q[0], "", nil
	case 2:
		if isTemperature(q[0]) {
			return q[1], q[0], nil
		}
		return q[0], q[1], nil
	}
	return "", "", fmt.Errorf("%d numbers typed: write one pressure, and one temperature behind it if there is one", len(q))
}

func isTemperature(text string) bool {
	_, err := units.ParseTemperature(text, "")
	return err == nil
}

// note keeps the unit and how finely the needle was read.
func (e *entry) note(unit, text string) {
	if unit != e.unit {
		e.unit, e.decimals = unit, -1
	}
	number := strings.TrimLeft(text, "+-\u2212")
	if end := strings.IndexFunc(number, func(r rune) bool { return !unicode.IsDigit(r) && r != '.' && r != ',' }); end >= 0 {
		number = number[:end]
	}
	decimals := 0
	if point := strings.IndexAny(number, ".,"); point >= 0 {
		decimals = len(number) - point - 1
	}
	e.decimals = max(e.decimals, decimals)
}

// step is the readable step that the decimals typed so far show, in pascal.
// 20 after 19.8 is read to a tenth; a first 20 is not known to be. 0 = as configured.
func (m *Manual) step(e entry) units.PressureDiff {
	pa, _, _, err := units.PressureUnit(e.unit)
	if m.cfg.PressureStep > 0 || err != nil {
		return 0
	}
	return units.PressureDiff(pa * math.Pow10(-e.decimals))
}

// Submit makes r, from Enter, the next reading of the Source; now is the
// moment it was read, for the next one to fall due.
func (m *Manual) Submit(r drivers.Reading, now time.Time) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.ended {
		return
	}
	if m.entered.raw == r.Raw && r.HasPressure() {
		m.unit, m.decimals = m.entered.unit, m.entered.decimals
	}
	m.last = now
	if r.HasPressure() {
		m.lastP, m.lastRef = r.Pressure, r.Ref
	}
	m.queue = append(m.queue, r)
	m.wake()
}

// Try enters and submits a text that is finished. One that looks like a slip is
// refused once, with the reason; typed again it counts.
func (m *Manual) Try(text string, now time.Time) (echo string, err error) {
	r, echo, err := m.Enter(text)
	if err != nil {
		return "", err
	}
	m.mu.Lock()
	slip, again := m.slip(r), m.held == r.Raw
	m.held = ""
	if slip != "" && !again {
		m.held = r.Raw
	}
	m.mu.Unlock()
	if slip != "" && !again {
		return "", fmt.Errorf("%q is %s; if it is right, type it once more", r.Raw, slip)
	}
	m.Submit(r, now)
	return echo, nil
}

// Due gives how long it is until the next reading is wanted; 0 or less = now.
// Without AskEvery nothing ever falls due (false).
func (m *Manual) Due(now time.Time) (in time.Duration, asks bool) {
	m.mu.Lock()
	defer m.mu.Unlock()
	switch {
	case m.cfg.AskEvery == 0 || m.ended:
		return 0, false
	case m.last.IsZero():
		return 0, true
	}
	return m.last.Add(m.cfg.AskEvery).Sub(now), true
}

// End says that nothing more will be typed: the Source ends with io.EOF after what is in line.
func (m *Manual) End() {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.ended = true
	m.wake()
}

func (m *Manual) wake() {
	select {
	case m.more <- struct{}{}:
	default:
	}
}

// Feed takes readings from plain lines until r ends, and then ends the
// Source. Each line is answered through say: the echo, or why it was refused.
func (m *Manual) Feed(r io.Reader, now func() time.Time, say func(echo string, err error)) error {
	defer m.End()
	lines := bufio.NewScanner(r)
	for lines.Scan() {
		if strings.TrimSpace(lines.Text()) == "" {
			continue
		}
		say(m.Try(lines.Text(), now()))
	}
	return lines.Err()
}

// Open gives the Source of what is submitted. One Source at a time reads.
func (m *Manual) Open(context.Context) (drivers.Source, error) {
	return &source{m: m, closed: make(chan struct{})}, nil
}

type source struct {
	m      *Manual
	closed chan struct{}
	once   sync.Once
}

func (s *source) Read(ctx context.Context) (drivers.Reading, error) {
	for {
		if r, ok, err := s.m.next(); ok || err != nil {
			return r, err
		}
		select {
		case <-ctx.Done():
			return drivers.Reading{}, ctx.Err()
		case <-s.closed:
			return drivers.Reading{}, fmt.Errorf("manual: closed: %w", io.ErrClosedPipe)
		case <-s.m.more:
		}
	}
}

func (s *source) Close() error {
	s.once.Do(func() { close(s.closed) })
	return nil
}

// next takes the reading that is first in line.
func (m *Manual) next() (r drivers.Reading, ok bool, err error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if len(m.queue) > 0 {
		r, m.queue = m.queue[0], m.queue[1:]
		return r, true, nil
	}
	if m.ended {
		return r, false, io.EOF
	}
	return r, false, nil
}

// printable is the text without what could disturb a screen.
func printable(text string) string {
	return strings.TrimSpace(strings.Map(func(r rune) rune {
		switch {
		case r == '\t':
			return ' '
		case !unicode.IsPrint(r) || r == unicode.ReplacementChar:
			return -1
		}
		return r
	}, text))
}
