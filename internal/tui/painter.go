package tui

import (
	"io"
	"strconv"
	"sync"
	"time"

	"github.com/charmbracelet/x/ansi"
)

// painter writes frames to the terminal: one that has changed at once, then at
// most 60 a second, and of each the lines that differ. While nothing changes it
// sleeps. The terminal library's own painting wakes up for every frame, changed
// or not, which costs more than a hold does, and lets the first frame and the
// answer to a key wait for the next of them.
type painter struct {
	out  io.Writer
	wake chan struct{} // has an element when there is something to write
	done chan struct{} // closed when all is written after stop

	mu    sync.Mutex
	frame []string // what shall be seen
	title string   // of the terminal's window; "" = leave it
	anew  bool     // whatever the terminal shows
}

// frameTime is the least time between two frames.
const frameTime = time.Second / 60

// newPainter starts a painter, which goes on until stop.
func newPainter(out io.Writer) *painter {
	p := &painter{out: out, wake: make(chan struct{}, 1), done: make(chan struct{})}
	go p.run()
	return p
}

// show says what shall be seen; anew paints it whole, whatever the terminal
// shows. Both are said in one: else the last frame, of another size perhaps,
// would be painted whole in between. It does not wait for the terminal.
func (p *painter) show(frame []string, anew bool) {
	p.want(func() { p.frame, p.anew = frame, p.anew || anew })
}

// name gives the terminal's window a title.
func (p *painter) name(title string) { p.want(func() { p.title = title }) }

func (p *painter) want(change func()) {
	p.mu.Lock()
	change()
	p.mu.Unlock()
	select {
	case p.wake <- struct{}{}:
	default: // it is awake already
	}
}

// stop ends the painting, after what is still wanted. Nothing may be wanted after it.
func (p *painter) stop() {
	close(p.wake)
	<-p.done
}

func (p *painter) run() {
	defer close(p.done)
	var seen []string
	var title string
	for range p.wake {
		p.mu.Lock()
		frame, name, anew := p.frame, p.title, p.anew
		p.anew = false
		p.mu.Unlock()
		var b []byte
		if name != title {
			b = append(b, ansi.SetWindowTitle(name)...)
		}
		if anew {
			b, seen = append(b, ansi.EraseEntireScreen...), nil
		}
		b = appendChanges(b, seen, frame)
		seen, title = frame, name
		if len(b) == 0 {
			continue
		}
		_, _ = p.out.Write(b) // of a terminal that is gone the system tells by a signal
		time.Sleep(frameTime)
	}
}

// appendChanges writes what makes the frame before the frame after. The cursor,
// though it is hidden, is left at the last line, where it disturbs nobody.
func appendChanges(b []byte, before, after []string) []byte {
	begin := len(b)
	for i := range max(len(before), len(after)) {
		var was, is string
		if i < len(before) {
			was = before[i]
		}
		if i < len(after) {
			is = after[i]
		}
		if was == is {
			continue
		}
		b = appendRow(b, i)
		b = append(b, ansi.EraseEntireLine...)
		b = append(b, is...)
	}
	if len(b) > begin && len(after) > 0 {
		b = appendRow(b, len(after)-1)
	}
	return b
}

// appendRow puts the cursor at the beginning of a row, 0 = the first.
func appendRow(b []byte, row int) []byte {
	b = append(b, "\x1b["...)
	b = strconv.AppendInt(b, int64(row+1), 10)
	return append(b, ";1H"...)
}
