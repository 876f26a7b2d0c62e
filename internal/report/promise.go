package report

import (
	"cmp"
	"fmt"

	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/plan"
	"example.org/holdfast/internal/units"
	"example.org/holdfast/internal/verdict"
)

const promiseSource = "The quiet hold that the plan plays to the engine, with these instruments at this pressure; simulated holds keep it within a quarter."

// promised sets what the plan would have promised for this hold beside what it
// reached; "" = too little is known of the instruments, or the hold too short.
func promised(st *hold.State) string {
	with, ok := instruments(st)
	if !ok || !st.Estimate.Valid {
		return ""
	}
	set := st.Header.Settings
	seconds := st.Estimate.At
	if with.ByHand {
		seconds += with.Interval // a reading counts once the next one is there
	}
	rate, ok := plan.Promise(plan.Watched{
		Gas: set.Gas, Start: units.Absolute(st.Estimate.Start), Atmosphere: st.Atmosphere,
		With: with, Brazed: set.Brazed, Seconds: seconds,
	})
	if !ok {
		return ""
	}
	short := func(r units.PressureRate) string {
		per := st.PerPascal
		return verdict.Figures{
			Rate: r, Throughput: units.LeakRate(r) * per.Throughput, HasThroughput: per.HasThroughput,
			Refrigerant: units.MassRate(r) * per.Refrigerant, HasRefrigerant: per.HasRefrigerant,
		}.Short(unitOf(st))
	}
	such := fmt.Sprintf("such a hold proves %s in every second case; ", short(rate))
	if st.Verdict.Word == verdict.Leaking {
		return such + "this one found a leak of " + st.Verdict.Leak.Short(unitOf(st))
	}
	return such + "this one proved " + st.Verdict.Hides.Short(unitOf(st))
}

// instruments are those of a hold, as the plan wants them; ok = span or readable
// step of the pressure are known, and so how often it was read.
func instruments(st *hold.State) (with plan.Instruments, ok bool) {
	if len(st.Header.Devices) == 0 {
		return with, false
	}
	set := st.Header.Settings
	with = plan.Instruments{
		Range: set.PressureRange, Step: set.PressureStep, TempStep: set.TemperatureStep,
		Interval: st.Interval, ByHand: st.Header.Devices[0].Name == "manual", Thermometer: plan.NoThermometer,
	}
	for _, d := range st.Header.Devices {
		with.Range, with.Step = cmp.Or(with.Range, d.PressureRange), cmp.Or(with.Step, d.PressureStep)
		with.TempStep, with.Interval = cmp.Or(with.TempStep, d.TemperatureStep), cmp.Or(with.Interval, d.Interval)
	}
	switch {
	case st.HasSection:
		with.Thermometer = plan.OnPart
	case st.HasAmbient:
		with.Thermometer = plan.InRoom
	}
	if with.ByHand {
		return with, with.Step > 0 && with.Interval > 0
	}
	return with, with.Range > 0 && with.Interval > 0
}
