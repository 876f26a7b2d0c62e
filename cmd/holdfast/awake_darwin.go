package main

import (
	"os"
	"os/exec"
	"strconv"
)

// awakeBy is the program that keeps this system awake.
const awakeBy = "caffeinate"

// keepAwake runs caffeinate, which ends when this program does. On battery a
// closed lid still sends the machine to sleep.
func keepAwake() awake {
	cmd := exec.Command(awakeBy, "-i", "-s", "-w", strconv.Itoa(os.Getpid()))
	if cmd.Start() != nil {
		return mayDoze()
	}
	return awake{by: awakeBy, release: func() {
		_ = cmd.Process.Kill() // it may have ended by itself
		_ = cmd.Wait()
	}}
}
