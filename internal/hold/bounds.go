package hold

import (
	"errors"
	"fmt"
	"slices"

	"example.org/holdfast/internal/holdlog"
)

// bound is a number of a header with what it can be at all. What is typed was
// refused before; a log can be edited, or damaged, and its numbers must not
// become infinities that hide in a verdict.
type bound struct {
	what        string
	value       *float64
	least, most float64 // 0 = not said, which always may be
}

// The largest and smallest of their kind, in SI.
const (
	mostPa     = 1e9
	mostMetre3 = 1e3
	leastSize  = 1e-12 // m3, kg and what is divided by
	mostKg     = 1e5
	mostK      = 1e3
	mostTime   = 1e9 // s, thirty years
	mostFactor = 1e6
	lastTime   = 1e10 // s since the first record; some logs count from 1970
)

// settingsBounds are those of what the person said.
func settingsBounds(s *holdlog.Settings) []bound {
	return []bound{
		{"volume", (*float64)(&s.Volume), leastSize, mostMetre3},
		{"volume error", &s.VolumeError, 0, 1},
		{"volume behind the capillary", (*float64)(&s.Behind), leastSize, mostMetre3},
		{"charge", (*float64)(&s.Charge), leastSize, mostKg},
		{"barometer", (*float64)(&s.Barometer), float64(leastAtmosphere), float64(mostAtmosphere)},
		{"safety", &s.Safety, 1 / mostFactor, mostFactor},
		{"length of the hold", &s.For, 0, mostTime},
		{"time between readings", &s.AskEvery, 0, mostTime},
		{"ceiling", (*float64)(&s.Ceiling), 0, mostPa},
		{"pressure step", (*float64)(&s.PressureStep), 0, mostPa},
		{"pressure range", (*float64)(&s.PressureRange), 0, mostPa},
		{"pressure accuracy", (*float64)(&s.PressureAccuracy), 0, mostPa},
		{"temperature step", (*float64)(&s.TemperatureStep), 0, mostK},
		{"loss of the blank hold", (*float64)(&s.Blank.Rate), -mostPa, mostPa},
		{"error of the blank hold", (*float64)(&s.Blank.Error), 0, mostPa},
		{"pressure of the blank hold", (*float64)(&s.Blank.Pressure), 0, mostPa},
		{"temperature of the blank hold", (*float64)(&s.Blank.Temperature), 0, mostK},
		{"volume of the blank hold", (*float64)(&s.Blank.Volume), leastSize, mostMetre3},
		{"volume error of the blank hold", &s.Blank.VolumeError, 0, 1},
	}
}

// deviceBounds are those of an instrument.
func deviceBounds(d *holdlog.Device) []bound {
	return []bound{
		{"scale", &d.Scale, -mostFactor, mostFactor},
		{"zero", (*float64)(&d.Zero), -mostPa, mostPa},
		{"drift", (*float64)(&d.Drift), 0, mostPa},
		{"zero drift", &d.ZeroDrift, 0, mostPa},
		{"stability", (*float64)(&d.Stability), 0, mostPa},
		{"pressure step", (*float64)(&d.PressureStep), 0, mostPa},
		{"pressure range", (*float64)(&d.PressureRange), 0, mostPa},
		{"pressure accuracy", (*float64)(&d.PressureAccuracy), 0, mostPa},
		{"temperature step", (*float64)(&d.TemperatureStep), 0, mostK},
		{"time between readings", &d.Interval, 0, mostTime},
	}
}

// leaveOut takes out what cannot be, as if it had not been said, and says what.
func leaveOut(all []bound) error {
	var errs []error
	for _, b := range all {
		if v := *b.value; v != 0 && !(v >= b.least && v <= b.most) {
			errs = append(errs, fmt.Errorf("%s %.3g cannot be", b.what, v))
			*b.value = 0
		}
	}
	return errors.Join(errs...)
}

// plausibleDevices are the instruments without what cannot be.
func plausibleDevices(devices []holdlog.Device) ([]holdlog.Device, error) {
	devices = slices.Clone(devices) // the record's stay as they are
	var errs []error
	for i := range devices {
		errs = append(errs, leaveOut(deviceBounds(&devices[i])))
	}
	return devices, errors.Join(errs...)
}
