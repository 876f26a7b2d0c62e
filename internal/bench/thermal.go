package bench

import "math/rand/v2"

// body is what lies between the air of the room and the gas.
type body interface {
	// advance moves on by dt seconds in air of the given temperature (K); filled
	// says whether the gas is in, for heat dies out only from then on.
	advance(dt, air float64, filled bool)
	// temperatures gives the gas, and the part where a probe would be strapped on (K).
	temperatures() (gas, surface float64)
}

// nodes is a body of parts that each lag behind the air.
type nodes struct {
	rng    *rand.Rand
	local  wander
	weight []float64
	parts  []follower
	fill   []decaying
	braze  []decaying
}

// decaying runs a Heat.
type decaying struct {
	tau  float64
	left follower // its x dies out towards 0
}

// slowHeat is the time constant, in s, above which heat of the filling sits in the metal rather than in the gas.
const slowHeat = 300

func newNodes(p Thermal, air float64, rng *rand.Rand) *nodes {
	if len(p.Nodes) == 0 {
		p.Nodes = []Node{{Weight: 1, Lag: 300}}
	}
	n := &nodes{rng: rng, local: newWander(p.Local, rng), fill: decay(p.Fill), braze: decay(p.Braze)}
	var sum float64
	for _, node := range p.Nodes {
		sum += node.Weight
	}
	for _, node := range p.Nodes {
		n.weight = append(n.weight, node.Weight/sum)
		n.parts = append(n.parts, follower{lag: node.Lag, x: air})
	}
	return n
}

func decay(heats []Heat) []decaying {
	var out []decaying
	for _, h := range heats {
		out = append(out, decaying{tau: h.Tau, left: follower{lag: h.Tau, x: h.Rise}})
	}
	return out
}

func (n *nodes) advance(dt, air float64, filled bool) {
	n.local.advance(dt, n.rng)
	for i := range n.parts {
		n.parts[i].advance(dt, air+n.local.x)
	}
	if !filled {
		return
	}
	for i := range n.fill {
		n.fill[i].left.advance(dt, 0)
	}
	for i := range n.braze {
		n.braze[i].left.advance(dt, 0)
	}
}

func (n *nodes) temperatures() (gas, surface float64) {
	for i := range n.parts {
		gas += n.weight[i] * n.parts[i].x
	}
	surface = gas
	for i := range n.fill {
		gas += n.fill[i].left.x
		if n.fill[i].tau > slowHeat {
			surface += 0.5 * n.fill[i].left.x
		}
	}
	for i := range n.braze {
		gas += n.braze[i].left.x
		surface += 0.8 * n.braze[i].left.x
	}
	return gas, surface
}
