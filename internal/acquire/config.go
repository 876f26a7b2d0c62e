package acquire

import (
	"context"
	"errors"
	"fmt"
	"time"

	"example.org/holdfast/drivers"
	"example.org/holdfast/internal/holdlog"
)

// Device is one instrument and the way to open it. Its place in Config.Devices
// is the place in Header.Devices that Sample.Device names.
type Device struct {
	Name string // for events and messages, distinct within one Config
	// Open opens the device. It is called again after the device was lost, and
	// must find the same instrument, not just any on that name.
	Open func(context.Context) (drivers.Source, error)
	Spec drivers.Spec
	// Port is where the device is, for messages; "" = nowhere in particular.
	Port string
	// Gives is what it is meant to give, in the column names of the CSV import,
	// with or without keys: "P=pressure_bar_abs,ambient_c". What of it never
	// comes is said soon after the start. "" = not known.
	Gives string
	// Unhurried devices answer when they like (a person): silence says nothing.
	Unhurried bool
	// Finite devices end for good (typed input, a file): io.EOF is not a loss,
	// and nothing is opened again.
	Finite bool
}

// Config says what to acquire and where to put it. Zero values take the
// defaults named here.
type Config struct {
	Devices []Device
	Clock   Clock // nil = SystemClock
	// Emit takes every Record, in order of time, always from the goroutine that
	// called Run. It may block; readings are stamped and kept meanwhile.
	Emit func(holdlog.Record)
	// Offset is added to every elapsed time, in seconds: where a continued
	// record goes on.
	Offset float64
	// SilenceAfter is the least time without a good reading after which a
	// device counts as lost; 0 = 3 s. Slower devices get three of their periods.
	SilenceAfter time.Duration
	// PairWithin is the greatest age of another device's temperature or
	// barometer that may stand beside a pressure; 0 = 15 s. Slower devices get
	// three of their periods. What is older counts as not measured.
	PairWithin time.Duration
	// Backlog is how many readings wait for a slow Emit at most; 0 = 60000,
	// which is 100 minutes of ten a second.
	Backlog int
}

// The defaults, and the times that nobody needed to set so far.
const (
	defaultSilence     = 3 * time.Second
	defaultPair        = 15 * time.Second
	defaultBacklog     = 60000
	unhurriedPair      = 15 * time.Minute // a person's reading, asked at no set interval
	firstReading       = 10 * time.Second // boards restart when opened, modem daemons probe new ports
	unknownPatience    = 30 * time.Second // with a device whose period is neither stated nor learnt yet
	unknownPatienceMax = 10 * time.Minute
	backoffMin         = 500 * time.Millisecond // before a lost device is opened again
	backoffMax         = 5 * time.Second
	closeGrace         = 2 * time.Second // for a Source to heed its context before it is closed under its feet
	leaveGrace         = time.Second     // for all devices to be closed when Run ends
	periodsSilent      = 3
)

// ErrEnded is returned by Run when every device was finite and has ended.
var ErrEnded = errors.New("every device has ended")

// OpenError says which device could not be opened at the start.
type OpenError struct {
	Device string
	Err    error
}

func (e *OpenError) Error() string { return fmt.Sprintf("device %q: %v", e.Device, e.Err) }

// Unwrap gives what the device said.
func (e *OpenError) Unwrap() error { return e.Err }

func (c Config) withDefaults() Config {
	if c.Clock == nil {
		c.Clock = SystemClock()
	}
	if c.SilenceAfter <= 0 {
		c.SilenceAfter = defaultSilence
	}
	if c.PairWithin <= 0 {
		c.PairWithin = defaultPair
	}
	if c.Backlog <= 0 {
		c.Backlog = defaultBacklog
	}
	return c
}

func (c Config) check() error {
	if c.Emit == nil {
		return errors.New("acquire: no Emit in the configuration")
	}
	if len(c.Devices) == 0 {
		return errors.New("acquire: no device in the configuration")
	}
	if len(c.Devices) > 255 {
		return fmt.Errorf("acquire: %d devices, and a sample can name 255", len(c.Devices))
	}
	seen := make(map[string]bool)
	for _, d := range c.Devices {
		if d.Open == nil {
			return fmt.Errorf("acquire: device %q cannot be opened", d.Name)
		}
		if seen[d.Name] {
			return fmt.Errorf("acquire: two devices are named %q", d.Name)
		}
		seen[d.Name] = true
	}
	return nil
}
