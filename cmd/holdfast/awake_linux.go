package main

import (
	"bufio"
	"os/exec"
	"syscall"
	"time"
)

// awakePatience is how long the login manager may take to answer.
const awakePatience = time.Second

// awakeBy is the program that keeps this system awake.
const awakeBy = "systemd-inhibit"

// keepAwake holds an inhibitor lock of the login manager through
// systemd-inhibit, which runs its command only once it has the lock. The
// command waits for the end of its input, so the lock goes with this program however that ends.
func keepAwake() awake {
	cmd := exec.Command(awakeBy, "--what=idle:sleep:handle-lid-switch", "--mode=block",
		"--who=holdfast", "--why=a hold is being recorded", "sh", "-c", "echo held; exec cat >/dev/null")
	cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true} // a ctrl-c at the terminal is not for it
	in, err := cmd.StdinPipe()
	if err != nil {
		return mayDoze()
	}
	out, err := cmd.StdoutPipe()
	if err != nil || cmd.Start() != nil {
		in.Close()
		return mayDoze()
	}
	held := make(chan bool, 1)
	go func() {
		line, _ := bufio.NewReader(out).ReadString('\n')
		held <- line == "held\n"
		_ = cmd.Wait() // what it ended with says nothing that held does not
	}()
	release := func() { in.Close() }
	select {
	case ok := <-held:
		if ok {
			return awake{by: awakeBy, release: release}
		}
	case <-time.After(awakePatience):
	}
	release()
	return mayDoze()
}
