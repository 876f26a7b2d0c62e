package main

import (
	"os/exec"
	"runtime"
)

// awake keeps the machine from sleeping while a hold is recorded, where the
// system offers that. It is best effort: the gas leaks on through a sleep, and
// the log tells of one either way.
type awake struct {
	by      string // what keeps it awake, for the log; "" = nothing does
	release func() // lets it sleep again; never nil
	wanted  bool   // a hold has a real instrument
}

// awakeAdvice is for systems and machines on which nothing does.
const awakeAdvice = "Set it to stay on, with the lid open, until the hold is over."

// awakeHere says whether a hold keeps this machine awake, without doing it.
func awakeHere() string {
	if runtime.GOOS == "windows" {
		return "a hold keeps this machine awake (SetThreadExecutionState)"
	}
	if _, err := exec.LookPath(awakeBy); err != nil {
		return "nothing here keeps this machine awake during a hold. " + awakeAdvice
	}
	return "a hold keeps this machine awake if " + awakeBy + " does that here, and says at its start whether it does"
}

// mayDoze is an awake that does nothing.
func mayDoze() awake { return awake{release: func() {}} }

// stayAwake keeps the machine awake if any of the holds has a real instrument.
func stayAwake(plans []livePlan) awake {
	for _, p := range plans {
		for _, ins := range p.instruments {
			if ins.truth == nil {
				k := keepAwake()
				k.wanted = true
				return k
			}
		}
	}
	return mayDoze()
}
