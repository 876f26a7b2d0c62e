// Package hold is the reducer at the centre of holdfast: records in, State out.
//
// It reads no clock and does no I/O, so a live hold, a replay of its log and an
// import of a table of numbers go through exactly the same code: the same
// records end in the same State. Whatever can change the verdict is a record.
//
// A hold is one or more segments, one per filling. A segment's clock starts when
// the pressure has stopped rising; the mathematics of internal/decay is begun
// anew there, with the room temperatures seen before as its history. Times are s
// since the first record unless said otherwise; pressures inside are absolute Pa.
package hold
