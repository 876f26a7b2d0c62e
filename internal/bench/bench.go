package bench

import (
	"math"
	"math/rand/v2"

	"example.org/holdfast/internal/gas"
	"example.org/holdfast/internal/units"
)

const (
	tick       = 1.0      // s, step of the physics
	warmTick   = 10.0     // s, step of the hours before the record
	warmUp     = 3 * 3600 // s the room and the part live before the record
	handLag    = 60.0     // s
	touchTau   = 120.0    // s
	sensorBody = 600.0    // s the sensor's body lags behind the room
)

// state is everything that a sample is made of, at one tick.
type state struct {
	t, amount, gas, surface, air, barometer float64
	roomProbe, sectionProbe, sensorError    float64
}

// Bench runs a simulated hold. Get one from New; it is not for several goroutines at once.
type Bench struct {
	p         Params
	physics   *rand.Rand
	noise     *rand.Rand
	conduct   float64 // mol/s per unit of drive
	filled    bool
	t         float64
	ticks     int // since the start of fine stepping
	fineFrom  float64
	amount    float64
	room      *room
	body      body
	barometer wander
	sensor    wander
	bodyTemp  follower // of the sensor
	bodyStart float64
	roomProbe follower
	partProbe follower
	hand      follower
	was, is   state
	lastP     float64 // last pressure reading, for Freeze
	lastT     float64 // last reading of the room probe, for Stuck
}

// New sets up a hold. The same parameters and seed give the same hold.
func New(p Params, seed uint64) *Bench {
	p = p.withDefaults()
	b := &Bench{
		p:        p,
		physics:  rand.New(rand.NewPCG(seed, 1)),
		noise:    rand.New(rand.NewPCG(seed, 2)),
		t:        -p.PreRecord - warmUp,
		fineFrom: -p.PreRecord,
		lastP:    math.NaN(),
		lastT:    math.NaN(),
	}
	b.room = newRoom(p.Room, b.t, rand.New(rand.NewPCG(seed, 3)))
	air := b.room.air
	if p.Thermal.Wall != nil {
		b.body = newWall(*p.Thermal.Wall, b.t, air)
	} else {
		b.body = newNodes(p.Thermal, air, rand.New(rand.NewPCG(seed, 4)))
	}
	b.barometer = newWander(p.Barometer.Wander, b.physics)
	b.sensor = newWander(p.Sensor.Wander, b.physics)
	b.bodyTemp = follower{lag: sensorBody, x: air}
	b.roomProbe = follower{lag: p.RoomProbe.Lag, x: air}
	b.partProbe = follower{lag: p.SectionProbe.Lag, x: air}
	b.hand = follower{lag: handLag}
	for range int(warmUp / warmTick) {
		b.advance(warmTick)
	}
	b.t = b.fineFrom
	b.is = b.snapshot()
	b.was = b.is
	if b.fineFrom >= 0 {
		b.fill()
	}
	return b
}

func (p Params) withDefaults() Params {
	if p.Gas == (gas.Gas{}) {
		p.Gas = gas.Nitrogen()
	}
	if p.Volume == 0 {
		p.Volume = 0.3e-3
	}
	if p.Barometer.Mean == 0 {
		p.Barometer.Mean = units.StandardAtmosphere
	}
	if p.Sensor.WarmTau == 0 {
		p.Sensor.WarmTau = 800
	}
	p.PreRecord = max(math.Ceil(p.PreRecord), 0)
	return p
}

// fill closes the valve: the gas is in, warm, at the start pressure.
func (b *Bench) fill() {
	b.filled = true
	b.bodyStart = b.bodyTemp.x
	warm, _ := b.body.temperatures()
	temp := units.Temperature(warm)
	density := b.p.Gas.Density(b.p.StartPressure, temp)
	b.amount = density * float64(b.p.Volume)
	// The leak is scaled so that at the start pressure it takes Leak of it per hour: dp/dn from a small step.
	const small = 1e-4
	slope := float64(b.p.Gas.PressureAt(density*(1+small), temp)-b.p.Gas.PressureAt(density*(1-small), temp)) / (2 * small * density)
	loss := b.p.Leak * float64(b.p.StartPressure) / units.SecondsPerHour // Pa/s
	if drive := b.p.Law.Drive(b.p.StartPressure, b.p.Barometer.Mean); drive > 0 {
		b.conduct = loss / slope * float64(b.p.Volume) / drive
	}
	b.is = b.snapshot()
	b.was = b.is
}

