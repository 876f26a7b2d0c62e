package modbus

import (
	"bytes"
	"context"
	"encoding/hex"
	"errors"

	"math"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"example.org/holdfast/drivers"
	"example.org/holdfast/drivers/drivertest"
	"example.org/holdfast/internal/units"
)

func mustUnit(t testing.TB, cfg Config) *Unit {
	t.Helper()
	if cfg.Clock.Now == nil {
		cfg.Clock = madeUpClock(new(time.Duration))
	}
	u, err := New(cfg)
	if err != nil {
		t.Fatal(err)
	}
	return u
}

// madeUpClock shows now, and lets it pass when somebody sleeps.
func madeUpClock(now *time.Duration) drivers.Clock {
	return drivers.Clock{
		Now:   func() time.Duration { return *now },
		Sleep: func(ctx context.Context, d time.Duration) error { *now += d; return ctx.Err() },
	}
}

// tickingClock goes on by a millisecond whenever somebody looks: patience is counted in reads of the port.
func tickingClock() drivers.Clock {
	var now atomic.Int64
	return drivers.Clock{
		Now:   func() time.Duration { return time.Duration(now.Add(int64(time.Millisecond))) },
		Sleep: func(ctx context.Context, d time.Duration) error { now.Add(int64(d)); return ctx.Err() },
	}
}

// The capture was recorded between this driver and libmodbus.
func TestConformance(t *testing.T) {
	u := mustUnit(t, Config{Fields: "holding:0:float32=pressure_bar_abs,input:0:int16*0.1=section_c", Interval: time.Nanosecond, Patience: 40 * time.Millisecond, Clock: tickingClock()})
	capture := drivertest.Load(t, "testdata/transmitter.capture")
	drivertest.Conform(t, u, capture)
	all, _ := drivertest.Readings(t.Context(), u.Source(drivertest.Play(capture, drivertest.Faults{})))
	if len(all) != 4 || math.Abs(all[0].Pressure-1012345.6) > 0.1 || all[0].Section != units.FromCelsius(21.5) {
		t.Errorf("%d readings, the first %s", len(all), drivertest.Describe(all[0]))
	}
}

// The question and the answer printed as examples in the MODBUS Application
// Protocol Specification V1.1b3, 6.3 and 6.4, with unit and CRC around them.
func TestTheExamplesOfTheSpecification(t *testing.T) {
	for _, c := range []struct {
		b              block
		question, data string
		answer         string
	}{
		{block{readHolding, 107, 3}, "03006b0003", "022b00000064", "0306022b00000064"},
		{block{readInput, 8, 1}, "0400080001", "000a", "0402000a"},
	} {
		q := c.b.question(0x11)
		if hex.EncodeToString(q[1:len(q)-2]) != c.question || !sound(q) {
			t.Errorf("question %x", q)
		}
		data, exception, found := c.b.findAnswer(framed(0x11, c.answer), 0x11)
		if !found || exception != nil || hex.EncodeToString(data) != c.data {
			t.Errorf("answer %x, %v, %v", data, exception, found)
		}
	}
	// Check value of CRC-16/MODBUS over the digits 1 to 9, as catalogues of CRCs print it: from memory.
	if got := crc16([]byte("123456789")); got != 0x4B37 {
		t.Errorf("CRC %#x, want 0x4b37", got)
	}
}

// framed puts unit and CRC around what the Application Protocol calls a PDU.
func framed(unit byte, pdu string) []byte {
	data, err := hex.DecodeString(pdu)
	if err != nil {
		panic(err)
	}
	return appendCRC(append([]byte{unit}, data...))
}

// scripted is a line on which things come as the test says: after each question the next piece of the script.
type scripted struct {
	now    *time.Duration
	script [][]byte
	asked  [][]byte
	at     []time.Duration // of the questions
	coming []byte
	err    error
}

func (s *scripted) Write(q []byte) (int, error) {
	s.asked, s.at = append(s.asked, bytes.Clone(q)), append(s.at, *s.now)
	if len(s.script) > 0 {
		s.coming, s.script = append(s.coming, s.script[0]...), s.script[1:]
	}
	return len(q), nil
}

func (s *scripted) Read(b []byte) (int, error) {
	if len(s.coming) == 0 {
		*s.now += 100 * time.Millisecond // a port's read without anything to read
		return 0, s.err
	}
	n := copy(b, s.coming)
	s.coming = s.coming[n:]
	return n, nil
}

func (s *scripted) Close() error { return nil }

func concat(frames ...[]byte) []byte { return bytes.Join(frames, nil) }

