package main

import (
	"math"

	"example.org/holdfast/internal/verdict"
)

// serviceJSON are the fields of judge --json that say what the leak means in
// service. They are of the leak where one was called, else of the bound on what could hide.
type serviceJSON struct {
	Of        *string        `json:"service_of"` // "leak" or "bound"
	Operating *operatingJSON `json:"refrigerant_operating_g_per_yr"`
	Soap      *soapJSON      `json:"soap"`
	Days      *shareJSON     `json:"charge_share_days"`
}

// rangeJSON is a figure under the milder and under the worse flow law.
type rangeJSON struct {
	Least float64 `json:"least"`
	Most  float64 `json:"most"`
}

type operatingJSON struct {
	Evaporating sideJSON `json:"evaporating"`
	Condensing  sideJSON `json:"condensing"`
}

// sideJSON is a side of the running machine: it loses refrigerant or draws in air, g/yr; the other is null.
type sideJSON struct {
	Saturation float64    `json:"saturation_c"`
	Refrig     *rangeJSON `json:"refrigerant"`
	Air        *rangeJSON `json:"air_drawn_in"`
}

type soapJSON struct {
	Bubble  float64 `json:"bubble_mm"`
	Seconds float64 `json:"s_per_bubble"`
	Foam    float64 `json:"foam_mm"`
	Wait    float64 `json:"foam_after_s"`
	Seen    bool    `json:"seen"`
}

type shareJSON struct {
	Share float64 `json:"share"` // 0 to 1
	rangeJSON
}

func serviceOf(s *verdict.Service) (o serviceJSON) {
	if s == nil {
		return o
	}
	of := "leak"
	if s.Bound {
		of = "bound"
	}
	o.Of = &of
	o.Soap = &soapJSON{s.Soap.Bubble * 1e3, s.Soap.EverySeconds, s.Soap.Foam * 1e3, s.Soap.Wait, s.Soap.Seen}
	if s.HasRunning {
		o.Operating = &operatingJSON{sideJSONOf(s.Evaporating), sideJSONOf(s.Condensing)}
	}
	if s.HasShare {
		o.Days = &shareJSON{s.Share, rangeJSON(s.Days)}
	}
	return o
}

func sideJSONOf(s verdict.Side) sideJSON {
	o := sideJSON{Saturation: math.Round(s.Saturation.Celsius())}
	r := rangeJSON(s.Loss)
	if s.DrawsAir {
		o.Air = &r
	} else {
		o.Refrig = &r
	}
	return o
}
