package kernel

import (
	"errors"
	"io/fs"
	"slices"
	"strconv"
	"strings"

	"example.org/holdfast/internal/units"
)

// NewW1 sets up a 1-wire thermometer.
func NewW1(cfg Config) (*Chip, error) { return newChip(w1Bus(), cfg) }

func w1Bus() bus {
	return bus{
		name: "w1", folder: "bus/w1/devices", is: isThermometer,
		key:     func(units.Quantity) string { return "temperature" },
		measure: readW1,
	}
}

// isThermometer tells by the family code before the serial number: the families
// that w1_therm.rst lists.
func isThermometer(entry string) bool {
	family, _, found := strings.Cut(entry, "-")
	return found && slices.Contains([]string{"10", "22", "28", "3b", "42"}, strings.ToLower(family))
}

// What a thermometer says that has measured nothing, in 0.001 C: its register
// after power-on, and the end of its range. From memory.
const (
	powerOn    = 85000
	endOfRange = 125000
)

// readW1 prefers w1_slave, which says what became of the CRC; newer kernels
// also have a file with the number alone.
func readW1(dir fs.FS, _ string) measure {
	m := measure{kind: temperature}
	text, err := readText(dir, "w1_slave")
	milli := 0
	switch {
	case err == nil:
		milli, m.err = parseW1(text)
		m.words = strings.Join(strings.Fields(text), " ")
	case errors.Is(err, fs.ErrNotExist):
		if m.words, m.err = readText(dir, "temperature"); m.err == nil {
			milli, m.err = parseMilli(m.words)
		}
	default:
		m.err = err
	}
	m.value = float64(units.FromCelsius(float64(milli) / 1000))
	if m.err != nil {
		return m
	}
	switch milli {
	case powerOn:
		m.err = fault("85 C is what it says when it has not measured; check its supply")
	case endOfRange:
		m.err = fault("125 C is the end of its range; check its wiring")
	}
	return m
}

// parseW1 reads the two lines of w1_slave:
//
//	4e 01 4b 46 7f ff 02 10 71 : crc=71 YES
//	4e 01 4b 46 7f ff 02 10 71 t=20875
func parseW1(text string) (milli int, err error) {
	first, second, found := strings.Cut(text, "\n")
	_, number, has := strings.Cut(second, "t=")
	switch {
	case !found || !has || !strings.Contains(first, "crc="):
		return 0, fault("w1_slave does not hold the two lines it should")
	case !strings.HasSuffix(strings.TrimSpace(first), "YES"):
		return 0, fault("the CRC is wrong; check the cable and its pull-up resistor")
	case strings.HasPrefix(strings.ReplaceAll(first, " ", ""), strings.Repeat("0", 18)):
		return 0, fault("all its bytes are zero, whose CRC is right by chance; check for a short circuit")
	}
	return parseMilli(strings.TrimSpace(number))
}

func parseMilli(text string) (int, error) {
	n, err := strconv.Atoi(text)
	if err != nil {
		return 0, fault("its temperature is no number")
	}
	return n, nil
}
