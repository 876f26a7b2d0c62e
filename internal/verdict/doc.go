// Package verdict turns an estimate and an acceptance limit into one of three
// words, with the reasons in the words a technician uses. It is pure rules: no
// I/O, no clock, no mathematics beyond comparing numbers.
//
// The rules, in this order:
//
//   - leaking: the lower end of the 95 % interval is above the limit (while the
//     hold is still running, 3.3 standard uncertainties), or the sequential alarm
//     has rung and the value is above the limit. Without a limit only the alarm
//     can call a leak.
//   - tight: the value plus two standard uncertainties is below the limit. While
//     the hold is still running the look is one of many, so it takes 2.6. A rise
//     counts as an error of its size. Never while something hides a leak: what
//     lifts or holds the pressure, a dead sensor, a fall that began a moment ago,
//     a leak above the limit earlier that may be plugged now, or a fall that became
//     slower, as behind a valve that cuts the gauge off.
//   - unproven: everything else, with what could still hide and how much longer
//     this same hold would need.
//
// Where a blank hold of hose and valve was taken off, the estimate is the leak without
// them, and the bell of the section as a whole calls a leak only if what is left is
// proven above zero.
//
// Nothing is tight without a limit: the bound on what could hide is stated
// instead.
package verdict
