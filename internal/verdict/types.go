package verdict

import "example.org/holdfast/internal/units"

// Word is the verdict.
type Word string

// The three verdicts. Nothing is tight without proof.
const (
	Tight    Word = "tight"
	Leaking  Word = "leaking"
	Unproven Word = "unproven"
)

// ExitCode is the process exit code of the verdict, as in the command line contract.
func (w Word) ExitCode() int {
	switch w {
	case Tight:
		return 0
	case Leaking:
		return 1
	default:
		return 3
	}
}

// Verdict is the word with all that stands behind it.
type Verdict struct {
	Word     Word
	Phrase   string   // what it means, in a few words: "nothing above 12 g/yr so far"
	Reasons  []string // full sentences, most important first
	Warnings []string // doubts about data or set-up
	Causes   []Cause  // what else looks like this, with the evidence
	Advice   []string // what to do next, in order
	Narrower string   // what would narrow the interval most; "" = nothing is known yet
	MoreHold float64  // s this same hold would still need; 0 = decided, <0 = longer would not help
	Limit    Limit
	Leak     Figures // what was seen
	Hides    Figures // what could still hide: the upper bound
}

// Cause is a possible explanation and what speaks for it.
type Cause struct {
	Cause    string `json:"cause"`
	Evidence string `json:"evidence"`
}

// Limit is the acceptance limit, resolved for this hold.
type Limit struct {
	Set  bool
	Rate units.PressureRate // at the start pressure
	Text string             // as typed, or how it was derived
	// ByVolume: stated as an amount, so that Rate is as uncertain as the volume it was reckoned with.
	ByVolume bool
}

// Figures states one leak in every unit that can be known. Zero Valid flags mean unknown.
type Figures struct {
	Rate           units.PressureRate
	PercentPerHour float64        // of the absolute start pressure
	Throughput     units.LeakRate // of the test gas; needs a volume
	HasThroughput  bool
	Refrigerant    units.MassRate // at standstill, by the worse law; needs volume and refrigerant
	RefrigerantLow units.MassRate // by the milder law
	HasRefrigerant bool
}
