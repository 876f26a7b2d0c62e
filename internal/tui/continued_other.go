//go:build !unix

package tui

import "os"

// catchContinued has nothing to take: no shell stops programs here.
func catchContinued(chan<- os.Signal) {}
