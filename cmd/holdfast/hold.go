package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"
	"time"

	"example.org/holdfast/drivers/manual"
	"example.org/holdfast/internal/acquire"
	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/profile"
	"example.org/holdfast/internal/tui"
	"example.org/holdfast/internal/units"
)

type holdCmd struct {
	deviceFlags
	AskEvery string `group:"device" placeholder:"10m" help:"Time between the readings of device manual."`
	For      string `placeholder:"1h" help:"How long the hold lasts, from the end of the filling."`
	Log      string `placeholder:"FILE" help:"The log; it must not exist. Default: a dated file in your data folder."`
	And      bool   `help:"Stands between the flags of one hold and those of the next: several sections, each with its own devices and log, on one screen."`
	Continue string `placeholder:"FILE" help:"Go on with an unfinished log, same settings; the gap is marked."`
	jobFlags
	viewFlags
	simFlags
	settingsFlags
}

// defaultEvery is the default of --every below.
const defaultEvery = "10s"

// viewFlags say how a live hold is shown.
type viewFlags struct {
	Plain bool   `help:"Lines instead of the full screen; ends at the set time with the verdict's exit code."`
	Every string `default:"10s" help:"Time between the lines of --plain."`
	ASCII bool   `name:"ascii" help:"Draw with 7-bit characters only."`
	Quiet bool   `help:"No bell."`

	Notify string    `enum:",osc9,osc777" default:"" placeholder:"osc9" help:"Also tell the desktop when the bell rings, by the sequence that your terminal knows: osc9 or osc777."`
	Serve  serveFlag `placeholder:"lan" help:"A page for a phone, read-only: --serve on this machine, --serve=lan in its network, lan:8080 with a port."`
}

func (c *holdCmd) run(a *app) (int, error) {
	plans, code, err := c.plans(a)
	if err != nil {
		return code, err
	}
	return a.liveInJobs(plans...)
}

// record makes the plan of a live hold from the flags and carries it out.
func (c *holdCmd) record(a *app, profiles []profile.Profile) (int, error) {
	p, code, err := c.plan(a, profiles)
	if err != nil {
		return code, &notBegun{err}
	}
	return a.liveInJobs(p)
}

// liveInJobs carries out holds and enters their logs into the jobs they belong to, however they ended.
func (a *app) liveInJobs(plans ...livePlan) (int, error) {
	code, err := a.live(plans...)
	for _, p := range plans {
		if p.enter == nil || !exists(p.path) {
			continue
		}
		if entered := p.enter(); entered != nil && err == nil {
			code, err = exitIO, entered
		}
	}
	return code, err
}

// plan makes the plan of a live hold from the flags; code is the exit code of err.
func (c *holdCmd) plan(a *app, profiles []profile.Profile) (p livePlan, code int, err error) {
	p = livePlan{path: c.Log}
	if c.Continue != "" {
		if c.Log != "" {
			return p, exitUsage, usage("Leave out --log: the hold goes on in its own file.", "--continue and --log exclude each other")
		}
		last, err := lastOf(c.Continue)
		if err != nil {
			return p, exitIO, err
		}
		p.path, p.resume, p.header = c.Continue, true, last.header
		p.offset = last.elapsedAt(a.now())
		if len(profiles) == 0 {
			profiles = profilesOf(last.header)
		}
	}
	if err := c.settle(a, &p, profiles); err != nil {
		return p, exitUsage, err
	}
	if err := c.name(a, &p); err != nil {
		return p, exitIO, err
	}
	if c.Job != "" {
		p.enter = func() error { return c.enter(a, p.path) }
	}
	return p, exitOK, nil
}

// name gives the log a name where the person gave none.
func (c *holdCmd) name(a *app, p *livePlan) (err error) {
	switch {
	case p.path != "":
	case c.Job != "":
		p.path = c.log(a)
	default:
		p.path, err = a.newLogPath(p.header.Settings.Section)
	}
	return err
}

// settle brings flags, devices and view into the plan, and checks them.
func (c *holdCmd) settle(a *app, p *livePlan, profiles []profile.Profile) (err error) {
	if p.view, err = c.viewFlags.view(a); err != nil {
		return err
	}
	before := p.header
	if len(profiles) == 0 {
		return usage("Add --device line, manual or sim with its flags, or try `holdfast demo`.", "no device is given")
	}
	over, err := c.overrides()
	if err != nil {
		return err
	}
	set := &p.header.Settings
	if err := c.from(c.Kind, a.now(), set); err != nil {
		return err
	}
	if err := c.times(set, profiles); err != nil {
		return err
	}
	if err := over(&p.header); err != nil { // once for the devices, once more below for what needs them
		return err
	}
	if set.Kind == "vacuum" && set.Display == "" {
		set.Display = "Pa"
	}
	if p.instruments, err = buildDevices(profiles, deviceOptions{settings: *set, sim: c.simFlags, stdin: a.in}); err != nil {
		return err
	}
	p.setDevices()
	if err := over(&p.header); err != nil {
		return err
	}
	if err := hold.Check(*set); err != nil {
		return usage("Give what is missing as a flag.", "%w", err)
	}
	p.changed = p.resume && !sameHeader(before, p.header)
	return p.check()
}

