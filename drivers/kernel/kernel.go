package kernel

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"example.org/holdfast/drivers"
	"example.org/holdfast/internal/units"
)

// Config says what to read of one chip.
type Config struct {
	Root        fs.FS  // the tree that the kernel shows under /sys
	Device      string // its name or folder; "" = the only one of its kind
	Fields      string // what of it: "pressure=barometer_pa,temp=ambient_c", "temp1=section_c"; a thermometer needs no key
	Points      string // two points of a transmitter behind a converter: "4mA=0bar,20mA=25bar"; "" = none
	Calibration drivers.Calibration
	Interval    time.Duration // between readings; 0 = 1 s
	Clock       drivers.Clock
}

// Chip is one instrument of the kernel's.
type Chip struct {
	cfg      Config
	bus      bus
	channels []channel
	points   *points
}

// bus is what tells the three kinds of chip apart.
type bus struct {
	name    string
	folder  string                              // of the devices, under the root
	is      func(entry string) bool             // is the entry a device of this kind
	key     func(units.Quantity) string         // of a field without one
	measure func(dir fs.FS, key string) measure // reads a channel
}

// measure is one raw value: what it is, and the kernel's own words.
type measure struct {
	kind  dimension
	value float64 // Pa, K, V or A
	words string
	err   error // fs.ErrNotExist: the channel is not there; a fault: it is, and says nothing of use
}

// dimension is what a channel measures.
type dimension string

const (
	pressure    dimension = "pressure"
	temperature dimension = "temperature"
	voltage     dimension = "voltage"
	current     dimension = "current"
)

// fault is a value that the kernel gives and that cannot be used.
type fault string

func (f fault) Error() string { return string(f) }

// channel is a field and where it stands.
type channel struct {
	field drivers.Field
	key   string
}

const defaultInterval = time.Second

// newChip checks the configuration.
func newChip(b bus, cfg Config) (*Chip, error) {
	if cfg.Root == nil || cfg.Clock.Now == nil || cfg.Clock.Sleep == nil {
		return nil, fmt.Errorf("%s: no tree or no clock in the configuration", b.name)
	}
	fields, err := drivers.ParseFields(cfg.Fields)
	if err == nil {
		err = cfg.Calibration.Check(fields)
	}
	if err != nil {
		return nil, fmt.Errorf("%s: %w", b.name, err)
	}
	if cfg.Interval <= 0 {
		cfg.Interval = defaultInterval
	}
	c := &Chip{cfg: cfg, bus: b}
	if cfg.Points != "" {
		if c.points, err = parsePoints(cfg.Points); err != nil {
			return nil, fmt.Errorf("%s: %w", b.name, err)
		}
	}
	for _, f := range fields {
		if f.Skip {
			continue
		}
		key := f.Key
		if key == "" {
			key = b.key(f.Column.Quantity)
		}
		if key == "" || strings.ContainsAny(key, "/\\") {
			return nil, fmt.Errorf("%s: field %q does not say which channel: write CHANNEL=%s", b.name, f.Name, f.Name)
		}
		c.channels = append(c.channels, channel{f, key})
	}
	return c, nil
}

// Name is w1, hwmon or iio.
func (c *Chip) Name() string { return c.bus.name }

// Spec is what the configuration says of the readings.
func (c *Chip) Spec() drivers.Spec {
	s := drivers.Spec{Interval: c.cfg.Interval.Seconds()}
	if c.points != nil {
		s.PressureRange = c.points.span()
	}
	return s
}

// Open finds the chip and reads it once, so that what is wrong with it is said
// before a hold begins.
func (c *Chip) Open(ctx context.Context) (drivers.Source, error) {
	dir, err := c.find()
	if err != nil {
		return nil, err
	}
	s := &source{chip: c, dir: dir, closed: make(chan struct{})}
	if _, err := s.read(); err != nil {
		return nil, err
	}
	return s, ctx.Err()
}

// find gives the folder of the chip.
func (c *Chip) find() (fs.FS, error) {
	found := Chips(c.cfg.Root, c.bus.name)
	want := strings.Trim(c.cfg.Device, "/")
	at := slices.IndexFunc(found, func(f Found) bool { return f.Entry == want })
	if at < 0 {
		named := slices.DeleteFunc(slices.Clone(found), func(f Found) bool { return want != "" && f.Name != want })
		switch {
		case len(found) == 0:
			return nil, fmt.Errorf("%s: the kernel shows no device in %q: %w", c.bus.name, c.bus.folder, fs.ErrNotExist)
		case len(named) == 0:
			return nil, fmt.Errorf("%s: no device %q, but %s: %w", c.bus.name, c.cfg.Device, list(found), fs.ErrNotExist)
		case len(named) > 1:
			return nil, fmt.Errorf("%s: which of %s is meant is not said", c.bus.name, list(named))
		}
		return fs.Sub(c.cfg.Root, c.bus.folder+"/"+named[0].Entry)
	}
	return fs.Sub(c.cfg.Root, c.bus.folder+"/"+found[at].Entry)
}

