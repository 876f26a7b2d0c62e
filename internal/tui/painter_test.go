package tui

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// writes gives what is written, piece by piece; the writer waits until it is taken.
type writes chan string

func (w writes) Write(b []byte) (int, error) {
	w <- string(b)
	return len(b), nil
}

// glass is as much of a terminal as a painter needs: what it shows, row by row.
type glass []string

var sequence = regexp.MustCompile(`\x1b\[(\d*)(?:;1)?([HKJ])|[^\x1b]+`)

// put carries out what is written to the terminal; what is no text must be one of the sequences known here.
func (g *glass) put(t interface{ Fatalf(string, ...any) }, out string) {
	row, at := 0, 0
	for _, m := range sequence.FindAllStringSubmatchIndex(out, -1) {
		if m[0] != at {
			t.Fatalf("not known to the terminal: %q", out[at:m[0]])
		}
		at = m[1]
		command := ""
		if m[4] >= 0 {
			command = out[m[2]:m[3]] + out[m[4]:m[5]]
		}
		switch {
		case command == "2J":
			*g = nil
		case command == "2K":
			g.set(row, "")
		case strings.HasSuffix(command, "H"):
			n, err := strconv.Atoi(command[:len(command)-1])
			if err != nil {
				t.Fatalf("%q", command)
			}
			row = n - 1
		case command == "":
			g.write(row, out[m[0]:m[1]])
		default:
			t.Fatalf("not known to the terminal: %q", command)
		}
	}
}

// write puts text over what begins the row; the rest of the row stays.
func (g *glass) write(row int, text string) {
	if row < len(*g) && len((*g)[row]) > len(text) {
		text += (*g)[row][len(text):]
	}
	g.set(row, text)
}

func (g *glass) set(row int, text string) {
	for len(*g) <= row {
		*g = append(*g, "")
	}
	(*g)[row] = text
}

// Whatever frames follow each other, the terminal shows the last one.
func TestAnyFrameFollowsAnyOther(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lines := rapid.SliceOfN(rapid.SampledFrom([]string{"", "a", "b", "holding"}), 0, 6)
		var shows glass
		var before []string
		for _, frame := range rapid.SliceOfN(lines, 1, 5).Draw(t, "frames") {
			out := string(appendChanges(nil, before, frame))
			shows.put(t, out)
			if slices.Equal(before, frame) && out != "" {
				t.Fatalf("nothing changed, and %q is written", out)
			}
			before = frame
			if got, want := strings.TrimRight(strings.Join(shows, "\n"), "\n"), strings.TrimRight(strings.Join(frame, "\n"), "\n"); got != want {
				t.Fatalf("shows %q, want %q", got, want)
			}
		}
	})
}

// Over a slow line a second's news must not cost the whole screen.
func TestOnlyTheLinesThatChangedAreWritten(t *testing.T) {
	out := make(writes)
	p := newPainter(out)
	defer p.stop()
	rest := strings.Repeat("x", 200)
	p.show([]string{rest, "age 1 s", rest}, true)
	if first := <-out; !strings.Contains(first, rest) || !strings.Contains(first, "\x1b[2J") {
		t.Errorf("the first frame is %q", first)
	}
	p.show([]string{rest, "age 2 s", rest}, false)
	if next := <-out; !strings.Contains(next, "age 2 s") || len(next) > 40 {
		t.Errorf("then %q is written", next)
	}
}

// A terminal that takes nothing keeps nobody waiting, and is shown the newest frame when it takes again.
func TestAStalledTerminalGetsTheNewestFrameAndHoldsNobodyUp(t *testing.T) {
	out := make(writes)
	p := newPainter(out)
	p.show([]string{"frame 0"}, false)
	for i := range 1000 { // the painter stands in its first write, or is about to
		p.show([]string{fmt.Sprintf("frame %d", i+1)}, false)
	}
	p.name("the end")
	go p.stop()
	var shows glass
	seen := ""
	for range 2 { // what was under way, and what it is now
		select {
		case b := <-out:
			seen += b
		case <-p.done:
		}
	}
	<-p.done
	title := "\x1b]2;the end\a"
	if !strings.Contains(seen, title) {
		t.Errorf("no title in %q", seen)
	}
	shows.put(t, strings.ReplaceAll(seen, title, ""))
	if len(shows) != 1 || shows[0] != "frame 1000" {
		t.Errorf("shows %q", shows)
	}
}
