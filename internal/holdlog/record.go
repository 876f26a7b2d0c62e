package holdlog

import (
	"math"

	"example.org/holdfast/internal/units"
)

// Version is the version of the log format that this package writes, and the only one it reads.
const Version = 1

// ClockOfFile is the Header.Clock of what was imported: nobody knows what clock its times come from.
const ClockOfFile = "the file's time column"

// Kind says what a Record holds.
type Kind uint8

// The kinds of record, with the value of "k" in the file.
const (
	KindHeader  Kind = iota + 1 // "hdr": first line of a file; everything known before the hold
	KindSample                  // "s": one measurement
	KindReject                  // "bad": something a device said that could not be used
	KindMark                    // "mark": something the person saw or did
	KindEvent                   // "ev": something that happened to the recording
	KindCheck                   // "ck": fingerprint of the bytes so far
	KindVerdict                 // "verdict": what the screen said when the recording ended; never applied, only compared
)

// Record is one line of a hold log. Exactly one of the payloads belongs to its
// Kind. Whatever can change the verdict is a Record.
type Record struct {
	Kind    Kind
	Wall    int64   // Unix ms, for people
	Elapsed float64 // s since the hold's first record on a clock that counts sleep; the fit uses this one
	Sample  Sample
	Header  *Header
	Text    string // KindReject: the device's words; KindMark: the mark; KindVerdict: the word
	Why     string // KindReject: what is wrong with it
	Count   int    // KindReject: how many readings this record stands for; 0 = one, and Text has it
	Event   Event
	Check   Check
}

// Sample is one measurement, SI; NaN = not measured.
type Sample struct {
	Pressure  float64            // Pa against Ref
	Ref       units.Reference    // gauge or absolute
	Ambient   units.Temperature  // room air beside the part
	Section   units.Temperature  // on the part itself
	Barometer units.Absolute     // around the gauge
	Step      units.PressureDiff // readable step of this reading where it differs from the header's; 0 = same
	Skew      float64            // s; age of the oldest value beside the pressure; 0 = all of one moment
	Device    uint8              // index into Header.Devices of the pressure device
	Raw       string             // the device's own words; "" where the numbers can rebuild them
}

// NoSample is a Sample with nothing measured.
func NoSample() Sample {
	n := math.NaN()
	return Sample{Pressure: n, Ambient: units.Temperature(n), Section: units.Temperature(n), Barometer: units.Absolute(n)}
}

// EventKind names what happened to the recording.
type EventKind string

// The events a log may hold.
const (
	EventRefill     EventKind = "refill"      // a new filling: a new segment begins, the fit starts anew
	EventClosed     EventKind = "closed"      // the valve was closed: filling is over
	EventLost       EventKind = "lost"        // a device fell silent or its port vanished
	EventBack       EventKind = "back"        // it is there again
	EventMissing    EventKind = "missing"     // soon after the start: what a device was meant to give and did not; Text says what
	EventComplete   EventKind = "complete"    // after that: now it gives all
	EventGap        EventKind = "gap"         // nothing was recorded for Seconds
	EventClockStep  EventKind = "clock_step"  // the wall clock jumped by Seconds; the fit does not care
	EventSuspend    EventKind = "suspend"     // the machine slept for Seconds
	EventContinued  EventKind = "continued"   // another run of the program goes on with this file
	EventRecovered  EventKind = "recovered"   // a torn last line was set aside
	EventWriteError EventKind = "write_error" // the disk refused; Text says how
	EventStop       EventKind = "stop"        // the recording was ended on purpose
	EventSignal     EventKind = "signal"      // the system ended the program; Text says how
	EventReleased   EventKind = "released"    // found by the reducer: the pressure was let out after the set time
	EventSettings   EventKind = "settings"    // Header holds changed settings, in force from here
)

// Event is something that happened to the recording.
type Event struct {
	Kind    EventKind
	Device  string  // which device, if one
	Seconds float64 // how long, if it has a length
	Text    string  // in words
}

