package drivertest

import (
	"bytes"
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"testing"
	"time"
	"unicode"
	"unicode/utf8"

	"example.org/holdfast/drivers"
)

// garbage is what comes over a serial line that is not a measurement: noise of
// a wrong baud rate, boot text, escape sequences, a line far too long.
func garbage() [][]byte {
	return [][]byte{
		[]byte("\x00\xff\xfe\x80\x00\x00\x9b31m\x1b[2J\x07\r\n"),
		[]byte("ets Jul 29 boot: rst cause 2, flash mode DIO\r\nsensor ok, fw 1.4\r\n"),
		append(bytes.Repeat([]byte{'U'}, 5000), "\r\n"...),
		[]byte("\xe2\x80\xae\xc2\x9b\xed\xa0\x80\n"), // right-to-left override, C1 control, half a surrogate
		[]byte("\r\n\r\n\n\n"),
	}
}

// whole is how long a check may take before the driver counts as hanging.
const whole = 20 * time.Second

// Conform holds a driver to the contract, with a capture that it can read:
// the pieces in which bytes arrive do not matter, silence and garbage are
// survived, errors of the port come out and are final, Close and the context
// end a Read, and the device's words are clean.
func Conform(t *testing.T, d drivers.Driver, c Capture) {
	t.Helper()
	if d.Name() == "" {
		t.Error("the driver has no name")
	}
	want, err := play(t, d, c, Faults{})
	if errors.Is(err, errEndless) || len(Good(want)) == 0 {
		t.Fatalf("capture gives %d readings, %d good, and ends with %v", len(want), len(Good(want)), err)
	}
	t.Run("pieces", func(t *testing.T) { pieces(t, d, c, want) })
	t.Run("silence", func(t *testing.T) {
		got, _ := play(t, d, c, Faults{Timeouts: true, Piece: every(7)})
		compare(t, "with silence between reads", got, want)
	})
	if !c.asked() {
		t.Run("garbage", func(t *testing.T) { survives(t, d, c, want) })
	}
	t.Run("noise", func(t *testing.T) { noise(t, d, c) })
	t.Run("errors", func(t *testing.T) { failing(t, d, c) })
	t.Run("close", func(t *testing.T) { closing(t, d, c) })
	t.Run("context", func(t *testing.T) { cancelling(t, d, c) })
}

// play reads a capture to its end and checks what must hold for any reading.
func play(t *testing.T, d drivers.Driver, c Capture, f Faults) ([]drivers.Reading, error) {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), whole)
	defer cancel()
	port := Play(c, f)
	src := d.Source(port)
	all, err := Readings(ctx, src)
	if ctx.Err() != nil {
		t.Error("the driver hangs")
	}
	if err := port.Mismatch(); err != nil && !f.Spoilt {
		t.Error(err)
	}
	if err := src.Close(); err != nil {
		t.Errorf("close: %v", err)
	}
	for _, r := range all {
		checkReading(t, r)
	}
	return all, err
}

// maxRaw is the most of a device's words that a reading may carry, in bytes.
const maxRaw = 1024

func checkReading(t *testing.T, r drivers.Reading) {
	t.Helper()
	if !utf8.ValidString(r.Raw) || len(r.Raw) > maxRaw {
		t.Errorf("raw text is not valid UTF-8 or too long: %d bytes, %.60q", len(r.Raw), r.Raw)
	}
	for _, c := range r.Raw + r.Doubt {
		if !unicode.IsPrint(c) {
			t.Errorf("raw text or doubt holds %U: %.60q, %.60q", c, r.Raw, r.Doubt)
		}
	}
	for _, v := range []float64{r.Pressure, float64(r.Ambient), float64(r.Section), float64(r.Barometer)} {
		if math.IsInf(v, 0) {
			t.Errorf("infinite value: %s", Describe(r))
		}
	}
}

// every cuts the stream into pieces of n bytes.
func every(n int) func(int) int { return func(int) int { return n } }

// pieces cuts the capture in two at every place, and into pieces of all sizes.
func pieces(t *testing.T, d drivers.Driver, c Capture, want []drivers.Reading) {
	for at := 1; at < len(c.Bytes()); at++ {
		first := true
		got, _ := play(t, d, c, Faults{Piece: func(left int) int {
			if first {
				first = false
				return at
			}
			return left
		}})
		if !compare(t, "cut in two", got, want) {
			t.Fatalf("cut after byte %d", at)
		}
	}
	for n := 1; n < 70; n++ {
		got, _ := play(t, d, c, Faults{Piece: every(n)})
		if !compare(t, "in pieces", got, want) {
			t.Fatalf("pieces of %d bytes", n)
		}
	}
	rnd := rand.New(rand.NewPCG(1, 2))
	for range 20 {
		got, _ := play(t, d, c, Faults{Piece: func(left int) int { return 1 + rnd.IntN(left) }})
		compare(t, "in pieces of chance", got, want)
	}
}

