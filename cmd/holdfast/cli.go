package main

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/alecthomas/kong"
)

// commands are all there are, in the order of the help.
type commands struct {
	Demo      demoCmd      `cmd:"" help:"Show a hold on a simulated bench, time running 60 times faster. Needs no device."`
	Plan      planCmd      `cmd:"" help:"Before the hold: pressure ceiling, time needed, smallest leak it can see."`
	Volume    volumeCmd    `cmd:"" help:"Reckon the volume of a section, from its tubes or by letting gas expand into it."`
	Capillary capillaryCmd `cmd:"" help:"Tell whether a capillary is clear, from how fast two volumes equalise through it."`
	Hold      holdCmd      `cmd:"" help:"Record and judge a hold as it happens."`
	Replay    replayCmd    `cmd:"" help:"Show a saved hold again, at any speed."`
	Judge     judgeCmd     `cmd:"" help:"Give the verdict of saved holds: logs of holdfast, or CSV."`
	Job       jobCmd       `cmd:"" help:"The whole repair: sections, joints, holds, what is proven, the close-up gate."`
	Report    reportCmd    `cmd:"" help:"Write the record of a hold or a job for the client: text, and HTML that prints."`
	Export    exportCmd    `cmd:"" help:"Write the samples of a saved hold as CSV."`
	Devices   devicesCmd   `cmd:"" help:"List the kinds of device, or the ports found."`
	Simulate  simulateCmd  `cmd:"" help:"Write the log of a simulated hold whose leak is known."`

	Completion completionCmd `cmd:"" help:"Write the completions of a shell: bash, zsh or fish."`
	Man        manCmd        `cmd:"" help:"Write the manual page."`

	Version bool `help:"Print name, version and revision, and stop."`
}

// command is what each of them does: it gives the exit code.
type command interface {
	run(a *app) (int, error)
}

const description = `Tells whether a closed-off section under standing pressure is tight, leaking or unproven.

Exit codes: 0 tight, or the command did its work; 1 leaking; 2 usage or internal trouble; 3 unproven; 4 instrument, file or other I/O trouble; 128+n ended by a signal.`

// stopParsing is thrown where the parser wants to end the program (after the help).
type stopParsing struct{}

// parse reads the command line. done = it is answered already.
func (a *app) parse(args []string) (cmd command, done bool, err error) {
	if args[0] == "--version" || args[0] == "version" {
		fmt.Fprintln(a.out, versionLine())
		return nil, true, nil
	}
	if i := slices.Index(args, "--accept"); i >= 0 && i+1 < len(args) && args[i+1] == "help" || slices.Contains(args, "--accept=help") {
		listAcceptances(a.out)
		return nil, true, nil
	}
	defer func() {
		if p := recover(); p != nil {
			if _, ok := p.(stopParsing); !ok {
				panic(p)
			}
			done = true
		}
	}()
	var c commands
	parser, err := a.parser(&c)
	if err != nil {
		return nil, false, err
	}
	if args[0] == "hold" {
		args = splitHolds(args)[0] // the others are parsed each by itself
	}
	ctx, err := parser.Parse(joinValues(args))
	if err != nil {
		return nil, false, parseFailure(err)
	}
	if c.Version {
		fmt.Fprintln(a.out, versionLine())
		return nil, true, nil
	}
	cmd, ok := ctx.Selected().Target.Addr().Interface().(command)
	if !ok {
		return nil, false, usage("`holdfast --help` lists the commands.", "no command in %q", strings.Join(args, " "))
	}
	return cmd, false, nil
}

// parser makes the parser of the commands.
func (a *app) parser(c *commands) (*kong.Kong, error) {
	p, err := kong.New(c, kong.Name("holdfast"), kong.Description(description),
		kong.Writers(a.out, a.err), kong.Exit(func(int) { panic(stopParsing{}) }),
		kong.ConfigureHelp(kong.HelpOptions{Compact: true, WrapUpperBound: 100}))
	if err != nil {
		return nil, &failure{exitUsage, err, ""}
	}
	return p, nil
}

// parseFailure makes a hint that names the command whose flags are meant.
func parseFailure(err error) error {
	hint := "`holdfast --help` lists the commands and flags."
	var p *kong.ParseError
	if errors.As(err, &p) && p.Context != nil && p.Context.Command() != "" {
		name, _, _ := strings.Cut(p.Context.Command(), " ")
		hint = fmt.Sprintf("`holdfast %s --help` lists the flags.", name)
	}
	return &failure{exitUsage, err, hint}
}

// joinValues puts back on its flag what only a person sees as its value: a
// tolerance that the shell split off its volume (--volume 0.3L ±5%), and a
// negative number, which the parser would take for a short flag (--zero -20Pa).
func joinValues(args []string) []string {
	var out []string
	for i, arg := range args {
		if i > 0 && negative(arg) && strings.HasPrefix(args[i-1], "--") && len(args[i-1]) > 2 && !strings.Contains(args[i-1], "=") {
			out[len(out)-1] += "=" + arg
			continue
		}
		loose := strings.HasPrefix(arg, "±") || strings.HasPrefix(arg, "+-") || strings.HasPrefix(arg, "+/-")
		if loose && i > 0 && (strings.HasPrefix(args[i-1], "--volume=") || i > 1 && args[i-2] == "--volume") {
			out[len(out)-1] += " " + arg
			continue
		}
		out = append(out, arg)
	}
	return out
}

// negative reports a number below zero; no short flag is a digit.
func negative(arg string) bool {
	return len(arg) > 1 && arg[0] == '-' && (arg[1] >= '0' && arg[1] <= '9' || arg[1] == '.' || arg[1] == ',')
}
