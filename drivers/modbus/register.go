package modbus

import (
	"cmp"
	"encoding/binary"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"example.org/holdfast/drivers"
	"example.org/holdfast/internal/units"
)

// register is where a field stands and how its bytes become a number.
type register struct {
	field    drivers.Field
	function byte
	address  uint16
	kind     kind
	order    order // of a 32-bit value
	scale    float64
	offset   float64 // in the column's unit, after scale
}

// kind is the type of a number in registers.
type kind string

const (
	int16Kind   kind = "int16"
	uint16Kind  kind = "uint16"
	int32Kind   kind = "int32"
	uint32Kind  kind = "uint32"
	float32Kind kind = "float32"
)

func (k kind) registers() uint16 {
	if k == int16Kind || k == uint16Kind {
		return 1
	}
	return 2
}

// order says which byte of a 32-bit value, A being the highest, comes when.
type order string

func (o order) known() bool { return slices.Contains([]order{"abcd", "cdab", "badc", "dcba"}, o) }

const keyHelp = `write FIELD=COLUMN with a field such as holding:0:float32, input:4:int16*0.01 or holding:0x10:float32:cdab*0.1-40`

// parseRegister reads the key of a field:
//
//	holding|input : register [: type [: order]] [*scale] [+offset|-offset]
//
// The register is the number that goes over the line, from 0, decimal or 0x.
// The type is int16 if not said, the order of a 32-bit value abcd.
func parseRegister(f drivers.Field) (register, error) {
	r := register{field: f, kind: int16Kind, order: "abcd", scale: 1}
	key := strings.ToLower(strings.ReplaceAll(f.Key, " ", ""))
	place, sum := key, ""
	if i := strings.IndexAny(key, "*+-"); i >= 0 {
		place, sum = key[:i], key[i:]
	}
	parts := strings.Split(place, ":")
	if len(parts) < 2 || len(parts) > 4 {
		return r, fmt.Errorf("field %q has no register: %s", f.Key, keyHelp)
	}
	var known bool
	if r.function, known = functions()[parts[0]]; !known {
		return r, fmt.Errorf("field %q is neither holding nor input: %s", f.Key, keyHelp)
	}
	if err := r.parsePlace(parts); err != nil {
		return r, err
	}
	return r, r.parseSum(sum)
}

// functions are those that read, by the word for their registers.
func functions() map[string]byte { return map[string]byte{"holding": readHolding, "input": readInput} }

// parsePlace reads register, type and order.
func (r *register) parsePlace(parts []string) error {
	address, err := strconv.ParseUint(parts[1], 0, 16)
	if err != nil {
		return fmt.Errorf("register %q is no number from 0 to 65535", parts[1])
	}
	r.address = uint16(address)
	if len(parts) > 2 {
		r.kind = kind(parts[2])
	}
	if !slices.Contains([]kind{int16Kind, uint16Kind, int32Kind, uint32Kind, float32Kind}, r.kind) {
		return fmt.Errorf("type %q is none of int16, uint16, int32, uint32, float32", parts[2])
	}
	if len(parts) > 3 {
		r.order = order(parts[3])
	}
	if !r.order.known() || len(parts) > 3 && r.kind.registers() == 1 {
		return fmt.Errorf("order %q is none of abcd, cdab, badc, dcba of a 32-bit value", r.order)
	}
	if int(r.address)+int(r.kind.registers()) > 1<<16 {
		return fmt.Errorf("register %q leaves no room for %s", parts[1], r.kind)
	}
	return nil
}

// parseSum reads "*0.1-40".
func (r *register) parseSum(sum string) (err error) {
	text := sum
	if strings.HasPrefix(text, "*") {
		if r.scale, text, err = units.ParseNumber(text[1:]); err != nil || r.scale == 0 {
			return fmt.Errorf("scale in %q is no factor", sum)
		}
	}
	if text != "" {
		if r.offset, text, err = units.ParseNumber(text); err != nil || text != "" {
			return fmt.Errorf("offset in %q is no number", sum)
		}
	}
	return nil
}

// value makes the bytes of the registers a number in the column's unit.
func (r register) value(b []byte) float64 {
	var v float64
	switch r.kind {
	case int16Kind:
		v = float64(int16(binary.BigEndian.Uint16(b)))
	case uint16Kind:
		v = float64(binary.BigEndian.Uint16(b))
	case int32Kind:
		v = float64(int32(r.order.uint32(b)))
	case uint32Kind:
		v = float64(r.order.uint32(b))
	case float32Kind:
		v = float64(math.Float32frombits(r.order.uint32(b)))
	}
	return v*r.scale + r.offset
}

// uint32 puts the bytes of a value in order.
func (o order) uint32(b []byte) uint32 {
	var v uint32
	for i, letter := range []byte(o) {
		v |= uint32(b[i]) << (8 * ('d' - letter))
	}
	return v
}

// step is the digital step of an integer in SI; a float32 does not say it.
func (r register) step() float64 {
	if r.kind == float32Kind {
		return 0
	}
	return math.Abs(r.scale * r.field.Column.Scale)
}

// blocks groups registers that adjoin into one question each. Those between
// are not read along: many units answer with an exception for what they do not have.
func blocks(regs []register) []block {
	sorted := slices.SortedFunc(slices.Values(regs), func(a, b register) int {
		return cmp.Or(cmp.Compare(a.function, b.function), cmp.Compare(a.address, b.address))
	})
	var all []block
	for _, r := range sorted {
		end := int(r.address) + int(r.kind.registers())
		if n := len(all); n > 0 {
			last := &all[n-1]
			lastEnd := int(last.address) + int(last.count)
			if last.function == r.function && int(r.address) <= lastEnd && end-int(last.address) <= maxCount {
				last.count = uint16(max(lastEnd, end) - int(last.address))
				continue
			}
		}
		all = append(all, block{r.function, r.address, r.kind.registers()})
	}
	return all
}

// in cuts the register out of the answer to a block that holds it; ok = it does.
func (r register) in(b block, data []byte) (bytes []byte, ok bool) {
	from := (int(r.address) - int(b.address)) * 2
	to := from + int(r.kind.registers())*2
	if r.function != b.function || from < 0 || to > len(data) {
		return nil, false
	}
	return data[from:to], true
}
