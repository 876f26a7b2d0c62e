// Package modbus reads transmitters that speak MODBUS RTU on a serial line,
// mostly RS-485: holding registers (function 03) and input registers (function
// 04), as 16- or 32-bit integers with scale and offset, or as float32 in any of
// the four orders in which makers put its bytes on the line. Several units can
// share one line: see Bus. It writes nothing to a unit.
//
// Sources. Frames of questions and answers: "MODBUS Application Protocol
// Specification V1.1b3" (2012), sections 6.3 and 6.4; exceptions: section 7.
// Addresses, RTU framing, silence between frames, CRC: "MODBUS over Serial Line
// Specification and Implementation Guide V1.02" (2006), sections 2.2, 2.5.1.1,
// 2.5.1.2 and 6.2.2. That a float32 has no agreed order of its two registers:
// neither document has a float; common practice, no source.
//
// The specification ends a frame by 3.5 characters of silence. No program
// behind a USB adapter sees a silence that short, so that frames are found by
// unit, function, length and CRC instead: an echo of the question, the late
// answer of another unit, or noise before the answer does no harm. After a
// question without an answer the line is listened to until it is silent, so that
// a late answer is not taken for that of the next question.
//
// A register says nothing of its unit. The column of the field does: the value
// times scale plus offset is in the column's unit. Values are SI thereafter.
// The accuracy is the transmitter's and stands in its data sheet; the protocol
// adds the step of the integer.
package modbus
