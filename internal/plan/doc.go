// Package plan says before a hold what the hold can do: the pressure it must not
// pass and why, the leak it should be judged by, the smallest leak it can see
// after some time, and what would help most.
//
// What a hold can see is not read from a table. The engine of internal/decay is
// fed a nominal hold of the same instruments, tight and quiet, and its own standard
// uncertainty is read off as time goes by. So a better engine makes a better plan.
//
// The package also reckons volumes (from tubes, or by letting gas expand) and
// judges whether a capillary is clear. It does no I/O and reads no clock.
// Pressures are absolute unless named gauge; all values are SI.
package plan
