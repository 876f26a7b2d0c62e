// Package profile reads what is known of one instrument from a TOML file, so
// that it need not be typed at every hold:
//
//	driver = "modbus"
//	port = "/dev/serial/by-id/usb-adapter-1"   # or a chip's name; or instead of it
//	usb = "1a86:7523"          # the adapter by its USB numbers,
//	usb_serial = "A50285BI"    # and serial number where it has one
//	baud = 19200
//	parity = "even"            # none, even or odd
//	unit_id = 7                # on a bus with several units
//	fields = "holding:0:float32=pressure_bar_abs"
//	command = "./gauge.sh"     # a program that prints lines
//	points = "4mA=0bar,20mA=25bar"  # of a transmitter behind a converter
//	scale = 1.0                # of the pressure's number
//	zero = "0.02bar"           # shown where there is no pressure; taken off
//	calibrated = "2026-03-01"  # when scale and zero were found
//	range = "25bar"            # full scale
//	accuracy = "0.25%FS"       # or "0.05bar"
//	drift = "0.1%FS"           # a year, as the data sheet states it; or "0.02bar"
//	zero_drift = "0.15%FS/10K" # of the zero with its temperature; or "4mbar/K"
//	stability = "0.5mbar/h"    # how steady it stays over hours, standard deviation
//	step = "1mbar"             # readable or digital step
//	temperature_step = "0.1C"
//	interval = "1s"            # between readings
//
// Only driver is required. Quantities are texts with their unit; values are SI
// once read. A key that is not of this list is an error with its line, for a
// misspelt step would otherwise make a wrong verdict in silence. Which keys a
// driver has a use for is for those to say who set it up. The package opens no
// device and knows no driver.
package profile

import (
	"errors"
	"fmt"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/BurntSushi/toml"

	"example.org/holdfast/drivers"
	"example.org/holdfast/internal/units"
)

// Profile is what a file says of one instrument. Zero = not said.
type Profile struct {
	Driver string
	Port   string
	Baud   int
	Fields string             // what the device gives, and where
	Scale  float64            // multiplies the pressure's number
	Zero   units.PressureDiff // shown where there is no pressure, Pa
	Spec   drivers.Spec

	USB        string             // the adapter's numbers, "vvvv:pppp", instead of a port
	USBSerial  string             // and its serial number
	Parity     string             // "none", "even", "odd"; "" = not said
	UnitID     int                // on a bus with several units
	Command    string             // a program that prints lines
	Points     string             // two points of a transmitter behind a converter
	Calibrated string             // day when scale and zero were found, as 2026-03-01
	Drift      units.PressureDiff // stated, in a year, Pa
	ZeroDrift  float64            // of the zero with its temperature, Pa/K
	Stability  units.PressureRate // how steady it stays over hours, standard deviation
}

// file is a profile as it is written.
type file struct {
	Driver          string  `toml:"driver"`
	Port            string  `toml:"port"`
	Baud            int     `toml:"baud"`
	Fields          string  `toml:"fields"`
	Scale           float64 `toml:"scale"`
	Zero            string  `toml:"zero"`
	Range           string  `toml:"range"`
	Accuracy        string  `toml:"accuracy"`
	Step            string  `toml:"step"`
	TemperatureStep string  `toml:"temperature_step"`
	Interval        string  `toml:"interval"`
	USB             string  `toml:"usb"`
	USBSerial       string  `toml:"usb_serial"`
	Parity          string  `toml:"parity"`
	UnitID          int     `toml:"unit_id"`
	Command         string  `toml:"command"`
	Points          string  `toml:"points"`
	Calibrated      string  `toml:"calibrated"`
	Drift           string  `toml:"drift"`
	ZeroDrift       string  `toml:"zero_drift"`
	Stability       string  `toml:"stability"`
}

// keys names them all, for messages.
const keys = "driver, port, usb, usb_serial, baud, parity, unit_id, fields, command, points, scale, zero, calibrated, " +
	"range, accuracy, drift, zero_drift, stability, step, temperature_step, interval"