// Truth says what a good judgement should find.
func (b *Bench) Truth() Truth {
	return Truth{
		Rate:    units.PaPerHour(b.p.Leak * float64(b.p.StartPressure)),
		Start:   b.p.StartPressure,
		OpensAt: b.p.LeakOpensAt,
	}
}

// Params gives the parameters with the defaults filled in.
func (b *Bench) Params() Params { return b.p }

// At gives the sample at t seconds after the valve was closed, from -PreRecord
// on. Time only goes forward: an earlier t gives the present state once more.
// Before the valve is closed the section stands open to the room.
func (b *Bench) At(t float64) Sample {
	asked := t
	if t < 0 { // whole ticks: nothing to interpolate across the filling
		t = math.Floor(t)
	}
	for b.is.t < t {
		b.was = b.is
		b.advance(tick)
		b.ticks++
		b.t = b.fineFrom + float64(b.ticks)*tick
		if !b.filled && b.t >= 0 {
			b.fill()
			continue
		}
		b.is = b.snapshot()
	}
	sample := b.measure(max(t, b.was.t))
	if asked < 0 {
		sample.T = max(asked, sample.T)
	}
	return sample
}

// advance moves everything but the clock on by dt.
func (b *Bench) advance(dt float64) {
	b.room.advance(dt)
	air := b.room.air
	b.body.advance(dt, air, b.filled)
	b.barometer.advance(dt, b.physics)
	b.sensor.advance(dt, b.physics)
	b.bodyTemp.advance(dt, air)
	touched, held := 0.0, 0.0
	for _, e := range b.p.Events {
		switch {
		case e.Kind == Hand && e.on(b.t):
			held += e.Size
		case e.Kind == Touch && b.t >= e.At:
			touched += e.Size * math.Exp(-max(b.t-e.At-e.For, 0)/touchTau)
		}
	}
	b.hand.advance(dt, held)
	_, surface := b.body.temperatures()
	b.roomProbe.advance(dt, air+touched)
	b.partProbe.advance(dt, surface+b.hand.x)
	if b.filled && b.t >= b.p.LeakOpensAt && b.conduct > 0 {
		b.leak(dt)
	}
}

// leak takes the gas out by the midpoint rule, in finer steps where much goes at once.
func (b *Bench) leak(dt float64) {
	warm, _ := b.body.temperatures()
	flow := func(amount float64) float64 {
		p := b.p.Gas.PressureAt(amount/float64(b.p.Volume), units.Temperature(warm+b.hand.x))
		around := units.Absolute(b.is.barometer)
		if p <= around {
			return 0
		}
		return b.conduct * b.p.Law.Drive(p, around)
	}
	parts := min(math.Ceil(flow(b.amount)*dt/(0.005*b.amount)), 200)
	for h := dt / max(parts, 1); dt > h/2; dt -= h {
		middle := b.amount - flow(b.amount)*h/2
		b.amount -= flow(middle) * h
	}
}

// snapshot reads the present state.
func (b *Bench) snapshot() state {
	warm, surface := b.body.temperatures()
	s := state{
		t: b.t, amount: b.amount, gas: warm + b.hand.x, surface: surface, air: b.room.air,
		barometer: float64(b.p.Barometer.Mean) + b.p.Barometer.Slope*b.t/units.SecondsPerHour + b.barometer.x,
		roomProbe: b.roomProbe.x, sectionProbe: b.partProbe.x,
	}
	sensor := &b.p.Sensor
	s.sensorError = b.sensor.x
	if b.filled {
		s.sensorError += float64(sensor.WarmUp)*math.Exp(-b.t/sensor.WarmTau) + float64(sensor.ZeroPerK)*(b.bodyTemp.x-b.bodyStart)
	}
	return s
}

// between interpolates linearly between two ticks.
func between(a, b state, t float64) state {
	if b.t <= a.t {
		return b
	}
	w := min(max((t-a.t)/(b.t-a.t), 0), 1)
	mix := func(x, y float64) float64 { return x + w*(y-x) }
	return state{
		t: t, amount: mix(a.amount, b.amount), gas: mix(a.gas, b.gas), surface: mix(a.surface, b.surface), air: mix(a.air, b.air),
		barometer: mix(a.barometer, b.barometer), roomProbe: mix(a.roomProbe, b.roomProbe),
		sectionProbe: mix(a.sectionProbe, b.sectionProbe), sensorError: mix(a.sensorError, b.sensorError),
	}
}
