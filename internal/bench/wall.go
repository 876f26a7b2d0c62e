package bench

import "math"

// wallCells is how finely the wall is cut. With steps of 1 s the explicit scheme is stable down to a Diffusion of 72 s.
const wallCells = 6

// Wall is a body of another structure: tubes in an air pocket behind a wall
// that conducts, as in a cabinet, with the sun or a door beside its outside.
// Its answers are no sums of a few exponentials: heat wanders into the wall, and
// the gas cools the slower the less warm it is (free convection).
type Wall struct {
	Diffusion float64 // s, thickness²/diffusivity; 0 = 1500
	Film      float64 // outside heat transfer × thickness / conductivity (Biot number); 0 = 0.5
	Pocket    float64 // s, air pocket behind the inner face; 0 = 120
	Gap       float64 // s, pocket to the air of the room through gaps; 0 = 3000
	Tube      float64 // s, tube behind face and pocket; 0 = 90
	Contact   float64 // share of the tube's heat exchange that goes to the inner face; 0 = 0.5
	FillRise  float64 // K of the gas above the tube when the valve closes
	GasTau    float64 // s, gas to tube at an excess of 5 K; 0 = 40
	HeatRatio float64 // heat capacity of the gas over that of the tube; 0 = 0.05
	Sun       float64 // K, what the sun adds to the air that the outer face feels
	SunFrom   float64 // s
	SunFor    float64 // s
}

// wall runs a Wall.
type wall struct {
	Wall
	t      float64
	cell   [wallCells]float64 // from the inner face to the outer
	pocket float64
	tube   float64
	excess float64 // of the gas above the tube
}

func newWall(p Wall, start, air float64) *wall {
	or := func(v *float64, otherwise float64) {
		if *v == 0 {
			*v = otherwise
		}
	}
	or(&p.Diffusion, 1500)
	or(&p.Film, 0.5)
	or(&p.Pocket, 120)
	or(&p.Gap, 3000)
	or(&p.Tube, 90)
	or(&p.Contact, 0.5)
	or(&p.GasTau, 40)
	or(&p.HeatRatio, 0.05)
	w := &wall{Wall: p, t: start, pocket: air, tube: air, excess: p.FillRise}
	for i := range w.cell {
		w.cell[i] = air
	}
	return w
}

func (w *wall) advance(dt, air float64, filled bool) {
	for n := int(math.Ceil(dt)); n > 0; n-- {
		w.step(dt/math.Ceil(dt), air, filled)
	}
}

// step is one explicit step of at most a second.
func (w *wall) step(dt, air float64, filled bool) {
	w.t += dt
	outside := air
	if w.t >= w.SunFrom && w.t < w.SunFrom+w.SunFor {
		outside += w.Sun
	}
	const n = wallCells
	between := n * n / w.Diffusion         // 1/s, cell to cell
	film := n * w.Film / w.Diffusion       // 1/s, outer cell to air
	face := 0.3 * n * w.Film / w.Diffusion // 1/s, inner cell to pocket: still air
	next := w.cell
	for i := range n {
		if i > 0 {
			next[i] += dt * between * (w.cell[i-1] - w.cell[i])
		} else {
			next[i] += dt * face * (w.pocket - w.cell[i])
		}
		if i < n-1 {
			next[i] += dt * between * (w.cell[i+1] - w.cell[i])
		} else {
			next[i] += dt * film * (outside - w.cell[i])
		}
	}
	around := w.Contact*w.cell[0] + (1-w.Contact)*w.pocket
	w.pocket += dt * ((w.cell[0]-w.pocket)/w.Pocket + (air-w.pocket)/w.Gap)
	w.tube += dt * (around - w.tube) / w.Tube
	w.cell = next
	if filled {
		// Free convection: the transfer grows with the fourth root of the excess; the floor is conduction.
		lost := dt / w.GasTau * w.excess * (0.3 + 0.7*math.Sqrt(math.Sqrt(math.Abs(w.excess)/5)))
		w.excess -= lost
		w.tube += w.HeatRatio * lost
	}
}

func (w *wall) temperatures() (gas, surface float64) {
	return w.tube + w.excess, 0.7*w.tube + 0.3*w.cell[0]
}
