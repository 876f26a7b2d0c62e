package job_test

import (
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"example.org/holdfast/internal/bench"
	"example.org/holdfast/internal/gas"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/job"
	"example.org/holdfast/internal/units"
)

const head = `refrigerant = "R600a"
charge = "55g"
limit = "3g/yr"

[[section]]
id = "a"
volume = "0.08L ±5%"
ceiling = "16bar"

[[section]]
id = "b"
volume = "0.09L ±5%"
ceiling = "16bar"

[[section]]
id = "all"
parts = ["a", "b"]
volume = "0.17L ±5%"
ceiling = "16bar"

[[section]]
id = "hose"
blank = true
volume = "25ml"

[[joint]]
id = "a1"
section = "a"
made = 2026-03-02T07:00:00Z

[[joint]]
id = "b1"
section = "b"
made = 2026-03-02T07:00:00Z
buried = true

[[joint]]
id = "b2"
section = "b"
made = 2026-03-02T07:00:00Z
buried = true
`

func TestErrorsNameTheLine(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"applience = \"x\"\n", "line 1: applience"},
		{head + "\n[[mark]]\ntime = 2026-03-02T09:00:00Z\nwhat = \"remelted\"\njoint = \"b1\"\n", "line 45: mark what: \"remelted\""},
		{head + "\n[[joint]]\nid = \"x y\"\nsection = \"a\"\n", "line 44: joint id"},
		{head + "\n[[joint]]\nid = \"x\"\nsection = \"all\"\n", "line 45: joint section: \"all\" has parts"},
		{"[[section]]\nid = \"a\"\n\n[[section]]\nid = \"a\"\n", "line 5: section id: a second section"},
		{"[[section]]\nid = \"w\"\nparts = [\"w\"]\n", "line 3: section parts"},
		{"[[section]]\nid = \"a\"\nceiling = \"10 bar abs\"\n", "line 3: section ceiling"},
		{head + "\n[[hold]]\nfile = \"../x.jsonl\"\nsection = \"a\"\n", "line 44: hold file"},
		{head + "\n[[mark]]\nwhat = \"remade\"\njoint = \"b1\"\n", "mark time"},
		{head + "\n[[mark]]\ntime = 2026-03-02T09:00:00\nwhat = \"remade\"\njoint = \"b1\"\n", "line 44: mark time: 2026-03-02T09:00:00 says no zone"},
		{head + "\n[[hold]]\nfile = \"x.jsonl\"\nsection = \"b\"\njoints = [\"b1\", \"a1\"]\n", "line 46: hold joints: joint \"a1\" is not in section \"b\""},
		{head + "\n[[hold]]\nfile = \"x.jsonl\"\nsection = \"b\"\n[[hold]]\nfile = \"./x.jsonl\"\nsection = \"a\"\n", "stands here twice"},
		{head + "after_charging = true\n", "line 42: joint after_charging"},
		{head + "\n[[hold]]\nfile = \"x.csv\"\nsection = \"b\"\nstart = 2026-03-02\n", "line 46: hold start"},
		{"vacuum = \"anz-shallow\"\n", "or one of anz-deep"},
		{"charge = 55\n", "charge"},
		{"charge = \"55g\n", "line 1"},
	} {
		_, err := job.Parse(c.text)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%.40q: %v, want %q in it", c.text, err, c.want)
		}
	}
	if _, err := job.Parse(head + "\n[[mark]]\ntime = 2026-03-02T09:00:00+01:00\nwhat = \"remade\"\njoint = \"b1\"\n"); err != nil {
		t.Error(err)
	}
}

// FuzzParse: no text makes it panic, and what it takes can be added to.
func FuzzParse(f *testing.F) {
	f.Add(head)
	f.Add("[[section]]\nid=\"a\" # x = \"y\"\n[[mark]]\n")
	f.Add("[section]\n")
	f.Fuzz(func(t *testing.T, text string) { _, _ = job.Parse(text) })
}

func write(t *testing.T, text string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "job.toml")
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}

