package kernel

import (
	"fmt"
	"io/fs"
	"strings"

	"example.org/holdfast/internal/units"
)

// NewHwmon sets up a monitoring chip: temperatures, and voltages and currents of
// transmitters.
func NewHwmon(cfg Config) (*Chip, error) { return newChip(hwmonBus(), cfg) }

func hwmonBus() bus {
	return bus{
		name: "hwmon", folder: "class/hwmon",
		is: func(entry string) bool { return strings.HasPrefix(entry, "hwmon") },
		key: func(q units.Quantity) string {
			if q == units.AmbientQuantity || q == units.SectionQuantity {
				return "temp1"
			}
			return ""
		},
		measure: readHwmon,
	}
}

// readHwmon reads a channel such as temp1, in0 or curr1.
func readHwmon(dir fs.FS, key string) measure {
	m := measure{}
	switch {
	case strings.HasPrefix(key, "temp"):
		m.kind = temperature
	case strings.HasPrefix(key, "in"):
		m.kind = voltage
	case strings.HasPrefix(key, "curr"):
		m.kind = current
	default:
		m.err = fault("is none of temp1, in0, curr1 and so on")
		return m
	}
	v, text, err := readNumber(dir, key+"_input")
	m.words, m.err = fmt.Sprintf("%s=%s", key, text), err
	if err != nil {
		return m
	}
	if broken, _, err := readNumber(dir, key+"_fault"); err == nil && broken != 0 {
		m.err = fault("the chip says that its sensor is open or short")
	}
	m.value = v / 1000
	if m.kind == temperature {
		m.value = float64(units.FromCelsius(v / 1000))
	}
	return m
}
