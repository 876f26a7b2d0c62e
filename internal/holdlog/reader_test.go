package holdlog

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"strings"
	"testing"
	"testing/iotest"
)

// withCheck adds a fingerprint, computed here and not by the Writer.
func withCheck(t testing.TB, log []byte, samples int) []byte {
	t.Helper()
	sum := sha256.Sum256(log)
	return appendLine(t, log, Record{Kind: KindCheck, Check: Check{hex.EncodeToString(sum[:]), samples}})
}

func samples(from, to int) []Record {
	var all []Record
	for i := from; i < to; i++ {
		all = append(all, testSample(i))
	}
	return all
}

func TestReaderGivesWhatWasWritten(t *testing.T) {
	want := append(samples(0, 50), Record{Kind: KindMark, Wall: 5, Elapsed: 50, Text: "soap on joint 3"})
	log := logOf(t, want...)
	for name, r := range map[string]io.Reader{"whole": bytes.NewReader(log), "byte by byte": iotest.OneByteReader(bytes.NewReader(log))} {
		got := readAll(t, NewReader(r).Next)
		if len(got) != len(want)+1 || got[0].Kind != KindHeader {
			t.Fatalf("%s: %d records, want %d", name, len(got), len(want)+1)
		}
		for i := range want {
			if !equal(got[i+1], want[i]) {
				t.Errorf("%s: record %d: got %+v, want %+v", name, i, got[i+1], want[i])
			}
		}
	}
}

// A log cut at any byte gives exactly the records whose newline is still there.
func TestTornTailIsNeverReadAsData(t *testing.T) {
	want := samples(0, 6)
	log := logOf(t, want...)
	header := bytes.IndexByte(log, '\n') + 1
	for cut := header; cut <= len(log); cut++ {
		for _, tail := range []string{"", "\x00\x00\x00"} {
			r := NewReader(strings.NewReader(string(log[:cut]) + tail))
			got := readAll(t, r.Next)[1:]
			if whole := bytes.Count(log[:cut], []byte("\n")) - 1; len(got) != whole {
				t.Fatalf("cut at %d: %d records, want %d", cut, len(got), whole)
			}
			for i := range got {
				if !equal(got[i], want[i]) {
					t.Fatalf("cut at %d: record %d is %+v", cut, i, got[i])
				}
			}
			torn := log[cut-1] != '\n' || tail != ""
			if state := r.Integrity().State(); (state == Torn) != torn {
				t.Errorf("cut at %d: state %s", cut, state)
			}
		}
	}
	for cut := range header {
		if _, err := NewReader(bytes.NewReader(log[:cut])).Next(); !errors.Is(err, ErrEmpty) {
			t.Errorf("header cut at %d: %v", cut, err)
		}
	}
}

func TestDamagedLineIsReportedAndReadingGoesOn(t *testing.T) {
	for name, bad := range map[string]string{
		"cut number":   `{"k":"s","t_ms":1772610002000,"e_s":2,"p_pa":20`,
		"NUL bytes":    strings.Repeat("\x00", 300),
		"binary":       "\xff\xfe\x01garbage",
		"empty":        "",
		"unknown kind": `{"k":"zap","t_ms":1,"e_s":2}`,
		"long":         strings.Repeat("x", 3*maxLine+17),
		"header":       string(bytes.TrimSpace(logOf(t))),
	} {
		log := append(logOf(t, samples(0, 2)...), bad+"\n"...)
		for _, s := range samples(3, 5) {
			log = appendLine(t, log, s)
		}
		r := NewReader(bytes.NewReader(log))
		got := readAll(t, r.Next)
		if len(got) != 6 || got[3].Kind != KindReject || !strings.HasPrefix(got[3].Why, "damaged line 4: ") || got[3].Elapsed != 1 {
			t.Fatalf("%s: %d records, the fourth %+v", name, len(got), got[3])
		}
		if !equal(got[5], testSample(4)) {
			t.Errorf("%s: last record %+v", name, got[5])
		}
		if i := r.Integrity(); i.State() != Altered || i.Altered != 4 || i.Damaged != 1 {
			t.Errorf("%s: %+v", name, i)
		}
	}
}