// Load reads a profile file.
func Load(path string) (Profile, error) {
	text, err := os.ReadFile(path)
	if err != nil {
		return Profile{}, fmt.Errorf("profile: %w", err)
	}
	p, err := Parse(string(text))
	if err != nil {
		return Profile{}, fmt.Errorf("profile %q: %w", path, err)
	}
	return p, nil
}

// Parse reads the text of a profile file.
func Parse(text string) (Profile, error) {
	var f file
	meta, err := toml.Decode(text, &f)
	if err != nil {
		return Profile{}, syntax(err)
	}
	if unknown := meta.Undecoded(); len(unknown) > 0 {
		key := unknown[0]
		return Profile{}, at(text, key[0], fmt.Errorf("key %q is unknown: use %s", key.String(), keys))
	}
	return f.profile(text)
}

// syntax words the error of the TOML library, which names the line.
func syntax(err error) error {
	var parse toml.ParseError
	if errors.As(err, &parse) {
		return fmt.Errorf("line %d: %s", parse.Position.Line, parse.Message)
	}
	return err
}

func (f file) profile(text string) (Profile, error) {
	p := Profile{
		Driver: f.Driver, Port: f.Port, Baud: f.Baud, Fields: f.Fields, Scale: f.Scale, USB: f.USB, USBSerial: f.USBSerial,
		Parity: f.Parity, UnitID: f.UnitID, Command: f.Command, Points: f.Points, Calibrated: f.Calibrated,
	}
	if f.Driver == "" {
		return p, errors.New("no driver given: add a line such as driver = \"line\"")
	}
	if err := CheckBaud(f.Baud); f.Baud != 0 && err != nil {
		return p, at(text, "baud", err)
	}
	if err := CheckScale(f.Scale); f.Scale != 0 && err != nil {
		return p, at(text, "scale", err)
	}
	if err := f.identity(text); err != nil {
		return p, err
	}
	r := reader{text: text}
	p.Zero = read(&r, "zero", f.Zero, units.ParsePressureDiff)
	p.Spec.PressureRange = read(&r, "range", f.Range, positive(units.ParsePressureDiff))
	p.Spec.PressureStep = read(&r, "step", f.Step, positive(units.ParsePressureDiff))
	p.Spec.TemperatureStep = read(&r, "temperature_step", f.TemperatureStep, positive(units.ParseTempDiff))
	p.Spec.Interval = read(&r, "interval", f.Interval, ParseInterval).Seconds()
	p.Spec.PressureAccuracy = r.share("accuracy", f.Accuracy, p.Spec.PressureRange)
	p.Drift = r.share("drift", f.Drift, p.Spec.PressureRange)
	p.ZeroDrift = r.zeroDrift(f.ZeroDrift, p.Spec.PressureRange)
	p.Stability = read(&r, "stability", f.Stability, stability)
	return p, r.err
}

// What no instrument of this trade has; beyond is a slip, or a unit taken for another.
const (
	mostBaud      = 4_000_000
	mostScale     = 1e6
	leastInterval = time.Millisecond
)

// CheckBaud refuses what is no speed of a serial port.
func CheckBaud(baud int) error {
	if baud < 1 || baud > mostBaud {
		return fmt.Errorf("%d is no speed: give a number such as 115200", baud)
	}
	return nil
}

// CheckScale refuses what is no factor of a pressure.
func CheckScale(scale float64) error {
	if size := math.Abs(scale); !(size >= 1/mostScale && size <= mostScale) {
		return fmt.Errorf("%v is no factor: give a number such as 0.1", scale)
	}
	return nil
}

// ParseInterval reads the time between two readings.
func ParseInterval(s string) (time.Duration, error) {
	d, err := units.ParseDuration(s)
	if err == nil && d < leastInterval {
		err = fmt.Errorf("%q is no time between two readings: give one such as 2s", s)
	}
	return d, err
}

