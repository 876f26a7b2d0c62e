package main

// awake keeps the machine from sleeping while a hold is recorded, where the
// system offers that. It is best effort: the gas leaks on through a sleep, and
// the log tells of one either way.
type awake struct {
	by      string // what keeps it awake, for the log; "" = nothing does
	release func() // lets it sleep again; never nil
}

// mayDoze is an awake that does nothing.
func mayDoze() awake { return awake{release: func() {}} }

// stayAwake keeps the machine awake if any of the holds has a real instrument.
func stayAwake(plans []livePlan) awake {
	for _, p := range plans {
		for _, ins := range p.instruments {
			if ins.truth == nil {
				return keepAwake()
			}
		}
	}
	return mayDoze()
}
