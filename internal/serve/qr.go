package serve

import (
	"strings"

	"rsc.io/qr"
)

// QR draws an address as a QR code (ISO/IEC 18004) of block characters, two
// modules to a line, light on dark as a terminal shows it: each line stands
// for itself, so that it can be put anywhere. Phones read it either way round.
func QR(address string) ([]string, error) {
	code, err := qr.Encode(address, qr.L)
	if err != nil {
		return nil, err
	}
	const quiet = 2 // modules of margin; four are the rule, and a terminal's own edge helps
	dark := func(x, y int) bool { return code.Black(x-quiet, y-quiet) }
	size := code.Size + 2*quiet
	var lines []string
	for y := 0; y < size; y += 2 {
		var b strings.Builder
		for x := range size {
			switch up, down := dark(x, y), y+1 < size && dark(x, y+1); {
			case up && down:
				b.WriteRune(' ')
			case up:
				b.WriteRune('▄')
			case down:
				b.WriteRune('▀')
			default:
				b.WriteRune('█')
			}
		}
		lines = append(lines, b.String())
	}
	return lines, nil
}
