package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"example.org/holdfast/drivers"
	"example.org/holdfast/internal/profile"
	"example.org/holdfast/internal/trial"
	"example.org/holdfast/internal/units"
)

type calibrateCmd struct {
	Profile   string `arg:"" help:"The profile (TOML) of the sensor; zero and scale are written into it."`
	For       string `default:"5s" help:"How long each point is read."`
	Barometer string `placeholder:"101.3kPa" help:"Air pressure here, for an absolute sensor; else it asks."`
}

func (c *calibrateCmd) run(a *app) (int, error) {
	p, err := profile.Load(c.Profile)
	if err != nil {
		return exitIO, err
	}
	var air units.Absolute
	if c.Barometer != "" {
		if air, err = units.ParseBarometer(c.Barometer); err != nil {
			return exitUsage, usage("", "--barometer: %w", err)
		}
	}
	var long float64
	if err := seconds("for", c.For, &long); err != nil {
		return exitUsage, err
	}
	raw := p
	raw.Scale, raw.Zero = 0, 0
	instruments, err := buildDevices([]profile.Profile{raw}, deviceOptions{})
	if err != nil {
		return exitUsage, err
	}
	m := &meter{long: time.Duration(long * float64(time.Second)), spec: raw.Spec}
	if err := m.open(instruments[0]); err != nil {
		return exitIO, err
	}
	defer m.close()
	cal, err := a.points(m, air)
	if err != nil {
		return exitIO, err
	}
	return exitOK, a.keepCalibration(c.Profile, cal)
}

// asker asks a person for a line of text.
type asker struct {
	out   io.Writer
	lines *bufio.Scanner
}

func (q asker) ask(words string) (string, error) {
	fmt.Fprint(q.out, words)
	if !q.lines.Scan() {
		return "", trouble(errors.Join(io.ErrUnexpectedEOF, q.lines.Err()), "Nothing was changed.")
	}
	return strings.TrimSpace(q.lines.Text()), nil
}

// air is the air pressure around an absolute sensor, asked for where it is not known.
func (q asker) air(known units.Absolute) (units.Absolute, error) {
	if known != 0 {
		return known, nil
	}
	text, err := q.ask("An absolute sensor has no zero of its own here. The air pressure, from a barometer or the weather service for this height, such as 1002 mbar: ")
	if err != nil {
		return 0, err
	}
	air, err := units.ParseBarometer(text)
	if err != nil {
		return 0, usage("Nothing was changed.", "%w", err)
	}
	return air, nil
}

// points leads through zero and second point.
func (a *app) points(m *meter, air units.Absolute) (cal drivers.Calibration, err error) {
	q := asker{a.out, bufio.NewScanner(a.in)}
	if _, err = q.ask("Zero. Open the gauge to the air, wait until it stands still, press Enter. "); err != nil {
		return cal, err
	}
	low, ref, err := m.measure()
	if err != nil {
		return cal, err
	}
	truth := 0.0
	if ref == units.AbsoluteRef {
		if air, err = q.air(air); err != nil {
			return cal, err
		}
		truth = float64(air)
	}
	fmt.Fprintf(a.out, "reads %s\n", units.FormatPressureFine(low, "bar"))
	text, err := q.ask("Second point. Fill to a known pressure below every ceiling, and type what the reference shows, such as 10.00 bar.\n" +
		"Enter alone leaves the scale as it is. ")
	if err != nil {
		return cal, err
	}
	if text == "" {
		return drivers.Calibration{Scale: 1, Zero: units.PressureDiff(low - truth)}, nil
	}
	known, err := units.ParsePressure(text, "")
	if err != nil {
		return cal, usage("Nothing was changed.", "%w", err)
	}
	high, _, err := m.measure()
	if err != nil {
		return cal, err
	}
	fmt.Fprintf(a.out, "reads %s\n", units.FormatPressureFine(high, "bar"))
	return twoPoints(low, high, truth, against(known, ref, air))
}

// against gives a known pressure in the sensor's own reference, in Pa.
func against(p units.Pressure, ref units.Reference, air units.Absolute) float64 {
	if air == 0 {
		air = 101325 // standard atmosphere: only a gauge sensor comes without a barometer
	}
	if ref == units.AbsoluteRef {
		return float64(p.Abs(air))
	}
	return float64(p.Abs(air) - air)
}

