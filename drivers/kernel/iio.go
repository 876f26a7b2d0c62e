package kernel

import (
	"errors"
	"fmt"
	"io/fs"
	"strings"

	"example.org/holdfast/internal/units"
)

// NewIIO sets up a device of industrial I/O: a pressure sensor, as gauge or as
// barometer, its thermometer, or a converter with a transmitter behind it.
func NewIIO(cfg Config) (*Chip, error) { return newChip(iioBus(), cfg) }

func iioBus() bus {
	return bus{
		name: "iio", folder: "bus/iio/devices",
		is: func(entry string) bool { return strings.HasPrefix(entry, "iio:device") },
		key: func(q units.Quantity) string {
			if q == units.PressureQuantity || q == units.BarometerQuantity {
				return "pressure"
			}
			return "temp"
		},
		measure: readIIO,
	}
}

// readIIO reads a channel such as pressure, temp, voltage0 or current1.
func readIIO(dir fs.FS, key string) measure {
	m := measure{}
	scale := 1.0 // of the kernel's unit in SI
	switch {
	case strings.HasPrefix(key, "pressure"):
		m.kind, scale = pressure, 1000
	case strings.HasPrefix(key, "temp"):
		m.kind, scale = temperature, 0.001
	case strings.HasPrefix(key, "voltage"):
		m.kind, scale = voltage, 0.001
	case strings.HasPrefix(key, "current"):
		m.kind, scale = current, 0.001
	default:
		m.err = fault("is none of pressure, temp, voltage0, current0 and so on")
		return m
	}
	v, text, err := processed(dir, key)
	m.words, m.err = fmt.Sprintf("%s=%s", key, text), err
	m.value = v * scale
	if m.kind == temperature {
		m.value = float64(units.FromCelsius(v * scale))
	}
	return m
}

// processed gives the value in the kernel's unit: _input, or (raw + offset) * scale.
func processed(dir fs.FS, key string) (v float64, text string, err error) {
	v, text, err = readNumber(dir, "in_"+key+"_input")
	if err == nil || !errors.Is(err, fs.ErrNotExist) {
		return v, text, err
	}
	raw, text, err := readNumber(dir, "in_"+key+"_raw")
	if err != nil {
		return 0, text, err
	}
	scale, err := attribute(dir, key, "scale", 1)
	if err != nil {
		return 0, text, err
	}
	offset, err := attribute(dir, key, "offset", 0)
	return (raw + offset) * scale, text, err
}

// attribute reads a channel's own attribute, or that of all channels of its
// type: in_voltage0_scale, then in_voltage_scale.
func attribute(dir fs.FS, key, name string, otherwise float64) (float64, error) {
	kind := key[:len(key)-len(strings.TrimLeft(key, "abcdefghijklmnopqrstuvwxyz"))]
	for _, k := range []string{key, kind} {
		v, _, err := readNumber(dir, "in_"+k+"_"+name)
		if !errors.Is(err, fs.ErrNotExist) {
			return v, err
		}
	}
	return otherwise, nil
}
