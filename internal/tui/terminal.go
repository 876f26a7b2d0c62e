package tui

import (
	"os"
	"strings"
	"sync"

	"example.org/holdfast/internal/tui/ui"
)

// Terminal is the terminal as an output that several may write to: a bell or
// a title never lands inside a frame. It keeps the file's descriptor, by which
// bubbletea knows that it is a terminal.
type Terminal struct {
	*os.File
	mu sync.Mutex
}

// NewTerminal wraps a file, as a rule os.Stdout.
func NewTerminal(f *os.File) *Terminal { return &Terminal{File: f} }

// Write writes b in one piece.
func (t *Terminal) Write(b []byte) (int, error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.File.Write(b)
}

// WriteString writes s in one piece.
func (t *Terminal) WriteString(s string) (int, error) { return t.Write([]byte(s)) }

// Bell rings once. It waits as long as the terminal is stalled, so it is
// called from a goroutine of its own. An error is of no use to anybody here:
// who cannot hear the bell will not read about it on the same terminal.
func (t *Terminal) Bell() { _, _ = t.Write([]byte{'\a'}) }

// Notification is the sequence by which a terminal hands a text to the desktop.
type Notification string

// The two that terminals know (their own documents, from memory). One that
// knows neither shows nothing, or rubbish: so neither is sent unasked.
const (
	OSC9   Notification = "osc9"   // ESC ] 9 ; text
	OSC777 Notification = "osc777" // ESC ] 777 ; notify ; title ; text
)

// Notify tells the desktop. Like Bell it may wait.
func (t *Terminal) Notify(how Notification, text string) {
	text = strings.ReplaceAll(ui.Clean(text, 200), ";", ",")
	switch how {
	case OSC9:
		_, _ = t.WriteString("\x1b]9;" + text + "\x1b\\")
	case OSC777:
		_, _ = t.WriteString("\x1b]777;notify;holdfast;" + text + "\x1b\\")
	}
}