func TestFileWithoutAnEndDoesNotTakeAllMemory(t *testing.T) {
	log := logOf(t, testSample(0))
	r := NewReader(io.MultiReader(bytes.NewReader(log), io.LimitReader(zeros{}, 200<<20)))
	if got := readAll(t, r.Next); len(got) != 2 {
		t.Errorf("%d records", len(got))
	}
	if r.Integrity().Torn != 3 || cap(r.lines.buf) > 4*maxLine {
		t.Errorf("%+v, buffer of %d", r.Integrity(), cap(r.lines.buf))
	}
}

type zeros struct{}

func (zeros) Read(b []byte) (int, error) { clear(b); return len(b), nil }

func TestFilesThatAreNoLogSayWhatToDo(t *testing.T) {
	random := make([]byte, 5000)
	src := rand.NewChaCha8([32]byte{1})
	_, _ = src.Read(random)
	future := strings.Replace(string(logOf(t, testSample(0))), `"hdr":{"v":1,`, `"hdr":{"v":2,"devices":"moved",`, 1)
	for name, c := range map[string]struct {
		text string
		want error
	}{
		"nothing":        {"", ErrEmpty},
		"random bytes":   {string(random), ErrNotLog},
		"zeros":          {strings.Repeat("\x00", 9000), ErrNotLog},
		"CSV":            {"elapsed_s,pressure_bar\n0,20\n", ErrNotLog},
		"other JSON":     {"{\"a\":1}\n{\"a\":2}\n", ErrNotLog},
		"no header":      {string(appendLine(t, nil, testSample(1))), ErrNotLog},
		"later version":  {future, ErrVersion},
		"endless line":   {strings.Repeat("{", 2*maxLine), ErrNotLog},
		"long line":      {"{" + strings.Repeat(" ", 2*maxLine) + "}\n", ErrNotLog},
		"header no text": {`{"k":"hdr"}` + "\n", ErrNotLog},
	} {
		r := NewReader(strings.NewReader(c.text))
		_, err := r.Next()
		if !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", name, err, c.want)
		} else if len(err.Error()) > 300 {
			t.Errorf("%s: %d bytes of error", name, len(err.Error()))
		}
		if _, again := r.Next(); again == nil || again.Error() != err.Error() {
			t.Errorf("%s: then %v", name, again)
		}
	}
}

