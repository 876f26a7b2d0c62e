package ui

import tea "github.com/charmbracelet/bubbletea"

// Title is the message by which a screen names the terminal's window.
type Title string

// SetTitle names the window.
func SetTitle(s string) tea.Cmd { return func() tea.Msg { return Title(s) } }