// Split makes of a device's folder, such as /sys/bus/iio/devices/iio:device0, the
// tree it stands in and its name there; what is only a name is one under /sys.
func Split(device string) (root, name string) {
	for _, b := range buses() {
		if at := strings.Index(device, "/"+b.folder+"/"); at >= 0 {
			return device[:at], device[at+len(b.folder)+2:]
		}
	}
	return "/sys", device
}

func list(found []Found) string {
	var names []string
	for _, f := range found {
		names = append(names, f.Entry+" ("+f.Name+")")
	}
	return strings.Join(names, ", ")
}

// source is one opening of a Chip.
type source struct {
	chip   *Chip
	dir    fs.FS
	pace   drivers.Pace
	once   sync.Once
	closed chan struct{}
}

// Close ends the Source; a Read that waits ends with its context.
func (s *source) Close() error {
	s.once.Do(func() { close(s.closed) })
	return nil
}

// Read waits until it is time and reads all channels.
func (s *source) Read(ctx context.Context) (drivers.Reading, error) {
	if err := s.pace.Wait(ctx, s.chip.cfg.Clock, s.chip.cfg.Interval); err != nil {
		return drivers.Reading{}, err
	}
	select {
	case <-s.closed:
		return drivers.Reading{}, fmt.Errorf("%s: closed", s.chip.bus.name)
	default:
		return s.read()
	}
}

// read gives a reading, or an error when the chip is gone.
func (s *source) read() (drivers.Reading, error) {
	r := drivers.Empty()
	var words []string
	doubt := ""
	for _, ch := range s.chip.channels {
		m := s.chip.bus.measure(s.dir, ch.key)
		var f fault
		switch {
		case m.err == nil:
		case errors.As(m.err, &f):
			doubt = fmt.Sprintf("%s: %v", ch.key, f)
		case errors.Is(m.err, fs.ErrNotExist):
			return r, fmt.Errorf("%s: channel %q is not there, or the device is gone: %w", s.chip.bus.name, ch.key, m.err)
		default:
			doubt = fmt.Sprintf("%s cannot be read: %v", ch.key, m.err)
		}
		words = append(words, m.words)
		if m.err == nil {
			if err := s.chip.put(&r, ch, m); err != nil {
				doubt = err.Error()
			}
		}
	}
	if doubt != "" {
		return drivers.Doubtful(strings.Join(words, " "), doubt), nil
	}
	r.Raw = drivers.Printable(strings.Join(words, " "))
	return r, nil
}

// put sets a channel's quantity in r. Its error is a doubt.
func (c *Chip) put(r *drivers.Reading, ch channel, m measure) error {
	v := m.value
	q := ch.field.Column.Quantity
	wantsPressure := q == units.PressureQuantity || q == units.BarometerQuantity
	switch {
	case m.kind == pressure && wantsPressure, m.kind == temperature && !wantsPressure:
	case m.kind == voltage || m.kind == current:
		if c.points == nil || !wantsPressure {
			return fmt.Errorf("%s is a %s: give two points of the transmitter, such as 0.5V=0bar,4.5V=25bar", ch.key, m.kind)
		}
		var err error
		if v, err = c.points.pressure(m); err != nil {
			return err
		}
	default:
		return fmt.Errorf("%s is a %s, and %s is not", ch.key, m.kind, ch.field.Name)
	}
	return ch.field.Put(r, v, c.cfg.Calibration)
}

// Found is a device that the kernel shows.
type Found struct {
	Kind  string // w1, hwmon or iio
	Entry string // its folder, such as iio:device0
	Name  string // what the kernel calls it
}

// Chips lists the devices of a kind.
func Chips(root fs.FS, kind string) []Found {
	b, ok := buses()[kind]
	if !ok || root == nil {
		return nil
	}
	entries, err := fs.ReadDir(root, b.folder)
	if err != nil {
		return nil // no such bus on this machine
	}
	var all []Found
	for _, e := range entries {
		if !b.is(e.Name()) {
			continue
		}
		name, err := readText(root, b.folder+"/"+e.Name()+"/name")
		if err != nil {
			name = e.Name()
		}
		all = append(all, Found{kind, e.Name(), drivers.Printable(name)})
	}
	return all
}

func buses() map[string]bus {
	return map[string]bus{"w1": w1Bus(), "hwmon": hwmonBus(), "iio": iioBus()}
}

// readText reads a file of one line.
func readText(dir fs.FS, name string) (string, error) {
	b, err := fs.ReadFile(dir, name)
	return strings.TrimSpace(string(b)), err
}

// readNumber reads a file that holds a number.
func readNumber(dir fs.FS, name string) (v float64, text string, err error) {
	if text, err = readText(dir, name); err != nil {
		return 0, "", err
	}
	if v, err = strconv.ParseFloat(text, 64); err != nil {
		return 0, text, fault(fmt.Sprintf("%q is no number", drivers.Printable(text)))
	}
	return v, text, nil
}