// The most that a calibration may change. More is a wrong unit or range, or a wrong reading of the
// reference. Common practice, no source.
const (
	leastScale, mostScale = 0.9, 1.1
	leastSpan             = 1e5 // Pa between the points
)

// twoPoints finds the line through what the sensor read and what it should have, all in Pa.
func twoPoints(low, high, trueLow, trueHigh float64) (drivers.Calibration, error) {
	if trueHigh-trueLow < leastSpan {
		return drivers.Calibration{}, usage("Nothing was changed.", "the second point must be at least %s above the first", units.FormatPressure(leastSpan, "bar"))
	}
	scale := (trueHigh - trueLow) / (high - low)
	if !(scale >= leastScale && scale <= mostScale) {
		return drivers.Calibration{}, usage("Check the unit in the fields, the range, and what the reference shows. Nothing was changed.",
			"a scale of %.3g is no calibration: something else is wrong", scale)
	}
	return drivers.Calibration{Scale: scale, Zero: units.PressureDiff(scale*low - trueLow)}, nil
}

// keepCalibration writes scale and zero into the profile.
func (a *app) keepCalibration(path string, cal drivers.Calibration) error {
	cal.Scale = math.Round(cal.Scale*1e6) / 1e6
	cal.Zero = units.PressureDiff(math.Round(float64(cal.Zero)*10) / 10)
	text, err := os.ReadFile(path)
	if err != nil {
		return err
	}
	day := a.now().Format(time.DateOnly)
	after, err := profile.WithCalibration(string(text), cal.Scale, cal.Zero, day)
	if err != nil {
		return err
	}
	if err := replaceFile(path, after); err != nil {
		return err
	}
	fmt.Fprintf(a.out, "zero %s, scale %s, %s: kept in %s, and in the log of every hold with it\n",
		units.FormatPressureFine(float64(cal.Zero), "bar"), units.FormatNumber(cal.Scale), day, path)
	return nil
}

// replaceFile changes a file so that at any moment it holds the old text or the new one.
func replaceFile(path, text string) error {
	info, err := os.Stat(path)
	if err != nil {
		return err
	}
	f, err := os.CreateTemp(filepath.Dir(path), ".profile-*")
	if err != nil {
		return err
	}
	defer os.Remove(f.Name()) // is gone already if all went well
	_, err = f.WriteString(text)
	if err := errors.Join(err, f.Chmod(info.Mode().Perm()), f.Sync(), f.Close()); err != nil {
		return err
	}
	return os.Rename(f.Name(), path)
}

// meter reads a device all the time, so that what is measured is of now.
type meter struct {
	long   time.Duration
	spec   drivers.Spec
	src    drivers.Source
	cancel context.CancelFunc
	ended  chan struct{}

	mu    sync.Mutex
	heard []trial.Heard
	err   error
}

func (m *meter) open(ins instrument) (err error) {
	var ctx context.Context
	ctx, m.cancel = context.WithCancel(context.Background())
	if m.src, err = ins.device.Open(ctx); err != nil {
		m.cancel()
		return err
	}
	m.ended = make(chan struct{})
	go m.read(ctx)
	return nil
}

func (m *meter) read(ctx context.Context) {
	defer close(m.ended)
	for begin := time.Now(); ; {
		r, err := m.src.Read(ctx)
		m.mu.Lock()
		if err != nil {
			m.err = err
			m.mu.Unlock()
			return
		}
		m.heard = append(m.heard, trial.Heard{At: time.Since(begin).Seconds(), Reading: r})
		m.mu.Unlock()
	}
}

func (m *meter) close() {
	m.cancel()
	<-m.ended
	m.src.Close()
}

// measure gives the mean pressure of some seconds; a reading that is not still is refused.
func (m *meter) measure() (pa float64, ref units.Reference, err error) {
	m.mu.Lock()
	m.heard = nil
	m.mu.Unlock()
	time.Sleep(m.long)
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.err != nil {
		return 0, 0, m.err
	}
	r := trial.Look(m.heard, trial.Setup{Spec: m.spec})
	for _, f := range r.Findings {
		if f.Bad {
			return 0, 0, trouble(errors.New(f.Words), "Nothing was changed; put that right and begin anew.")
		}
	}
	if math.IsNaN(r.Mean) {
		return 0, 0, trouble(errors.New("no pressure came"), "Nothing was changed.")
	}
	return r.Mean, r.Last.Ref, nil
}
