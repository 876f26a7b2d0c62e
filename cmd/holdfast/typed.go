package main

import (
	"bufio"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"example.org/holdfast/internal/tui"
)

// typedHelp is what can be typed where lines are shown instead of the screen.
const typedHelp = "type mark and what you did, refill, limit 0.4%/h, closed (vacuum: the valve to the pump), or stop; then Enter"

// listen carries out what a person types while lines are shown. What is no
// command is a reading, if there is a device for it; the end of the input ends that device.
func (r *running) listen() {
	var manual *session
	for _, s := range r.sessions {
		if s.plan.manual() != nil {
			manual = s
		}
	}
	terminal := tui.IsTerminal(r.a.in)
	if manual == nil && !terminal { // what is piped in is for a device, or nothing
		return
	}
	if terminal {
		paragraph(r.a.err, "", "  ", typedHelp)
	}
	readings, pass := io.Pipe()
	if manual != nil {
		go func() {
			manual.takeReadings(readings)
			_ = readings.Close() // what is typed after that waits for nobody
		}()
	}
	go func() {
		defer pass.Close()
		for lines := bufio.NewScanner(r.a.in); lines.Scan(); {
			if answer, command := r.obey(lines.Text()); command {
				paragraph(r.a.err, "", "  ", answer)
			} else if manual != nil {
				fmt.Fprintln(pass, lines.Text())
			} else if strings.TrimSpace(lines.Text()) != "" {
				paragraph(r.a.err, "", "  ", "not understood; "+typedHelp)
			}
		}
	}()
}

// obey carries out a typed command and says what it did; false = the line is none.
// Where there are several holds the number of one stands before it.
func (r *running) obey(line string) (answer string, command bool) {
	words := strings.Fields(line)
	which := r.sessions
	if len(words) > 1 && len(r.sessions) > 1 {
		if n, err := strconv.Atoi(words[0]); err == nil && n >= 1 && n <= len(r.sessions) && isCommand(words[1]) {
			which, words = r.sessions[n-1:n], words[1:]
		}
	}
	if len(words) == 0 || !isCommand(words[0]) {
		return "", false
	}
	rest := strings.Join(words[1:], " ")
	switch word := words[0]; {
	case word == "help" || word == "?":
		return typedHelp, true
	case word == "stop" || word == "q":
		for _, s := range which {
			s.stop()
		}
		return "stopping", true
	case len(which) > 1:
		return fmt.Sprintf("which hold? put its number before it: 2 %s", strings.Join(words, " ")), true
	default:
		return which[0].obey(word, rest), true
	}
}

func isCommand(word string) bool {
	return slices.Contains([]string{"help", "?", "stop", "q", "mark", "m", "refill", "r", "limit", "l", "closed", "c"}, word)
}

// obey carries out a command for this hold; the lines of the hold will show it.
func (s *session) obey(word, rest string) string {
	vacuum := s.plan.header.Settings.Kind == "vacuum"
	switch word[0] {
	case 'm':
		if rest == "" {
			return "mark what? for example: mark joint soaped"
		}
		s.mark(rest)
		return "marked: " + rest
	case 'l':
		echo, err := s.limit(rest, true)
		if err != nil {
			return "not taken: " + err.Error()
		}
		return "limit read as " + echo
	case 'r':
		if vacuum {
			return "not taken: a vacuum is not filled; closed begins the rise anew"
		}
		s.refill()
		return "a new filling begins"
	}
	if !vacuum {
		return "not taken: closed is of a hold under vacuum; here the pressure itself shows it"
	}
	s.closedOff()
	return "closed off: the rise begins now"
}