func compare(t *testing.T, what string, got, want []drivers.Reading) bool {
	t.Helper()
	if len(got) != len(want) {
		t.Errorf("%s: %d readings, want %d", what, len(got), len(want))
		return false
	}
	for i := range got {
		if !Same(got[i], want[i]) {
			t.Errorf("%s: reading %d\n got %s\nwant %s", what, i, Describe(got[i]), Describe(want[i]))
			return false
		}
	}
	return true
}

// survives puts garbage before and behind the capture. Every good reading
// must come through; the first may fall to the garbage before it, and one that
// the driver drops while it finds its footing may appear.
func survives(t *testing.T, d drivers.Driver, c Capture, all []drivers.Reading) {
	want := Good(all)
	for i, g := range garbage() {
		stream := bytes.Join([][]byte{g, c.Bytes(), g}, nil)
		got, _ := play(t, d, Stream(stream), Faults{})
		good := Good(got)
		if !holds(good, want) && !holds(good, want[1:]) {
			t.Errorf("garbage %d: %d good readings, and not the %d of the capture", i, len(good), len(want))
		}
		if extra := len(good) - len(want); extra > 1 {
			t.Errorf("garbage %d became %d good readings", i, extra)
		}
	}
}

// holds reports whether part stands in all, in one piece.
func holds(all, part []drivers.Reading) bool {
	for at := 0; at+len(part) <= len(all); at++ {
		same := true
		for i := range part {
			same = same && Same(all[at+i], part[i])
		}
		if same {
			return true
		}
	}
	return false
}

// noise spoils bytes of the capture at random: nothing may panic or hang.
func noise(t *testing.T, d drivers.Driver, c Capture) {
	rnd := rand.New(rand.NewPCG(3, 4))
	for range 200 {
		var spoilt Capture
		for _, s := range c {
			s.Data = bytes.Clone(s.Data)
			if !s.Sent && len(s.Data) > 0 {
				for range 1 + len(s.Data)/20 {
					s.Data[rnd.IntN(len(s.Data))] = byte(rnd.Uint32())
				}
			}
			spoilt = append(spoilt, s)
		}
		play(t, d, spoilt, Faults{Spoilt: true})
	}
}

var errGone = errors.New("device is gone")

// failing has the port fail in the middle: the error must come out, again and again.
func failing(t *testing.T, d drivers.Driver, c Capture) {
	for _, at := range []int{1, len(c.Bytes()) / 2, len(c.Bytes())} {
		src := d.Source(Play(c, Faults{FailAt: max(1, at), Err: errGone}))
		ctx, cancel := context.WithTimeout(t.Context(), whole)
		if _, err := Readings(ctx, src); !errors.Is(err, errGone) {
			t.Errorf("port failed after %d bytes, driver says %v", at, err)
		}
		if _, err := src.Read(ctx); err == nil {
			t.Error("a reading came after the port had failed")
		}
		src.Close()
		cancel()
	}
}

// soon is how long a Read may go on after it should have ended.
const soon = 2 * time.Second

// closing closes under a Read that waits.
func closing(t *testing.T, d drivers.Driver, c Capture) {
	src := d.Source(Play(c, Faults{Hold: true}))
	done := make(chan error, 1)
	go func() {
		_, err := Readings(t.Context(), src)
		done <- err
	}()
	time.Sleep(20 * time.Millisecond)
	if err := src.Close(); err != nil {
		t.Errorf("close: %v", err)
	}
	select {
	case err := <-done:
		if err == nil {
			t.Error("Read of a closed source gave no error")
		}
	case <-time.After(soon):
		t.Error("Close does not end a Read")
	}
}

// cancelling ends the context under a Read that waits.
func cancelling(t *testing.T, d drivers.Driver, c Capture) {
	src := d.Source(Play(c, Faults{Hold: true}))
	defer src.Close()
	ctx, cancel := context.WithCancel(t.Context())
	done := make(chan error, 1)
	go func() {
		_, err := Readings(ctx, src)
		done <- err
	}()
	time.Sleep(20 * time.Millisecond)
	cancel()
	select {
	case err := <-done:
		if !errors.Is(err, context.Canceled) {
			t.Errorf("Read under a cancelled context gave %v", err)
		}
	case <-time.After(soon):
		t.Error("the context does not end a Read")
	}
}
