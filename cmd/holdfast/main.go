// Command holdfast watches a standing-pressure hold of a sealed refrigeration
// circuit and says whether it is tight, leaking or unproven.
//
// The package holds the flags, the list of devices, the opening of ports and
// the wiring of the packages that do the work. What a hold means is decided in
// internal/hold, what a device says in drivers/<device>; nothing of either is
// decided here.
package main

import (
	"io"
	"os"
	"time"

	_ "example.org/holdfast/internal/boot" // stops the start-up query of the terminal library; must stay imported by main
)

func main() {
	os.Exit(run(os.Args[1:], os.Getenv, os.Stdin, os.Stdout, os.Stderr))
}

// app is what a command has of the world outside.
type app struct {
	args   []string // of the command, as typed
	getenv func(string) string
	in     io.Reader
	out    io.Writer // data
	err    io.Writer // talk
	now    func() time.Time
	exit   func(code int) // at once, past everything: only for a program that hangs
}

// run is the program; its result is the exit code.
func run(args []string, getenv func(string) string, in io.Reader, out, err io.Writer) int {
	a := &app{args: args, getenv: getenv, in: in, out: out, err: err, now: time.Now, exit: os.Exit}
	if len(args) == 0 {
		return a.finish(a.start())
	}
	cmd, done, e := a.parse(args)
	if done || e != nil {
		return a.finish(exitOK, e)
	}
	return a.finish(cmd.run(a))
}
