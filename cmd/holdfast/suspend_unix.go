//go:build unix

package main

import (
	"os"
	"os/signal"
	"syscall"
)

// catchSuspend takes what ctrl-z sends where the terminal is not the screen's.
func catchSuspend(ch chan<- os.Signal) { signal.Notify(ch, syscall.SIGTSTP) }
