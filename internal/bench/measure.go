package bench

import (
	"math"
	"math/rand/v2"

	"example.org/holdfast/internal/units"
)

// measure makes the sample at t out of the two ticks around it.
func (b *Bench) measure(t float64) Sample {
	s := between(b.was, b.is, t)
	truth := units.Absolute(s.barometer)
	if b.filled {
		truth = b.p.Gas.PressureAt(s.amount/float64(b.p.Volume), units.Temperature(s.gas))
	}
	out := Sample{
		T: t, TruePressure: truth, TrueBarometer: units.Absolute(s.barometer),
		TrueAmbient: units.Temperature(s.air), GasTemperature: units.Temperature(s.gas), Amount: s.amount,
	}
	reading := b.pressure(float64(truth), s, t)
	if b.p.Sensor.Gauge {
		out.PressureGauge = units.Gauge(reading)
		out.Pressure = out.PressureGauge.Absolute(b.p.Barometer.Mean)
	} else {
		out.Pressure = units.Absolute(reading)
		out.PressureGauge = out.Pressure.Gauge(b.p.Barometer.Mean)
	}
	out.Ambient = units.Temperature(b.roomReading(s.roomProbe, t))
	out.Section = units.Temperature(probe(b.p.SectionProbe, s.sectionProbe, b.noise))
	for _, e := range b.p.Events {
		if e.Kind == Dropout && e.on(t) {
			out.Missing = true
		}
	}
	return out
}

// pressure is the sensor's reading in Pa against its own reference.
func (b *Bench) pressure(truth float64, s state, t float64) float64 {
	sensor := &b.p.Sensor
	v := truth + s.sensorError + float64(sensor.Noise)*b.noise.NormFloat64()
	if sensor.Gauge {
		v -= s.barometer
	}
	frozen := false
	for _, e := range b.p.Events {
		switch {
		case e.Kind == Spike && e.on(t), e.Kind == Step && t >= e.At:
			v += e.Size
		case e.Kind == Freeze && e.on(t):
			frozen = true
		}
	}
	v = round(v, float64(sensor.Step))
	if frozen && !math.IsNaN(b.lastP) {
		return b.lastP
	}
	b.lastP = v
	return v
}

// roomReading is the room probe's reading in K.
func (b *Bench) roomReading(truth, t float64) float64 {
	v := probe(b.p.RoomProbe, truth, b.noise)
	for _, e := range b.p.Events {
		if e.Kind == Stuck && e.on(t) && !math.IsNaN(b.lastT) {
			return b.lastT
		}
	}
	b.lastT = v
	return v
}

// probe is what a thermometer makes of its own temperature. Rounding is in degrees Celsius, as displays do it.
func probe(p Thermometer, truth float64, rng *rand.Rand) float64 {
	noise := rng.NormFloat64() // drawn always, so that the noise of the others does not depend on this probe
	if p.None {
		return math.NaN()
	}
	const zero = 273.15
	return zero + round(truth-zero+float64(p.Bias)+float64(p.Noise)*noise, float64(p.Step))
}

func round(v, step float64) float64 {
	if step <= 0 {
		return v
	}
	return math.Round(v/step) * step
}
