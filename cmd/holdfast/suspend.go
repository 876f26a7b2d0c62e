package main

import (
	"fmt"
	"os"
	"os/signal"
)

// goOnAtCtrlZ keeps ctrl-z from stopping the recording, and says so where the keys
// are not the screen's. It gives the function that ends this.
func (r *running) goOnAtCtrlZ() (end func()) {
	suspended := make(chan os.Signal, 1)
	catchSuspend(suspended)
	go func() {
		for range suspended {
			if r.view.plain {
				fmt.Fprintln(r.a.err, "ctrl-z would stop the recording, so it does nothing; ctrl-c ends the hold")
			}
		}
	}()
	return func() { signal.Stop(suspended); close(suspended) }
}
