package main

import (
	"runtime"

	"golang.org/x/sys/windows"
)

// Flags of SetThreadExecutionState.
const (
	esContinuous     = 0x80000000
	esSystemRequired = 0x00000001
)

// awakeBy is no program: the system is asked.
const awakeBy = ""

// keepAwake asks for it with SetThreadExecutionState, which holds for as long
// as the thread that called it lives.
func keepAwake() awake {
	proc := windows.NewLazySystemDLL("kernel32.dll").NewProc("SetThreadExecutionState")
	if proc.Find() != nil {
		return mayDoze()
	}
	done, took := make(chan struct{}), make(chan bool)
	go func() {
		runtime.LockOSThread() // never unlocked: the thread ends with the goroutine
		before, _, _ := proc.Call(esContinuous | esSystemRequired)
		took <- before != 0
		<-done
		_, _, _ = proc.Call(esContinuous)
	}()
	if !<-took {
		close(done)
		return mayDoze()
	}
	return awake{by: "SetThreadExecutionState", release: func() { close(done) }}
}