// Check is a fingerprint of the file up to this line.
type Check struct {
	SHA256  string // hex, of every byte of the file before this line
	Samples int    // samples so far
}

// Header is the first record: all that was known and set before the hold.
type Header struct {
	Version   int      `json:"v"`                    // of the format
	Program   string   `json:"program,omitempty"`    // name and version of the writer
	Tables    string   `json:"tables,omitempty"`     // version of the reference tables
	Clock     string   `json:"clock,omitempty"`      // which clock Elapsed comes from
	Zone      string   `json:"zone,omitempty"`       // time zone for display, RFC 3339 offset
	KeptAwake string   `json:"kept_awake,omitempty"` // what keeps the machine from sleeping; "" = nothing does
	Devices   []Device `json:"devices,omitempty"`    // in the order of Sample.Device
	Settings  Settings `json:"settings"`             // what the person said
	Truth     *Truth   `json:"truth,omitempty"`      // simulated holds only
}

// Device is one instrument as it was set up.
type Device struct {
	Name             string             `json:"name,omitempty"`                 // driver
	Port             string             `json:"port,omitempty"`                 // as given, no machine-specific prefix added
	Gives            string             `json:"gives,omitempty"`                // columns, in the names of the CSV import
	Baud             int                `json:"baud,omitempty"`                 // of a serial port; 0 = none
	Scale            float64            `json:"scale,omitempty"`                // the pressure was multiplied by it; 0 = 1
	Zero             units.PressureDiff `json:"zero_pa,omitempty"`              // taken off the pressure, after Scale
	Calibrated       string             `json:"calibrated,omitempty"`           // day when Scale and Zero were found; "" = not said
	USB              string             `json:"usb,omitempty"`                  // the port by its USB numbers, instead of Port
	USBSerial        string             `json:"usb_serial,omitempty"`           // and serial number
	Parity           string             `json:"parity,omitempty"`               // of a serial port; "" = none
	UnitID           int                `json:"unit_id,omitempty"`              // on a bus with several units; 0 = 1
	Command          string             `json:"command,omitempty"`              // the program that was read
	Points           string             `json:"points,omitempty"`               // two points of a transmitter behind a converter
	Drift            units.PressureDiff `json:"drift_per_yr_pa,omitempty"`      // stated; 0 = unknown
	ZeroDrift        float64            `json:"zero_drift_pa_per_k,omitempty"`  // of the zero with temperature, stated; 0 = unknown
	Stability        units.PressureRate `json:"stability_pa_per_s,omitempty"`   // how steady it stays over hours, standard deviation; 0 = unknown
	PressureStep     units.PressureDiff `json:"pressure_step_pa,omitempty"`     // readable or digital step; 0 = unknown
	PressureRange    units.PressureDiff `json:"pressure_range_pa,omitempty"`    // span; 0 = unknown
	PressureAccuracy units.PressureDiff `json:"pressure_accuracy_pa,omitempty"` // stated, half-width; 0 = unknown
	TemperatureStep  units.TempDiff     `json:"temperature_step_k,omitempty"`   // readable step; 0 = unknown
	Interval         float64            `json:"interval_s,omitempty"`           // s between readings; 0 = unknown
}

