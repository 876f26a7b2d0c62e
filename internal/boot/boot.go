// Package boot keeps holdfast from asking the terminal questions at start-up.
//
// The terminal library finds out in its own init whether the background is
// dark, by writing a query and waiting up to five seconds for the answer; a
// terminal that does not answer (a serial console, a bare pseudo-terminal)
// would make even --version slow. Answering the question here first stops it.
// Go initialises packages in the order of their import paths where nothing
// else decides, and this path sorts before github.com/charmbracelet/bubbletea.
//
// main imports it for its side effect. It is the one init of the program, and
// it imports nothing but lipgloss: anything more could pull bubbletea in front.
package boot

import "github.com/charmbracelet/lipgloss"

func init() { lipgloss.SetHasDarkBackground(true) }
