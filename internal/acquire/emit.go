package acquire

import (
	"context"
	"fmt"
	"math"
	"time"

	"example.org/holdfast/drivers"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/units"
)

// post puts a record in line with its stamp. Records are few and never refused. It needs the lock.
func (a *Acquirer) post(r holdlog.Record, at stamp) {
	if a.ended {
		return
	}
	r.Wall, r.Elapsed = at.wall, at.elapsed
	a.queue = append(a.queue, item{record: r})
	a.wake()
}

// postReading puts a reading in line. A pressure finds room as long as there
// is any; the rest gives up half of it, so that a chattering thermometer
// cannot crowd out the gauge. What finds no room is counted and reported with
// the next reading that does. It needs the lock.
func (a *Acquirer) postReading(d *device, r drivers.Reading, at stamp) {
	if a.ended {
		return
	}
	limit := a.cfg.Backlog
	if !r.HasPressure() {
		limit /= 2
	}
	if a.held >= limit {
		a.over++
		return
	}
	if a.over > 0 {
		a.post(holdlog.Record{Kind: holdlog.KindEvent, Event: holdlog.Event{
			Kind: holdlog.EventGap, Text: fmt.Sprintf("the log did not keep up: %s lost", units.FormatCount(a.over, "reading")),
		}}, at)
		a.over = 0
	}
	a.held++
	a.queue = append(a.queue, item{dev: d, reading: r, record: holdlog.Record{Wall: at.wall, Elapsed: at.elapsed}})
	a.wake()
}

// hasteBacklog is how many readings a source that makes its own time may be ahead of the log.
const hasteBacklog = 1000

// awaitRoom holds back a source that makes its own time. A real instrument goes
// on measuring whether anybody listens or not; a simulator at full speed can
// wait, and must not lose readings to its own haste.
func (a *Acquirer) awaitRoom(ctx context.Context) {
	for ctx.Err() == nil {
		a.mu.Lock()
		room := a.held < min(hasteBacklog, a.cfg.Backlog/2)
		a.mu.Unlock()
		if room {
			return
		}
		time.Sleep(time.Millisecond)
	}
}

func (a *Acquirer) wake() {
	select {
	case a.ready <- struct{}{}:
	default:
	}
}

// emit makes a Record of an item and hands it on; false = that was a stop event.
func (a *Acquirer) emit(it item) bool {
	switch {
	case it.dev == nil && it.record.Kind == holdlog.KindEvent && it.record.Event.Kind == holdlog.EventStop:
		a.flushRejects(true)
		a.cfg.Emit(it.record)
		return false
	case it.dev == nil:
		a.cfg.Emit(it.record)
	case it.reading.Doubt != "":
		a.emitReject(it)
	default:
		a.emitSample(it)
	}
	return true
}

func (a *Acquirer) emitReject(it item) {
	r := it.record
	r.Kind, r.Text, r.Why = holdlog.KindReject, it.reading.Raw, it.reading.Doubt
	if a.rejects.allow(r) {
		a.cfg.Emit(r)
	}
}

// flushRejects emits the count of rejects held back, if it is due.
func (a *Acquirer) flushRejects(now bool) {
	a.mu.Lock()
	at := a.time.now()
	a.mu.Unlock()
	if n, ok := a.rejects.due(at.elapsed, now); ok {
		a.cfg.Emit(holdlog.Record{
			Kind: holdlog.KindReject, Wall: at.wall, Elapsed: at.elapsed,
			Why: fmt.Sprintf("%d more not kept one by one", n), Count: n,
		})
	}
}

func (a *Acquirer) emitSample(it item) {
	s, ok := a.pairs.sample(it.dev.index, it.reading, it.record.Elapsed)
	if !ok {
		return
	}
	tidy(&s)
	s.Raw = a.pairs.newWords(it.dev.index, it.reading)
	r := it.record
	r.Kind, r.Sample = holdlog.KindSample, s
	a.cfg.Emit(r)
}

// tidy takes out what reckoning with binary fractions left behind the digits of
// a device: 10.002 bar are 1000200 Pa, not 1000200.0000000001.
func tidy(s *holdlog.Sample) {
	s.Pressure = tidied(s.Pressure)
	s.Ambient = units.Temperature(tidied(float64(s.Ambient)))
	s.Section = units.Temperature(tidied(float64(s.Section)))
	s.Barometer = units.Absolute(tidied(float64(s.Barometer)))
}

// tidied rounds v to twelve digits, a millionth of a Pa at 10 bar.
func tidied(v float64) float64 {
	const digits, exact = 12, 1e11 // above exact the power of ten would be a fraction, and not exact
	size := math.Abs(v)
	if !(size > 1e-9 && size < exact) {
		return v // NaN too
	}
	scale := math.Pow10(digits - 1 - int(math.Floor(math.Log10(size))))
	return math.Round(v*scale) / scale
}

// limiter keeps a device that talks nonsense from filling the log: a few
// rejects a second are kept as they are, the others are counted.
type limiter struct {
	second     float64 // start of the present window, s
	inSecond   int
	suppressed int
	reported   float64 // when the count was last given, s
}

const (
	rejectsPerSecond = 3
	rejectCountEvery = 10.0 // s
)

func (l *limiter) allow(r holdlog.Record) bool {
	if r.Elapsed-l.second >= 1 {
		l.second, l.inSecond = math.Floor(r.Elapsed), 0
	}
	if l.inSecond < rejectsPerSecond {
		l.inSecond++
		return true
	}
	l.suppressed++
	return false
}

func (l *limiter) due(now float64, force bool) (int, bool) {
	if l.suppressed == 0 || (!force && now-l.reported < rejectCountEvery) {
		return 0, false
	}
	n := l.suppressed
	l.suppressed, l.reported = 0, now
	return n, true
}