// Settings is what the person said before the hold. Text fields are kept as typed, so that the record shows them.
type Settings struct {
	Kind             string             `json:"kind,omitempty"`             // "pressure" or "vacuum"; "" = pressure
	Section          string             `json:"section,omitempty"`          // what is closed off, in the person's words
	Gas              string             `json:"gas,omitempty"`              // "" = nitrogen
	Refrigerant      string             `json:"refrigerant,omitempty"`      // "" = unknown
	Charge           units.Mass         `json:"charge_kg,omitempty"`        // 0 = unknown
	Volume           units.Volume       `json:"volume_m3,omitempty"`        // 0 = unknown
	VolumeError      float64            `json:"volume_error_rel,omitempty"` // relative half-width of the volume; 0 = unknown
	Barometer        units.Absolute     `json:"barometer_pa,omitempty"`     // 0 = unknown; a measured one in a sample goes first
	Altitude         float64            `json:"altitude_m,omitempty"`       // m; used where there is no barometer
	Limit            string             `json:"limit,omitempty"`            // as typed; "" = none
	Tolerate         string             `json:"tolerate,omitempty"`         // as typed, "20%/1y"; "" = none
	Safety           float64            `json:"safety,omitempty"`           // 0 = the default of 3
	Accept           string             `json:"accept,omitempty"`           // vacuum acceptance, as typed
	Capillary        string             `json:"capillary,omitempty"`        // tube from the section to a volume behind it, as typed, "0.7mm:3m"; "" = none
	Behind           units.Volume       `json:"behind_m3,omitempty"`        // that volume; 0 = none
	For              float64            `json:"for_s,omitempty"`            // s the hold is meant to last; 0 = 3600
	Thermometer      string             `json:"thermometer,omitempty"`      // where it sits: "room", "part", "none", "" = not said
	Brazed           bool               `json:"brazed,omitempty"`           // brazed or heated just before the hold
	Display          string             `json:"display,omitempty"`          // pressure unit for the screen; "" = bar
	OverCeiling      string             `json:"over_ceiling,omitempty"`     // why the ceiling is passed, as typed; "" = it is not to be passed
	Ceiling          units.Gauge        `json:"ceiling_pa_gauge,omitempty"` // highest pressure allowed in this section; 0 = not said
	AskEvery         float64            `json:"ask_every_s,omitempty"`      // s between asked readings (manual)
	Blank            Blank              `json:"blank,omitzero"`             // hose and valve held alone, to take off; zero = none
	PressureStep     units.PressureDiff `json:"pressure_step_pa,omitempty"` // overrides the device's; 0 = device's
	PressureRange    units.PressureDiff `json:"pressure_range_pa,omitempty"`
	PressureAccuracy units.PressureDiff `json:"pressure_accuracy_pa,omitempty"`
	TemperatureStep  units.TempDiff     `json:"temperature_step_k,omitempty"`
}

// Blank is what a hold of hose, valve and sensor alone, on a plug, came to. It is
// kept as it was measured, in its own volume and at its own pressure, so that a
// replay needs no file. The zero Blank is none.
type Blank struct {
	File        string             `json:"file"`                       // without its folder
	SHA256      string             `json:"sha256"`                     // hex, of the whole file
	Wall        int64              `json:"t_ms,omitempty"`             // Unix ms of its start; 0 = unknown
	Gas         string             `json:"gas,omitempty"`              // "" = nitrogen
	Rate        units.PressureRate `json:"loss_pa_per_s"`              // by its leak alone, at Pressure; may be negative
	Error       units.PressureRate `json:"loss_error_pa_per_s"`        // its standard uncertainty
	Pressure    units.Absolute     `json:"pressure_pa"`                // absolute, at its start
	Temperature units.Temperature  `json:"temperature_k"`              // of the room at its start
	Volume      units.Volume       `json:"volume_m3,omitempty"`        // 0 = unknown
	VolumeError float64            `json:"volume_error_rel,omitempty"` // relative half-width; 0 = unknown
	SameVolume  bool               `json:"same_volume,omitempty"`      // held in a volume as large as the section's
}

// VolumeSE is the relative standard uncertainty of the volume: a stated tolerance
// is taken as the half-width of a 95 % interval. 0 = nothing is stated.
func (s Settings) VolumeSE() float64 { return s.VolumeError / 1.96 }

// Truth is what a simulated hold really did.
type Truth struct {
	Rate     units.PressureRate `json:"rate_pa_per_s"`        // loss of pressure by the leak alone, at the start pressure
	OpensAt  float64            `json:"opens_at_s,omitempty"` // s; 0 = from the start
	Seed     uint64             `json:"seed"`
	Scenario string             `json:"scenario,omitempty"`
}
