// Package decay is the mathematics of a pressure hold: samples of pressure and
// temperature in, an Estimate of the leak with an honest interval out.
//
// Over an hour the pressure of a closed section moves more by temperature and
// by the heat of filling than by the leaks that matter, and what is truly
// unknown is the temperature of the gas: how far it lags behind the
// thermometer, how much heat the filling left behind, what the air beside the
// part does. The model carries these unknowns, with physical priors, as terms
// of one linear equation for the logarithm of the pressure:
//
//	ln P(t) = a - r s(t) + G [ sum b_j ln(L_j(t)/L_j(t0)) + sum c_k exp(-t/tau_k) + u(t) ] + e(t)
//
// with r the leak (1/h of the start pressure), s its time integral under one of
// three flow laws, L_j the room temperature seen through the lag tau_j, c_k the
// fading heat of filling, u slow air the thermometer does not see, e noise, and
// G = (T/P)(dP/dT) at constant density, which is 1 for an ideal gas and 1.05 for
// nitrogen at 21 bar.
//
// What cannot be linear (flow law, drift of the room before the record, how hot
// the part was, how far the air strays) is a bank of hypotheses weighed by the
// evidence. Given a hypothesis about u the rows are whitened by a one-state
// Kalman filter and only their products are kept, so memory and time per sample
// are constant whatever the length, and the answer equals a full Bayesian
// regression on all the data.
//
// What the data sheet of the pressure sensor says enters where it matters. Gain
// scales the leak by the same share. A zero that is off drops out of differences
// and matters only as a share of the pressure; a zero that drifts with the
// temperature is correlated with the thermometer and loosens the tie of the
// lags' weights to one; how steady the sensor stays over hours is the floor of
// the interval. Rounding is part of the noise of a row.
//
// A thermometer that was touched is left out (touch.go), a step of the sensor is
// taken out and the level freed (step.go), a leak that opened on the way is
// judged from there on (opened.go, gross.go), and each is named.
//
// Prior values are from memory or were chosen on simulated holds; none is a
// published figure unless it says so. The package does no I/O, reads no clock
// and starts no goroutine. Units: Pa absolute, K, s; rates inside are 1/h.
package decay
