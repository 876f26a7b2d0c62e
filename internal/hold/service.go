package hold

import (
	"example.org/holdfast/internal/gas"
	"example.org/holdfast/internal/units"
	"example.org/holdfast/internal/verdict"
)

// bubble is the diameter of the bubble of soap that people are told to look for, m.
const bubble = 2e-3

// inService says what the leak that was found means in service, or else the one
// that could still hide; nil = not known.
func (u *setup) inService(v verdict.Verdict, p units.Absolute, t units.Temperature) *verdict.Service {
	f := v.Hides
	if v.Word == verdict.Leaking {
		f = v.Leak
	}
	if !f.HasThroughput || f.Rate <= 0 {
		return nil
	}
	soap := gas.SoapShows(f.Throughput, u.atmosphere)
	s := &verdict.Service{
		Bound: v.Word != verdict.Leaking,
		Soap:  verdict.Soap{Bubble: bubble, EverySeconds: gas.BubbleTime(f.Throughput, bubble, u.atmosphere), Foam: soap.Foam, Wait: gas.SoapWait, Seen: soap.Seen()},
	}
	if u.refrigerant == nil {
		return s
	}
	in, err := gas.InService(f.Throughput, gas.State{Fluid: u.gas, Pressure: p, Temperature: t}, *u.refrigerant, u.atmosphere)
	if err != nil {
		return s // a test below the air around: its pressure drives no leak outwards
	}
	s.HasRunning, s.Evaporating, s.Condensing = true, sideOf(in.Evaporating), sideOf(in.Condensing)
	rest := in.Standstill.Out
	slow, ok := gas.DaysToLose(u.charge, u.share, rest.Least())
	soon, _ := gas.DaysToLose(u.charge, u.share, rest.Worst())
	if u.charge > 0 && ok {
		s.HasShare, s.Share, s.Charge, s.Days = true, u.share, u.charge, verdict.Range{Least: soon, Most: slow}
	}
	return s
}

// sideOf puts a side into figures for people.
func sideOf(s gas.Side) verdict.Side {
	loss, air := s.Out, s.In.Worst() > 0
	if air {
		loss = s.In
	}
	return verdict.Side{
		Saturation: s.Saturation, DrawsAir: air,
		Loss: verdict.Range{Least: loss.Least().GramsPerYear(), Most: loss.Worst().GramsPerYear()},
	}
}
