package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/alecthomas/kong"
)

type manCmd struct{}

func (c *manCmd) run(a *app) (int, error) {
	parser, err := a.parser(&commands{})
	if err != nil {
		return exitUsage, err
	}
	writeMan(a.out, parser.Model.Node)
	return exitOK, nil
}

// writeMan writes the manual page, in the man macros of roff, from the table of commands.
func writeMan(w io.Writer, root *kong.Node) {
	about, exits, _ := strings.Cut(description, "\n\n")
	fmt.Fprintf(w, ".TH HOLDFAST 1\n.SH NAME\nholdfast \\- %s\n", roff(strings.ToLower(about[:1])+strings.TrimSuffix(about[1:], ".")))
	fmt.Fprint(w, ".SH SYNOPSIS\n.B holdfast\n.RI [ command ]\n.RI [ flags ]\n.SH DESCRIPTION\n"+
		"Without a command, on a terminal, the start screen asks what to do.\n.SH COMMANDS\n")
	for _, c := range allWords(root, "")[1:] {
		if len(c.subs) == 0 {
			manCommand(w, root, c)
		}
	}
	fmt.Fprintf(w, ".SH EXIT STATUS\n%s\n", roff(strings.TrimPrefix(exits, "Exit codes: ")))
	fmt.Fprint(w, ".SH ENVIRONMENT\n.TP\n.B NO_COLOR\nno colours, if it is not empty.\n.TP\n.B HOLDFAST_HOME\n"+
		"folder in which the logs of holds go into holds, in place of the data folder of the system.\n")
}

// manCommand writes one command with its own flags.
func manCommand(w io.Writer, root *kong.Node, c choices) {
	n := find(root, c.path)
	synopsis := c.path
	for _, p := range n.Positional {
		synopsis += " " + p.Summary()
	}
	fmt.Fprintf(w, ".SS holdfast %s\n%s\n", roff(synopsis), roff(n.Help))
	for _, p := range n.Positional {
		fmt.Fprintf(w, ".TP\n.I %s\n%s\n", roff(p.Name), roff(p.Help))
	}
	for _, f := range n.Flags {
		if f.Hidden {
			continue
		}
		value := ""
		if !f.IsBool() {
			value = "=" + f.FormatPlaceHolder()
		}
		fmt.Fprintf(w, ".TP\n.B %s%s\n%s\n", roff("--"+f.Name), roff(value), roff(f.Help))
	}
}

// find goes down to a command.
func find(n *kong.Node, path string) *kong.Node {
	for _, word := range strings.Fields(path) {
		for _, sub := range n.Children {
			if sub.Name == word {
				n = sub
				break
			}
		}
	}
	return n
}

// roff makes a text harmless for roff: no escapes, no requests, real hyphens.
func roff(s string) string {
	s = strings.NewReplacer(`\`, `\e`, "-", `\-`, "±", `\(+-`).Replace(oneLine(s))
	if strings.HasPrefix(s, ".") || strings.HasPrefix(s, "'") {
		s = `\&` + s
	}
	return s
}