func read(t *testing.T, path string) string {
	t.Helper()
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

func TestCommandsKeepWhatAHandWrote(t *testing.T) {
	text := "# mine\nlimit = '3g/yr'   # why\n\n[[section]] # first\nid = \"a\"\nvolume = \"1L\"  # \"measured\" # twice\n\n[[section]]\nid = \"b\"\n"
	path := write(t, text)
	if err := job.Change(path, "section", "a", []job.Value{{Key: "volume", Value: "2L"}, {Key: "name", Value: "x \"y\" \\ é"}}); err != nil {
		t.Fatal(err)
	}
	if err := job.Add(path, "joint", []job.Value{{Key: "id", Value: "j"}, {Key: "section", Value: "b"}, {Key: "buried", Value: true}, {Key: "name", Value: ""}}); err != nil {
		t.Fatal(err)
	}
	want := "# mine\nlimit = '3g/yr'   # why\n\n[[section]] # first\nname = \"x \\\"y\\\" \\\\ é\"\nid = \"a\"\nvolume = \"2L\"  # \"measured\" # twice\n\n[[section]]\nid = \"b\"\n" +
		"\n[[joint]]\nid = \"j\"\nsection = \"b\"\nburied = true\n"
	if got := read(t, path); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

func TestNothingIsWrittenThatCannotBeRead(t *testing.T) {
	path := write(t, head)
	for _, err := range []error{
		job.Add(path, "joint", []job.Value{{Key: "id", Value: "n"}, {Key: "section", Value: "nowhere"}}),
		job.Change(path, "section", "a", []job.Value{{Key: "volume", Value: "big"}}),
		job.Change(path, "section", "none", nil),
		job.Create(path, nil),
	} {
		if err == nil {
			t.Error("taken")
		}
	}
	if read(t, path) != head {
		t.Error("the file was changed")
	}
	// A value over several lines is not understood line by line, and left alone.
	multi := "[[section]]\nid = \"a\"\nname = \"\"\"\nvolume = 3\n\"\"\"\nvolume = \"1L\"\n"
	path = write(t, multi)
	if err := job.Change(path, "section", "a", []job.Value{{Key: "volume", Value: "2L"}}); err == nil {
		if j, err := job.Load(path); err != nil || j.Sections[0].Name != "volume = 3\n" {
			t.Errorf("the name was lost: %v\n%s", err, read(t, path))
		}
	}
}

// Many at once: every mark is there in the end, and no lock or half file is left behind.
func TestChangesAtOnceAreAllKept(t *testing.T) {
	path := write(t, head)
	var all sync.WaitGroup
	const many = 12
	for i := range many {
		all.Go(func() {
			at := time.Date(2026, 3, 2, 9, i, 0, 0, time.UTC)
			if err := job.Add(path, "mark", []job.Value{{Key: "time", Value: at}, {Key: "what", Value: "tapped"}, {Key: "section", Value: "b"}}); err != nil {
				t.Error(err)
			}
		})
	}
	all.Wait()
	j, err := job.Load(path)
	if err != nil || len(j.Marks) != many {
		t.Fatalf("%v, %d marks", err, len(j.Marks))
	}
	files, _ := filepath.Glob(filepath.Join(filepath.Dir(path), "*"))
	if len(files) != 1 {
		t.Errorf("left behind: %v", files)
	}
}

// held writes the log of a simulated hold at 9.5 bar of a section of that volume; leak in g/yr of R600a.
func held(t *testing.T, dir, name string, seed uint64, litres, leak, seconds float64, start time.Time, marks ...string) {
	t.Helper()
	made{name: name, seed: seed, litres: litres, leak: leak, seconds: seconds, bar: 9.5, start: start, zone: "Z", marks: marks}.write(t, dir)
}

// made is a hold to be simulated.
type made struct {
	name                       string
	seed                       uint64
	litres, leak, seconds, bar float64 // bar gauge
	start                      time.Time
	zone                       string
	set                        holdlog.Settings
	marks                      []string         // 12 minutes apart, from the end on
	settings                   holdlog.Settings // changed to these in mid-hold; with a limit only
	clock                      time.Duration    // by which the wall clock is set in mid-hold
}

func (m made) write(t *testing.T, dir string) {
	t.Helper()
	const interval = 60.0 // as read by hand: each is a row of the fit, and to judge rows is what takes the time
	p := bench.Params{Gas: gas.Nitrogen(), Volume: units.Volume(m.litres / 1000), StartPressure: units.Absolute(101325 + 1e5*m.bar), Hold: m.seconds, Interval: interval}
	p.Barometer.Mean = units.StandardAtmosphere
	p.Room, _ = bench.RoomNamed("still")
	p.Thermal = bench.Thermal{Nodes: []bench.Node{{Weight: 1, Lag: 180}}, Fill: []bench.Heat{{Rise: 3, Tau: 120}}}
	p.Sensor = bench.Sensor{Range: 25e5, Noise: 150, Step: 10}
	p.RoomProbe = bench.Thermometer{Lag: 20, Noise: 0.02, Step: 0.0625}
	p.SectionProbe.None = true
	if m.leak > 0 {
		r, err := gas.LookupRefrigerant("R600a")
		if err != nil {
			t.Fatal(err)
		}
		rate, err := gas.RateForLoss(units.GramsPerYear(m.leak), p.Volume, p.Gas, p.StartPressure, 293.15, r, p.Barometer.Mean)
		if err != nil {
			t.Fatal(err)
		}
		p.Leak = rate.PerHour() / float64(p.StartPressure)
	}
	m.set.For = m.seconds
	b := bench.New(p, m.seed)
	w, err := holdlog.Create(filepath.Join(dir, m.name), holdlog.HeaderRecord(holdlog.Header{Zone: m.zone, Settings: m.set}, m.start.UnixMilli()))
	if err != nil {
		t.Fatal(err)
	}
	add := func(elapsed float64, r holdlog.Record) {
		r.Elapsed, r.Wall = elapsed, m.start.UnixMilli()+int64(1000*elapsed)
		if err := w.Append(r); err != nil {
			t.Fatal(err)
		}
	}
	for s := 0.0; s <= m.seconds; s += interval {
		if s == m.seconds/2 && m.settings.Limit != "" {
			add(s, holdlog.Record{Kind: holdlog.KindEvent, Event: holdlog.Event{Kind: holdlog.EventSettings}, Header: &holdlog.Header{Zone: m.zone, Settings: m.settings}})
		}
		if s == m.seconds/2 {
			m.start = m.start.Add(m.clock)
		}
		at := b.At(s)
		one := holdlog.NoSample()
		one.Pressure, one.Ref, one.Ambient = float64(at.Pressure), units.AbsoluteRef, at.Ambient
		add(s, holdlog.Record{Kind: holdlog.KindSample, Sample: one})
	}
	for i, text := range m.marks {
		add(m.seconds+720*float64(i), holdlog.Record{Kind: holdlog.KindMark, Text: text})
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
}