// Long: the table.
func TestAnswersAreFoundAmongOtherThings(t *testing.T) {
	good := framed(1, "0302000a") // 10
	question := block{readHolding, 0, 1}.question(1)
	spoilt := slices.Clone(good)
	spoilt[3] ^= 1
	for _, c := range []struct {
		name   string
		script [][]byte
		asked  int
		doubt  string
	}{
		{"plain", [][]byte{good}, 1, ""},
		{"echoed question", [][]byte{concat(question, good)}, 1, ""},
		{"noise before", [][]byte{concat([]byte{0, 0xff, 1, 3, 1, 3, 2}, good)}, 1, ""},
		{"another unit's late answer", [][]byte{concat(framed(2, "03020bad"), good)}, 1, ""},
		{"answer of another function", [][]byte{concat(framed(1, "04020bad"), good)}, 1, ""},
		{"answer of another length", [][]byte{concat(framed(1, "03040bad0bad"), good)}, 1, ""},
		{"spoilt once", [][]byte{spoilt, good}, 2, ""},
		{"half once", [][]byte{good[:4], good}, 2, ""},
		{"silent once", [][]byte{nil, good}, 2, ""},
		{"busy once", [][]byte{framed(1, "8306"), good}, 2, ""},
		{"silent", nil, 3, "no answer;"},
		{"noise", [][]byte{{1, 2, 3}, {1, 2, 3}, {1, 2, 3}}, 3, "no answer that can be read"},
		{"busy", [][]byte{framed(1, "8306"), framed(1, "8306"), framed(1, "8306")}, 3, "busy"},
		{"illegal address", [][]byte{framed(1, "8302")}, 1, "exception 2: illegal data address"},
		{"unheard of exception", [][]byte{framed(1, "8363")}, 1, "exception 99"},
	} {
		t.Run(c.name, func(t *testing.T) {
			line := &scripted{now: new(time.Duration), script: c.script}
			src := mustUnit(t, Config{Fields: "holding:0=pressure_bar", Clock: madeUpClock(line.now)}).Source(line)
			r, err := src.Read(t.Context())
			if err != nil || len(line.asked) != c.asked {
				t.Fatalf("%d questions, error %v; want %d", len(line.asked), err, c.asked)
			}
			if c.doubt == "" && r.Pressure != 10e5 || !strings.Contains(r.Doubt, c.doubt) {
				t.Errorf("%s, want doubt %q", drivertest.Describe(r), c.doubt)
			}
		})
	}
}

func TestALateAnswerIsNotTakenForThatOfTheNextQuestion(t *testing.T) {
	line := &scripted{now: new(time.Duration)}
	u := mustUnit(t, Config{Fields: "holding:0=pressure_bar,holding:9=section_k", Retries: -1, Clock: madeUpClock(line.now)})
	src := u.Source(line)
	if r, err := src.Read(t.Context()); err != nil || r.Doubt == "" {
		t.Fatalf("%+v, %v", r, err)
	}
	line.coming = framed(1, "03020bad") // the answer to the first, too late
	line.script = [][]byte{framed(1, "0302000a"), framed(1, "0302012c")}
	r, err := src.Read(t.Context())
	if err != nil || r.Pressure != 10e5 || r.Section != 300 {
		t.Errorf("%s, %v", drivertest.Describe(r), err)
	}
}

// Serial Line V1.02, 2.5.1.1: 3.5 characters, and 1.75 ms above 19200 baud.
func TestSilenceGoesBeforeEachQuestion(t *testing.T) {
	for baud, want := range map[int]time.Duration{0: 4010 * time.Microsecond, 9600: 4010 * time.Microsecond, 19200: 2005 * time.Microsecond, 115200: 1750 * time.Microsecond} {
		if got := silence(baud); (got - want).Abs() > time.Microsecond {
			t.Errorf("%d baud: %v, want %v", baud, got, want)
		}
	}
	line := &scripted{now: new(time.Duration), script: [][]byte{framed(1, "0302000a"), framed(1, "0302000a")}}
	u := mustUnit(t, Config{Fields: "holding:0=pressure_bar,holding:9=section_k", Baud: 1200, Clock: madeUpClock(line.now)})
	if _, err := u.Source(line).Read(t.Context()); err != nil {
		t.Fatal(err)
	}
	if len(line.at) != 2 || line.at[1]-line.at[0] < silence(1200) {
		t.Errorf("asked at %v", line.at)
	}
}

func TestReadingsComeAtTheirInterval(t *testing.T) {
	line := &scripted{now: new(time.Duration)}
	for range 3 {
		line.script = append(line.script, framed(1, "0302000a"))
	}
	src := mustUnit(t, Config{Fields: "holding:0=pressure_bar", Interval: 2 * time.Second, Clock: madeUpClock(line.now)}).Source(line)
	for range 3 {
		if _, err := src.Read(t.Context()); err != nil {
			t.Fatal(err)
		}
	}
	if gap := line.at[2] - line.at[1]; gap != 2*time.Second {
		t.Errorf("gap of %v", gap)
	}
}