// identity checks what tells one port or unit from another, and the date.
func (f file) identity(text string) error {
	vendor, product, both := strings.Cut(f.USB, ":")
	switch {
	case f.USB != "" && (!both || !hex4(vendor) || !hex4(product)):
		return at(text, "usb", fmt.Errorf("%q is not of the form 1a86:7523", f.USB))
	case f.USB != "" && f.Port != "":
		return at(text, "usb", errors.New("port and usb exclude each other"))
	case f.USBSerial != "" && f.USB == "":
		return at(text, "usb_serial", errors.New("usb_serial needs usb beside it"))
	case !slices.Contains([]string{"", "none", "even", "odd"}, f.Parity):
		return at(text, "parity", fmt.Errorf("%q is none of none, even, odd", f.Parity))
	case f.UnitID < 0 || f.UnitID > 247:
		return at(text, "unit_id", fmt.Errorf("%d is none of 1 to 247", f.UnitID))
	}
	if _, err := time.Parse(time.DateOnly, f.Calibrated); f.Calibrated != "" && err != nil {
		return at(text, "calibrated", fmt.Errorf("%q is no day such as 2026-03-01", f.Calibrated))
	}
	return nil
}

func hex4(s string) bool {
	_, err := strconv.ParseUint(s, 16, 16)
	return err == nil && len(s) == 4
}

// reader keeps the first error of a row of values.
type reader struct {
	text string // of the file, for line numbers
	err  error
}

// share reads a pressure that may be a share of full scale.
func (r *reader) share(key, value string, span units.PressureDiff) units.PressureDiff {
	stated := read(r, key, value, units.ParseAccuracy)
	if stated.FullScale > 0 && span == 0 && r.err == nil {
		r.err = at(r.text, key, errors.New("a share of full scale needs the range"))
	}
	return stated.Of(span)
}

// zeroDrift reads how the zero moves with the temperature, as data sheets write
// it: "0.15%FS/10K", "4mbar/K".
func (r *reader) zeroDrift(value string, span units.PressureDiff) float64 {
	if value == "" || r.err != nil {
		return 0
	}
	moves, kelvin, _ := strings.Cut(value, "/")
	k, unit, err := units.ParseNumber(kelvin)
	if kelvin == "K" {
		k, unit, err = 1, "K", nil
	}
	if err != nil || unit != "K" || !(k >= 0.01 && k <= 1000) {
		r.err = at(r.text, "zero_drift", fmt.Errorf("%q is not a pressure for so many kelvin, such as 0.15%%FS/10K or 4mbar/K", value))
		return 0
	}
	return float64(r.share("zero_drift", moves, span)) / k
}

// stability reads a rate of pressure above zero.
func stability(s string) (units.PressureRate, error) {
	rate, err := units.ParseRate(s)
	if err != nil {
		return 0, err
	}
	if rate.Kind != units.PressurePerTime {
		return 0, fmt.Errorf("%q is no change of pressure in a time, such as 0.5mbar/h", s)
	}
	return units.PressureRate(rate.Value), nil
}

// read parses the value of a key; "" = not said.
func read[T any](r *reader, key, value string, parse func(string) (T, error)) T {
	var none T
	if value == "" || r.err != nil {
		return none
	}
	v, err := parse(value)
	if err != nil {
		r.err = at(r.text, key, err)
		return none
	}
	return v
}

// positive makes a parser refuse what is not above zero.
func positive[T ~float64 | ~int64](parse func(string) (T, error)) func(string) (T, error) {
	return func(s string) (T, error) {
		v, err := parse(s)
		if err == nil && v <= 0 {
			err = fmt.Errorf("%q is not above zero", s)
		}
		return v, err
	}
}

// at puts the line of a key before an error.
func at(text, key string, err error) error {
	for i, line := range strings.Split(text, "\n") {
		name, _, found := strings.Cut(line, "=")
		name = strings.Trim(strings.TrimSpace(name), `"'[]`)
		if top, _, _ := strings.Cut(name, "."); top == key && (found || strings.HasPrefix(strings.TrimSpace(line), "[")) {
			return fmt.Errorf("line %d: %s: %w", i+1, key, err)
		}
	}
	return fmt.Errorf("%s: %w", key, err)
}
