//go:build unix

package main

import (
	"os"
	"os/signal"
	"syscall"
)

// catchSuspend takes what ctrl-z sends where the terminal is not the screen's. A
// program in the background that reads the keyboard is not stopped either: the reading fails.
func catchSuspend(ch chan<- os.Signal) {
	signal.Ignore(syscall.SIGTTIN)
	signal.Notify(ch, syscall.SIGTSTP)
}
