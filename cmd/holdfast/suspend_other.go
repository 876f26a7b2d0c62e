//go:build !unix

package main

import "os"

// catchSuspend has nothing to take: ctrl-z stops no program here.
func catchSuspend(chan<- os.Signal) {}
