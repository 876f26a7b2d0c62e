//go:build unix

package tui

import (
	"os"
	"os/signal"
	"syscall"
)

// catchContinued takes what a program hears that was stopped and goes on.
func catchContinued(ch chan<- os.Signal) { signal.Notify(ch, syscall.SIGCONT) }
