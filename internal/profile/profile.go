// Package profile reads what is known of one instrument from a TOML file, so
// that it need not be typed at every hold:
//
//	driver = "line"
//	port = "/dev/serial/by-id/usb-gauge-1"
//	baud = 115200
//	fields = "pressure_bar_abs,ambient_c"
//	scale = 1.0                # of the pressure's number
//	zero = "0.02bar"           # shown where there is no pressure; taken off
//	range = "25bar"            # full scale
//	accuracy = "0.25%FS"       # or "0.05bar"
//	step = "1mbar"             # readable or digital step
//	temperature_step = "0.1C"
//	interval = "1s"            # between readings
//
// Only driver is required. Quantities are texts with their unit; values are SI
// once read. A key that is not of this list is an error with its line, for a
// misspelt step would otherwise make a wrong verdict in silence. The package
// opens no device and knows no driver.
package profile

import (
	"errors"
	"fmt"
	"math"
	"os"
	"strings"

	"github.com/BurntSushi/toml"

	"example.org/holdfast/drivers"
	"example.org/holdfast/internal/units"
)

// Profile is what a file says of one instrument. Zero = not said.
type Profile struct {
	Driver string
	Port   string
	Baud   int
	Fields string             // columns of a line
	Scale  float64            // multiplies the pressure's number
	Zero   units.PressureDiff // shown where there is no pressure, Pa
	Spec   drivers.Spec
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
}

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
		return Profile{}, at(text, key[0], fmt.Errorf("key %q is unknown: use driver, port, baud, fields, scale, zero, range, accuracy, step, temperature_step, interval", key.String()))
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
	p := Profile{Driver: f.Driver, Port: f.Port, Baud: f.Baud, Fields: f.Fields, Scale: f.Scale}
	if f.Driver == "" {
		return p, errors.New("no driver given: add a line such as driver = \"line\"")
	}
	if f.Baud < 0 {
		return p, at(text, "baud", fmt.Errorf("baud rate %d is below zero", f.Baud))
	}
	if math.IsNaN(f.Scale) || math.IsInf(f.Scale, 0) {
		return p, at(text, "scale", errors.New("scale is not a finite number"))
	}
	r := reader{text: text}
	p.Zero = read(&r, "zero", f.Zero, units.ParsePressureDiff)
	p.Spec.PressureRange = read(&r, "range", f.Range, positive(units.ParsePressureDiff))
	p.Spec.PressureStep = read(&r, "step", f.Step, positive(units.ParsePressureDiff))
	p.Spec.TemperatureStep = read(&r, "temperature_step", f.TemperatureStep, positive(units.ParseTempDiff))
	p.Spec.Interval = read(&r, "interval", f.Interval, positive(units.ParseDuration)).Seconds()
	stated := read(&r, "accuracy", f.Accuracy, units.ParseAccuracy)
	p.Spec.PressureAccuracy = stated.Of(p.Spec.PressureRange)
	if stated.FullScale > 0 && p.Spec.PressureRange == 0 && r.err == nil {
		r.err = at(text, "accuracy", errors.New("a share of full scale needs the range"))
	}
	return p, r.err
}

// reader keeps the first error of a row of values.
type reader struct {
	text string // of the file, for line numbers
	err  error
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
