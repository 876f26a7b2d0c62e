// Package bench is the physics of a simulated section: a closed volume of gas
// that leaks, lags behind the room, cools from its filling, and is watched by
// imperfect instruments.
//
// It is a pure function of (parameters, seed, time): the same three give the
// same sample on every machine. The physics runs in fixed steps of one second
// whatever the sampling interval, so that asking more often changes nothing
// but the reading noise. Nodes, transients and random walks advance by their
// exact exponentials, the amount of gas by the midpoint rule.
//
// The pressure comes from the amount of gas through the real gas equation of
// internal/gas, not from the ideal law, so that a correction for the real gas is put to
// the test. What is left out: viscosity and speed of the gas in the leak do not
// change with temperature, and a pressure sensor answers at once.
//
// Values of parameters are drawn from ranges that are common practice or from
// memory (see population.go); nothing here is measured. All values are SI,
// pressures absolute unless named gauge, time in seconds since the valve was closed.
package bench
