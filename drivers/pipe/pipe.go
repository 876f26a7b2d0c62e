// Package pipe reads what a program prints, or what is typed or piped into
// holdfast: one line per measurement, in the forms that package line reads.
// With it anything can be attached that a few lines of script can reach.
//
// The package starts no program. Unlike an instrument on a wire, a program is
// heard from its first byte, so that its first line counts. What the numbers are
// and how exact, the columns of the fields say and the program's author knows.
// The form of the lines is common practice, no source. Values are SI.
package pipe

import (
	"fmt"
	"io"

	"example.org/holdfast/drivers"
	"example.org/holdfast/drivers/line"
)

// Config says what the lines hold; see line.Config.
type Config struct {
	Fields      string
	Calibration drivers.Calibration
}

// New checks the configuration and gives the driver.
func New(cfg Config) (drivers.Driver, error) {
	d, err := line.New(line.Config{
		Fields: cfg.Fields, Scale: cfg.Calibration.Scale, Zero: cfg.Calibration.Zero, FromStart: true,
	})
	if err != nil {
		return nil, fmt.Errorf("pipe: %w", err)
	}
	return driver{d}, nil
}

type driver struct{ lines drivers.Driver }

func (driver) Name() string { return "pipe" }

func (d driver) Source(port io.ReadWriteCloser) drivers.Source { return d.lines.Source(port) }