func TestRegistersThatAdjoinAreOneQuestion(t *testing.T) {
	u := mustUnit(t, Config{Fields: "holding:6=ambient_c,holding:4:float32=pressure_bar,holding:8=section_c,input:7=barometer_hpa"})
	want := []block{{readHolding, 4, 3}, {readHolding, 8, 1}, {readInput, 7, 1}}
	if !slices.Equal(u.blocks, want) {
		t.Errorf("%v, want %v", u.blocks, want)
	}
}

func TestWhatCannotBeIsADoubt(t *testing.T) {
	for _, c := range []struct{ fields, answer, doubt string }{
		{"holding:0:float32=pressure_bar", "03047fc00000", "has no value"},
		{"holding:0:float32=pressure_bar", "03047f800000", "has no value"},
		{"holding:0:float32=pressure_bar", "03047149f2ca", "another order than abcd"}, // 1e30
		{"holding:0:uint16=pressure_bar", "0302ffff", "beyond any gauge"},
		{"holding:0=pressure_bar_abs", "0302ffff", "below zero"},
		{"holding:0=section_c", "03028000", "outside"},
	} {
		line := &scripted{now: new(time.Duration), script: [][]byte{framed(1, c.answer)}}
		r, err := mustUnit(t, Config{Fields: c.fields, Clock: madeUpClock(line.now)}).Source(line).Read(t.Context())
		if err != nil || !strings.Contains(r.Doubt, c.doubt) || r.Raw == "" || !math.IsNaN(r.Pressure) {
			t.Errorf("%s %s: %s, %v, want %q", c.fields, c.answer, drivertest.Describe(r), err, c.doubt)
		}
	}
}

func TestTheSpecKnowsTheStep(t *testing.T) {
	s := mustUnit(t, Config{Fields: "holding:0:int16*0.01=pressure_bar,input:0:int16*0.1=ambient_f"}).Spec()
	if math.Abs(float64(s.PressureStep)-1000) > 1e-9 || math.Abs(float64(s.TemperatureStep)-0.1*5/9) > 1e-9 || s.Interval != 1 {
		t.Errorf("%+v", s)
	}
}

func TestAPortThatFailsEndsTheBus(t *testing.T) {
	gone := errors.New("gone")
	line := &scripted{now: new(time.Duration), err: gone}
	bus := NewBus(line, 0, madeUpClock(line.now))
	u := mustUnit(t, Config{Fields: "holding:0=pressure_bar", Clock: madeUpClock(line.now)})
	src, err := u.On(bus)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := src.Read(t.Context()); !errors.Is(err, gone) {
		t.Errorf("error %v", err)
	}
	if _, err := u.On(bus); !errors.Is(err, gone) {
		t.Errorf("joined a dead bus: %v", err)
	}
}

func TestConfigurationsThatCannotWorkAreRefused(t *testing.T) {
	for _, c := range []struct{ fields, says string }{
		{"", "no fields"},
		{"pressure_bar", "no register"},
		{"coil:0=pressure_bar", "neither holding nor input"},
		{"holding:65536=pressure_bar", "65536"},
		{"holding:65535:float32=pressure_bar", "no room"},
		{"holding:0:float64=pressure_bar", "float64"},
		{"holding:0:float32:acbd=pressure_bar", "acbd"},
		{"holding:0:int16:cdab=pressure_bar", "32-bit"},
		{"holding:0*0=pressure_bar", "no factor"},
		{"holding:0*x=pressure_bar", "no factor"},
		{"holding:0+x=pressure_bar", "no number"},
		{"holding:0=-", "skipped"},
	} {
		if _, err := New(Config{Fields: c.fields, Clock: realClock()}); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%q: error %v, want %q in it", c.fields, err, c.says)
		}
	}
	if _, err := New(Config{Fields: "holding:0=pressure_bar", Unit: 248, Clock: realClock()}); err == nil {
		t.Error("unit 248 is accepted")
	}
}

func FuzzAnswers(f *testing.F) {
	f.Add([]byte("\x01\x03\x02\x00\x0a\x38\x43"), "holding:0=pressure_bar")
	f.Add(framed(1, "8302"), "holding:0:float32:cdab*2-1=pressure_bar,input:3:uint32=section_k")
	f.Fuzz(func(t *testing.T, heard []byte, fields string) {
		now := new(time.Duration)
		u, err := New(Config{Fields: fields, Retries: -1, Clock: madeUpClock(now)})
		if err != nil {
			return
		}
		line := &scripted{now: now, script: [][]byte{heard, heard, heard}, err: nil}
		r, err := u.Source(line).Read(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		if r.Doubt == "" && (r.Pressure > 1e8 || float64(r.Section) > 450) || math.IsInf(r.Pressure, 0) {
			t.Errorf("impossible and not doubted: %s", drivertest.Describe(r))
		}
	})
}