// times reads how long the hold lasts and how often a person is asked.
func (c *holdCmd) times(set *holdlog.Settings, profiles []profile.Profile) error {
	for _, d := range []struct {
		flag, text string
		to         *float64
	}{{"for", c.For, &set.For}, {"ask-every", c.AskEvery, &set.AskEvery}} {
		if err := seconds(d.flag, d.text, d.to); err != nil {
			return err
		}
	}
	if set.For == 0 {
		set.For = hold.HoldFor(holdlog.Settings{Kind: c.Kind, Accept: c.Accept})
	}
	if set.AskEvery == 0 && slices.ContainsFunc(profiles, func(p profile.Profile) bool { return p.Driver == "manual" }) {
		set.AskEvery = (10 * time.Minute).Seconds()
	}
	return nil
}

// seconds reads a duration above zero; "" leaves what is there.
func seconds(flag, text string, to *float64) error {
	if text == "" {
		return nil
	}
	d, err := units.ParseDuration(text)
	if err == nil && d <= 0 {
		err = fmt.Errorf("%q is not above zero", text)
	}
	if err != nil {
		return usage("", "--%s: %w", flag, err)
	}
	*to = d.Seconds()
	return nil
}

// view is how a hold is shown, read from the flags.
type view struct {
	plain, ascii, quiet bool
	serve               serveFlag
	notify              tui.Notification
	every               float64 // s
	title               string
}

func (f viewFlags) view(a *app) (view, error) {
	v := view{plain: f.Plain || !a.fullScreen(), ascii: f.ASCII, quiet: f.Quiet, serve: f.Serve, notify: tui.Notification(f.Notify)}
	return v, seconds("every", f.Every, &v.every)
}

// livePlan is all that is settled before a live hold begins.
type livePlan struct {
	path        string
	header      holdlog.Header
	instruments []instrument
	resume      bool    // path is gone on with
	changed     bool    // its settings are not what they were
	offset      float64 // s, elapsed time of the hold at the beginning
	view        view
	section     string       // its name, where there are several holds to be told apart
	enter       func() error // into the job, when it has ended; may be nil
	closing     func()       // after everything; may be nil
}

// setDevices writes the instruments into the header.
func (p *livePlan) setDevices() {
	h := &p.header
	h.Program, h.Clock = program(), acquire.ClockName()
	h.Zone = time.Now().Format("-07:00")
	h.Devices = nil
	for _, ins := range p.instruments {
		h.Devices = append(h.Devices, ins.header)
		if ins.truth != nil {
			h.Truth = ins.truth
		}
	}
}

// check refuses what the devices cannot do together.
func (p *livePlan) check() error {
	byHand := 0
	for _, ins := range p.instruments {
		if ins.manual != nil {
			byHand++
		}
		if ins.truth != nil && p.resume {
			return usage("Begin a new hold.", "a simulated hold cannot be continued: its section is gone with the program")
		}
	}
	if byHand > 1 {
		return usage("Give it once.", "device manual can be there only once")
	}
	return nil
}

// manual is the device whose readings are typed; nil = none.
func (p *livePlan) manual() *manual.Manual {
	for _, ins := range p.instruments {
		if ins.manual != nil {
			return ins.manual
		}
	}
	return nil
}

// hasThermometer reports whether any device gives a temperature, or may.
func (p *livePlan) hasThermometer() bool {
	if p.header.Settings.Thermometer == "none" {
		return false
	}
	return slices.ContainsFunc(p.instruments, func(i instrument) bool {
		return i.manual != nil || strings.Contains(i.header.Gives, "ambient_") || strings.Contains(i.header.Gives, "section_")
	})
}

// sameHeader compares what a person can change on the way.
func sameHeader(a, b holdlog.Header) bool {
	return a.Settings == b.Settings && slices.Equal(a.Devices, b.Devices)
}

// lastRecord is where a log stands.
type lastRecord struct {
	header  holdlog.Header
	wall    int64
	elapsed float64
}

// elapsedAt is the hold's time at a moment: the gas leaks on while no program runs.
func (l lastRecord) elapsedAt(now time.Time) float64 {
	if l.wall == 0 {
		return l.elapsed
	}
	return l.elapsed + max(0, float64(now.UnixMilli()-l.wall)/1000)
}

// lastOf reads a log to its end.
func lastOf(path string) (l lastRecord, err error) {
	f, err := os.Open(path)
	if err != nil {
		return l, err
	}
	defer f.Close()
	r := holdlog.NewReader(f)
	for {
		rec, err := r.Next()
		if errors.Is(err, io.EOF) {
			return l, nil
		}
		if err != nil {
			return l, fmt.Errorf("%q: %w", path, err)
		}
		if rec.Header != nil {
			l.header = *rec.Header
		}
		l.wall, l.elapsed = rec.Wall, max(l.elapsed, rec.Elapsed)
	}
}
