package modbus

import "fmt"

// The functions that read registers: Application Protocol V1.1b3, 6.3 and 6.4.
const (
	readHolding = 0x03
	readInput   = 0x04
)

const (
	questionLen  = 8    // unit, function, address, count, CRC
	exceptionLen = 5    // unit, function, code, CRC
	failed       = 0x80 // set in the function of an exception: section 7
	maxCount     = 125  // registers in one answer: section 6.3
)

// block is a row of registers that one question asks for.
type block struct {
	function byte
	address  uint16
	count    uint16
}

// question is the frame that asks a unit for a block. MODBUS puts the high
// byte of a register first, and of the CRC the low one: Serial Line V1.02, 2.5.1.2.
func (b block) question(unit byte) []byte {
	q := []byte{unit, b.function, byte(b.address >> 8), byte(b.address), byte(b.count >> 8), byte(b.count)}
	return appendCRC(q)
}

// findAnswer looks for the answer to b in what came over the line, wherever it
// begins. It gives the bytes of the registers, or the exception; found is
// false as long as neither is there whole.
func (b block) findAnswer(heard []byte, unit byte) (data []byte, exception error, found bool) {
	for i := range heard {
		f := heard[i:]
		if f[0] != unit || len(f) < exceptionLen {
			continue
		}
		switch n := int(b.count) * 2; {
		case f[1] == b.function && int(f[2]) == n && len(f) >= 5+n && sound(f[:5+n]):
			return f[3 : 3+n], nil, true
		case f[1] == b.function|failed && sound(f[:exceptionLen]):
			return nil, exceptionError(f[2]), true
		}
	}
	return nil, nil, false
}

// sound checks the CRC at the end of a frame.
func sound(frame []byte) bool {
	n := len(frame) - 2
	crc := crc16(frame[:n])
	return frame[n] == byte(crc) && frame[n+1] == byte(crc>>8)
}

func appendCRC(frame []byte) []byte {
	crc := crc16(frame)
	return append(frame, byte(crc), byte(crc>>8))
}

// crc16 is the CRC of Serial Line V1.02, 6.2.2: polynomial 0xA001, reflected, begun with all ones.
func crc16(data []byte) uint16 {
	crc := uint16(0xFFFF)
	for _, b := range data {
		crc ^= uint16(b)
		for range 8 {
			if crc&1 != 0 {
				crc = crc>>1 ^ 0xA001
			} else {
				crc >>= 1
			}
		}
	}
	return crc
}

// exceptionError is what a unit answers instead of registers.
type exceptionError byte

// The exceptions that pass by themselves: Application Protocol V1.1b3, section 7.
const (
	acknowledge exceptionError = 5
	busy        exceptionError = 6
)

func (e exceptionError) passes() bool { return e == acknowledge || e == busy }

func (e exceptionError) Error() string { return fmt.Sprintf("exception %d: %s", byte(e), e.words()) }

// words names an exception as section 7 does, with what to look at.
func (e exceptionError) words() string {
	switch e {
	case 1:
		return "illegal function; try input registers instead of holding ones, or the other way round"
	case 2:
		return "illegal data address; register numbers here begin at 0, where many manuals begin at 1, 30001 or 40001"
	case 3:
		return "illegal data value; fewer registers can be read at once than were asked for"
	case 4:
		return "server device failure"
	case acknowledge:
		return "acknowledge; it needs more time"
	case busy:
		return "server device busy"
	case 8:
		return "memory parity error"
	case 10:
		return "gateway path unavailable"
	case 11:
		return "gateway target device failed to respond"
	}
	return "not in the specification"
}
