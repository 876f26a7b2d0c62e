// Package acquire reads the instruments of a hold. It owns the goroutines and
// the clock of the program: everything before it is bytes, everything after it
// is a Record.
//
// Each device has one goroutine that reads, and reads again after the device
// was lost. What arrives is stamped at once, with the wall time for people and
// with the seconds elapsed on a clock that counts sleep for the fit, and put
// into a queue. Run alone takes from the queue, pairs pressures with the
// temperatures of other devices and hands Records to Config.Emit in order of
// time. A slow Emit (a disk that hangs) therefore delays nobody's reading.
//
// A device that falls silent, breaks off or panics becomes a "lost" event and
// is opened again until it answers; the hold goes on meanwhile. The package
// judges nothing: whether a reading is frozen or a jump is real is the hold's
// business. Values are SI, times are seconds since the start of the record.
package acquire
