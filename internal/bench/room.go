package bench

import (
	"fmt"
	"math"
	"math/rand/v2"

	"example.org/holdfast/internal/units"
)

// RoomKind names how the air of the room behaves.
type RoomKind uint8

// The rooms.
const (
	Still  RoomKind = iota // nothing but the flutter
	Drift                  // Slope
	Heater                 // a thermostat switches within ± Swing, about once per Period
	Door                   // a door opens about once per Period: up to Swing colder, back with Recover
	Day                    // a swing of ± Swing over a day, from Phase
)

// String names the kind.
func (k RoomKind) String() string {
	return [...]string{"still", "drift", "heater", "door", "day"}[min(k, Day)]
}

// Room is the air of the room.
type Room struct {
	Kind    RoomKind
	Mean    units.Temperature // 0 = 20 °C
	Slope   float64           // K/h
	Swing   float64           // K
	Period  float64           // s
	Recover float64           // s
	Phase   float64           // rad
	Flutter Wander            // K, on top of everything
}

// room is one realisation of a Room.
type room struct {
	Room
	rng     *rand.Rand
	t       float64
	flutter wander
	level   float64 // K off the mean: heater, or the cold of the door still felt
	heating bool
	edge    float64 // K off the mean at which the thermostat switches next
	air     float64 // K
}

func newRoom(r Room, start float64, rng *rand.Rand) *room {
	if r.Mean == 0 {
		r.Mean = units.FromCelsius(20)
	}
	s := &room{Room: r, rng: rng, t: start, flutter: newWander(r.Flutter, rng)}
	if r.Kind == Heater {
		s.level = r.Swing * (2*rng.Float64() - 1)
		s.heating = rng.Float64() < 0.5
		s.nextEdge()
	}
	s.advance(0)
	return s
}

// nextEdge draws where the thermostat switches next: it never does so twice at quite the same temperature.
func (r *room) nextEdge() {
	r.edge = r.Swing * (0.8 + 0.4*r.rng.Float64())
	if !r.heating {
		r.edge = -r.edge
	}
}

func (r *room) advance(dt float64) {
	r.t += dt
	if dt > 0 {
		r.flutter.advance(dt, r.rng)
	}
	air := float64(r.Mean) + r.flutter.x
	switch r.Kind {
	case Drift:
		air += r.Slope * r.t / units.SecondsPerHour
	case Heater:
		r.heat(dt)
		air += r.level
	case Door:
		if dt > 0 && r.rng.Float64() < dt/r.Period {
			r.level -= r.Swing * (0.5 + 0.5*r.rng.Float64())
		}
		air += r.level
		r.level *= math.Exp(-dt / r.Recover)
	case Day:
		air += r.Swing * math.Sin(2*math.Pi*r.t/86400+r.Phase)
	}
	r.air = air
}

// heat moves the air towards a far target, up or down, and switches at the edge.
func (r *room) heat(dt float64) {
	target := -2 * r.Swing
	if r.heating {
		target = 2 * r.Swing
	}
	// From -Swing to +Swing towards 2·Swing takes ln 3 time constants: half a period.
	r.level = target + (r.level-target)*math.Exp(-dt*2*math.Log(3)/r.Period)
	if (r.heating && r.level > r.edge) || (!r.heating && r.level < r.edge) {
		r.heating = !r.heating
		r.nextEdge()
	}
}

// RoomNamed gives a room of middling restlessness by the name of its kind.
func RoomNamed(name string) (Room, error) {
	r := Room{Mean: units.FromCelsius(20), Flutter: Wander{SD: 0.04, Tau: 500}}
	switch name {
	case "still":
		r.Kind = Still
	case "drift":
		r.Kind, r.Slope = Drift, 1.2
	case "heater":
		r.Kind, r.Swing, r.Period = Heater, 0.5, 1500
	case "door":
		r.Kind, r.Swing, r.Period, r.Recover = Door, 1.5, 2400, 500
	case "day":
		r.Kind, r.Swing = Day, 3
	default:
		return Room{}, fmt.Errorf("unknown room %q, known are still, drift, heater, door, day", name)
	}
	return r, nil
}
