package acquire

import (
	"context"
	"fmt"
	"math"
	"strings"
	"time"

	"example.org/holdfast/drivers"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/units"
)

// missingAfter is when a device has to have said all it is meant to say. Slower
// ones get three of their periods. A board that restarts when its port is
// opened needs a few seconds; a person who waits for nothing should not need more.
const missingAfter = 12 * time.Second

// expected are the columns a device is meant to give and has not given yet.
type expected map[units.Quantity]string

// expect reads Device.Gives; names that are no quantity are passed over.
func expect(gives string) expected {
	e := make(expected)
	for name := range strings.SplitSeq(gives, ",") {
		if _, after, keyed := strings.Cut(name, "="); keyed {
			name = after
		}
		name = strings.TrimSpace(name)
		if c, err := units.ParseColumn(name); err == nil {
			e[c.Quantity] = name
		}
	}
	return e
}

// take strikes out what a reading has.
func (e expected) take(r drivers.Reading) {
	has := func(q units.Quantity, v float64) {
		if !math.IsNaN(v) {
			delete(e, q)
		}
	}
	has(units.PressureQuantity, r.Pressure)
	has(units.AmbientQuantity, float64(r.Ambient))
	has(units.SectionQuantity, float64(r.Section))
	has(units.BarometerQuantity, float64(r.Barometer))
}

// names lists what is left, in the order of the quantities.
func (e expected) names() string {
	var names []string
	for q := units.PressureQuantity; q <= units.BarometerQuantity; q++ {
		if name, ok := e[q]; ok {
			names = append(names, name)
		}
	}
	return strings.Join(names, " and no ")
}

// watchFirst says once, soon after the start, what a device was meant to give and does not.
func (d *device) watchFirst(ctx context.Context) {
	wait := max(missingAfter, time.Duration(periodsSilent*d.Spec.Interval*float64(time.Second)))
	select {
	case <-ctx.Done():
		return
	case <-time.After(wait):
	}
	d.a.mu.Lock()
	defer d.a.mu.Unlock()
	if text := d.lacking(wait); text != "" {
		d.saidMissing = true
		d.a.post(holdlog.Record{Kind: holdlog.KindEvent, Event: holdlog.Event{
			Kind: holdlog.EventMissing, Device: d.Name, Text: text,
		}}, d.a.time.now())
	}
}

// lacking says what is missing, "" = nothing. It needs the lock.
func (d *device) lacking(after time.Duration) string {
	from := d.Port
	if from == "" || from == "-" {
		from = "it"
	}
	switch {
	case d.readings == 0 && d.doubts == 0:
		return fmt.Sprintf("nothing has come from %s in %.0f s: check cable, power and speed", from, after.Seconds())
	case d.readings == 0:
		return fmt.Sprintf("what comes from %s cannot be read: check the speed and the fields", from)
	case len(d.unheard) > 0:
		return fmt.Sprintf("no %s comes from %s: check the fields and the sensor", d.unheard.names(), from)
	}
	return ""
}

// complete posts that nothing is missing any more, once, if it was said before. It needs the lock.
func (d *device) complete(at stamp) {
	if !d.saidMissing || d.readings == 0 || len(d.unheard) > 0 {
		return
	}
	d.saidMissing = false
	d.a.post(holdlog.Record{Kind: holdlog.KindEvent, Event: holdlog.Event{Kind: holdlog.EventComplete, Device: d.Name}}, at)
}