func TestReadErrorIsNotTheEnd(t *testing.T) {
	broken := errors.New("input/output error")
	r := NewReader(io.MultiReader(bytes.NewReader(logOf(t, samples(0, 3)...)), iotest.ErrReader(broken)))
	for range 4 {
		if _, err := r.Next(); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := r.Next(); !errors.Is(err, broken) || !strings.Contains(err.Error(), "after line 4") {
		t.Error(err)
	}
}

func TestIntegrityTellsWhatHappenedToTheFile(t *testing.T) {
	whole := withCheck(t, logOf(t, samples(0, 20)...), 20)
	longer := whole
	for _, s := range samples(20, 40) {
		longer = appendLine(t, longer, s)
	}
	longer = withCheck(t, longer, 40)
	event := func(b []byte, kind EventKind) []byte {
		return appendLine(t, bytes.Clone(b), Record{Kind: KindEvent, Elapsed: 100, Event: Event{Kind: kind}})
	}
	edited := bytes.Replace(longer, []byte(`"e_s":30,"p_pa":2099955`), []byte(`"e_s":30,"p_pa":2099956`), 1)
	lines := bytes.SplitAfter(longer, []byte("\n"))
	for name, c := range map[string]struct {
		log   []byte
		state IntegrityState
		line  int
	}{
		"as written":             {longer, Whole, 43},
		"without fingerprints":   {logOf(t, testSample(0)), None, 0},
		"continued":              {event(longer, EventContinued), Continued, 44},
		"torn":                   {longer[:len(longer)-3], Torn, 43},
		"continued, torn":        {event(longer, EventContinued)[:len(longer)+9], Torn, 44},
		"one digit changed":      {edited, Altered, 22},
		"a line taken out":       {bytes.Join(append(append([][]byte{}, lines[:5]...), lines[6:]...), nil), Altered, 1},
		"a line put in":          {bytes.Join(append(append([][]byte{}, lines[:5]...), lines[4:]...), nil), Altered, 1},
		"line ends of an editor": {bytes.ReplaceAll(longer, []byte("\n"), []byte("\r\n")), Altered, 1},
		"byte order mark":        {append([]byte(utf8BOM), longer...), Altered, 1},
	} {
		r := NewReader(bytes.NewReader(c.log)).Verify()
		readAll(t, r.Next)
		i := r.Integrity()
		line := map[IntegrityState]int{Whole: i.Checked, Continued: i.Continued, Torn: i.Torn, Altered: i.Altered}[i.State()]
		if i.State() != c.state || line != c.line {
			t.Errorf("%s: %s (%+v), want %s in line %d", name, i, i, c.state, c.line)
		}
	}
}

// Every single changed byte before the last fingerprint is noticed, or leaves the file no log at all.
func TestAnyChangedByteIsNoticed(t *testing.T) {
	log := withCheck(t, logOf(t, samples(0, 5)...), 5)
	covered := bytes.LastIndexByte(log[:len(log)-1], '\n') + 1
	for i := range covered {
		damaged := bytes.Clone(log)
		damaged[i] ^= 0x01
		r := NewReader(bytes.NewReader(damaged)).Verify()
		var err error
		for err == nil {
			_, err = r.Next()
		}
		if err == io.EOF && r.Integrity().State() != Altered {
			t.Errorf("byte %d: %s", i, r.Integrity())
		}
	}
}

func TestTimesThatGoBackwardsAreCounted(t *testing.T) {
	r := NewReader(bytes.NewReader(logOf(t, testSample(5), testSample(3), testSample(6), testSample(6))))
	if got := readAll(t, r.Next); len(got) != 5 {
		t.Errorf("%d records", len(got))
	}
	if i := r.Integrity(); i.Backwards != 1 || i.BackwardsLine != 3 {
		t.Errorf("%+v", i)
	}
}

func TestLargeLogIsReadInConstantMemory(t *testing.T) {
	log := logOf(t)
	n := testing.AllocsPerRun(1, func() {
		src := &repeat{line: appendLine(t, nil, testSample(1)), left: 200_000}
		r := NewReader(io.MultiReader(bytes.NewReader(log), src))
		for {
			if _, err := r.Next(); err != nil {
				return
			}
		}
	})
	if n > 500 {
		t.Errorf("%v allocations for 200 000 samples", n)
	}
}

type repeat struct {
	line []byte
	left int
}

func (r *repeat) Read(b []byte) (int, error) {
	if r.left == 0 {
		return 0, io.EOF
	}
	r.left--
	return copy(b, r.line), nil
}

func FuzzReader(f *testing.F) {
	f.Add(withCheck(f, logOf(f, samples(0, 3)...), 3))
	f.Add([]byte("{\"k\":\"hdr\",\"t_ms\":1,\"e_s\":0,\"hdr\":{\"v\":1}}\n{\"k\":\"s\"}\n\n\x00"))
	f.Fuzz(func(t *testing.T, b []byte) {
		r := NewReader(bytes.NewReader(b)).Verify()
		n := 0
		for {
			rec, err := r.Next()
			if err != nil {
				break
			}
			if n++; rec.Kind == 0 || n == 1 && rec.Kind != KindHeader {
				t.Fatalf("record %d is %+v", n, rec)
			}
		}
		if newlines := bytes.Count(b, []byte("\n")); n > newlines {
			t.Fatalf("%d records from %d lines", n, newlines)
		}
		_ = fmt.Sprint(r.Integrity())
	})
}
