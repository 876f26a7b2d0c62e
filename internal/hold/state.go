package hold

import (
	"example.org/holdfast/internal/decay"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/units"
	"example.org/holdfast/internal/verdict"
)

// Phase is where the hold stands.
type Phase string

// The phases, in order. A refill goes back to Filling.
const (
	Waiting  Phase = "waiting"  // no reading yet
	Filling  Phase = "filling"  // pressure still being let in
	Settling Phase = "settling" // closed; filling heat and hoses still dominate
	Holding  Phase = "holding"  // the fit has the say
	Done     Phase = "done"     // the set time is over; recording goes on
)

// State is an immutable picture of a hold after some record. It holds no NaN
// and no pointers into the reducer, so it may be kept, compared and shown by
// any goroutine. Times are s since the first record unless said otherwise.
type State struct {
	Header  holdlog.Header
	Records int

	Phase      Phase
	PhaseSince float64
	Elapsed    float64 // of the last record
	Wall       int64   // Unix ms of the last record
	StartWall  int64   // Unix ms of the first record
	Ended      bool    // a stop event was seen

	Segment      int     // 1 = first filling
	SegmentStart float64 // when this segment's clock begins (end of filling)
	HoldFor      float64 // s the hold is meant to last, from SegmentStart
	Left         float64 // s still to go; 0 = over

	HasPressure bool
	Pressure    units.Absolute // last
	Gauge       units.Gauge    // last
	Atmosphere  units.Absolute // used for the bridge
	HasAmbient  bool
	Ambient     units.Temperature
	HasSection  bool
	Section     units.Temperature

	Samples      int
	Rejected     int
	LastSampleAt float64 // s; age of data = now - LastSampleAt
	LastReject   string
	Interval     float64  // s, usual distance of samples
	Lost         []string // devices that are silent now
	Missing      []string // "device: what it was meant to give and never gave so far", in words

	Estimate  decay.Estimate
	Rise      *decay.RiseEstimate // of a vacuum hold, never changed once given out; nil = none yet
	Blank     *verdict.Blank      // the blank hold that Estimate is without, never changed once given out; nil = none
	Verdict   verdict.Verdict
	RangAt    float64          // s since SegmentStart when the bell rang for a leak; 0 = it did not
	Service   *verdict.Service // what the leak, or the bound on it, means in service; nil = not known
	LimitRate float64          // Pa/s at start pressure; 0 = none
	PerPascal verdict.Figures  // what a loss of 1 Pa/s is in every unit that is known: all leak figures are proportional to it

	Curve      []decay.Point // of this segment, decimated, T since SegmentStart
	Projection []Band        // from the last point to the end of the set time
	LimitLine  []XY          // what the corrected pressure would do at exactly the limit
	Marks      []Mark
	Recheck    *Recheck  // what the last mark changed; never altered once given out, nil = no mark in this segment
	Events     []EventAt // newest last, a bounded number
	Alarms     []Alarm   // every ring, in order
}

// Band is a place on the projection, absolute Pa.
type Band struct{ T, Mid, Lo, Hi float64 }

// XY is a place on a line: T in s since SegmentStart, P absolute Pa.
type XY struct{ T, P float64 }

// Mark is something the person saw or did.
type Mark struct {
	Elapsed float64
	Text    string
	Segment int
}

// EventAt is an event of the log with its time.
type EventAt struct {
	Elapsed float64
	Event   holdlog.Event
}

// AlarmKind says why the bell rings.
type AlarmKind string

// The reasons to ring.
const (
	AlarmLeak     AlarmKind = "leak"     // a leak was called
	AlarmLost     AlarmKind = "lost"     // the pressure device is gone
	AlarmTime     AlarmKind = "time"     // the set time is over
	AlarmAsk      AlarmKind = "ask"      // a reading is due (manual; raised by the screen, not by the log)
	AlarmTight    AlarmKind = "tight"    // proven tight to the limit
	AlarmReleased AlarmKind = "released" // after the set time the pressure fell at once
	AlarmCeiling  AlarmKind = "ceiling"  // pressure above the section's ceiling
)

// Alarm is one ring.
type Alarm struct {
	Elapsed float64
	Kind    AlarmKind
	Text    string
}
