package drivertest

import (
	"bytes"
	"context"
	"errors"
	"io"
	"os"
	"os/exec"
	"strings"
	"testing"

	"example.org/holdfast/drivers"
)

// toy reads "N\n" as N hundred kilopascal, with a fault that can be chosen.
type toy struct{ fault string }

func (toy) Name() string { return "toy" }

func (d toy) Source(port io.ReadWriteCloser) drivers.Source {
	return &toySource{fault: d.fault, port: port}
}

type toySource struct {
	fault string
	port  io.ReadWriteCloser
	buf   []byte
}

func (s *toySource) Read(ctx context.Context) (drivers.Reading, error) {
	for {
		if i := bytes.IndexByte(s.buf, '\n'); i >= 0 {
			line := strings.TrimSpace(string(s.buf[:i]))
			s.buf = s.buf[i+1:]
			r := drivers.Empty()
			r.Raw = "line"
			if s.fault == "raw" {
				r.Raw = line
			}
			if len(line) != 1 || line[0] < '0' || line[0] > '9' {
				if s.fault == "panic" {
					_ = line[5]
				}
				r.Doubt = "no digit"
				return r, nil
			}
			r.Pressure = float64(line[0]-'0') * 1e5
			return r, nil
		}
		if ctx.Err() != nil && s.fault != "context" {
			return drivers.Reading{}, ctx.Err()
		}
		b := make([]byte, 64)
		n, err := s.port.Read(b)
		if n == 0 && err == nil && s.fault == "silence" {
			return drivers.Reading{}, io.ErrNoProgress
		}
		if err != nil && s.fault == "swallow" {
			return drivers.Empty(), nil
		}
		if err != nil {
			return drivers.Reading{}, err
		}
		if s.fault == "halves" && n > 0 {
			s.buf = nil
		}
		s.buf = append(s.buf, b[:n]...)
	}
}

func (s *toySource) Close() error {
	if s.fault == "close" {
		return nil
	}
	return s.port.Close()
}

var toyCapture = Stream([]byte("1\n2\n3\nx\n4\n"))

func TestASoundDriverConforms(t *testing.T) { Conform(t, toy{}, toyCapture) }

// TestFaultyDriversFail runs this binary again with each fault: Conform must
// find it. A child process, for a failing test cannot be watched from inside.
func TestFaultyDriversFail(t *testing.T) {
	if fault := os.Getenv("TOY_FAULT"); fault != "" {
		Conform(t, toy{fault}, toyCapture)
		return
	}
	for fault, says := range map[string]string{
		"raw": "raw text", "panic": "index out of range", "silence": "readings, want", "swallow": "readings",
		"halves": "in two", "close": "Close does not end", "context": "context does not end",
	} {
		t.Run(fault, func(t *testing.T) {
			t.Parallel()
			cmd := exec.Command(os.Args[0], "-test.run=^TestFaultyDriversFail$")
			cmd.Env = append(os.Environ(), "TOY_FAULT="+fault)
			out, err := cmd.CombinedOutput()
			if err == nil || !strings.Contains(string(out), says) {
				t.Errorf("Conform did not say %q: %v\n%.2000s", says, err, out)
			}
		})
	}
}

func TestACaptureOfATraceIsTheConversation(t *testing.T) {
	want := Capture{{true, []byte("?\n")}, {false, []byte("12.3\r\n\x00\xff")}}
	var text bytes.Buffer
	port := drivers.Trace(Play(want, Faults{Hold: true}), &text)
	if _, err := port.Write([]byte("?\n")); err != nil {
		t.Fatal(err)
	}
	if _, err := port.Read(make([]byte, 100)); err != nil {
		t.Fatal(err)
	}
	got, err := Parse(&text)
	if err != nil || len(got) != 2 || !got[0].Sent || string(got[0].Data) != "?\n" || string(got[1].Data) != "12.3\r\n\x00\xff" {
		t.Errorf("got %+v, %v", got, err)
	}
}

func TestAReplyComesOnlyAfterItsQuestion(t *testing.T) {
	p := Play(Capture{{true, []byte("?")}, {false, []byte("12")}}, Faults{})
	b := make([]byte, 10)
	if n, err := p.Read(b); n != 0 || err != nil {
		t.Errorf("before the question: %d, %v", n, err)
	}
	if _, err := p.Write([]byte("!")); err == nil || p.Mismatch() == nil {
		t.Error("a wrong question was accepted")
	}
	if _, err := p.Write([]byte("?")); err != nil {
		t.Error(err)
	}
	if n, _ := p.Read(b); string(b[:n]) != "12" {
		t.Errorf("reply %q", b[:n])
	}
	if _, err := p.Read(b); !errors.Is(err, io.EOF) {
		t.Errorf("at the end: %v", err)
	}
}

func TestTextThatIsNoCaptureIsRefused(t *testing.T) {
	for _, text := range []string{"", "# remark\n", "12.3\n", "< 12.3\n", "= \"12.3\"\n"} {
		if c, err := Parse(strings.NewReader(text)); err == nil {
			t.Errorf("%q became %+v", text, c)
		}
	}
}
