package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/alecthomas/kong"
)

type completionCmd struct {
	Shell string `arg:"" enum:"bash,zsh,fish" help:"bash, zsh or fish."`
}

func (c *completionCmd) run(a *app) (int, error) {
	parser, err := a.parser(&commands{})
	if err != nil {
		return exitUsage, err
	}
	write := map[string]func(io.Writer, []choices){"bash": bashCompletion, "zsh": zshCompletion, "fish": fishCompletion}[c.Shell]
	write(a.out, allWords(parser.Model.Node, ""))
	return exitOK, nil
}

// choices are what can follow a command: its subcommands and flags.
type choices struct {
	path  string // "devices check"; "" = the program itself
	subs  []*kong.Node
	flags []*kong.Flag
}

// allWords walks the tree of commands.
func allWords(n *kong.Node, path string) []choices {
	w := choices{path: path, flags: visible(n)}
	out := []choices{w}
	for _, sub := range n.Children {
		if sub.Hidden || sub.Type == kong.ArgumentNode {
			continue
		}
		out[0].subs = append(out[0].subs, sub)
		out = append(out, allWords(sub, strings.TrimSpace(path+" "+sub.Name))...)
	}
	return out
}

// visible are the flags of a command, its own and those of the program.
func visible(n *kong.Node) (out []*kong.Flag) {
	for _, group := range n.AllFlags(true) {
		out = append(out, group...)
	}
	return out
}

// bashCompletion finds the command among the words typed so far; the longest name that is one counts.
func bashCompletion(w io.Writer, all []choices) {
	fmt.Fprint(w, "# bash completion for holdfast: source <(holdfast completion bash)\n_holdfast() {\n"+
		"  local cur=${COMP_WORDS[COMP_CWORD]} at= word\n"+
		"  for word in \"${COMP_WORDS[@]:1:COMP_CWORD-1}\"; do\n    case \"$at $word\" in\n")
	for _, c := range all[1:] {
		parent, name := cutLast(c.path)
		fmt.Fprintf(w, "      '%s %s') at='%s' ;;\n", parent, name, c.path)
	}
	fmt.Fprint(w, "    esac\n  done\n  local subs= flags=\n  case \"$at\" in\n")
	for _, c := range all {
		fmt.Fprintf(w, "    '%s') subs='%s' flags='%s' ;;\n", c.path, strings.Join(c.names(), " "), strings.Join(c.flagNames(), " "))
	}
	fmt.Fprint(w, "  esac\n  case \"$cur\" in\n    -*) COMPREPLY=($(compgen -W \"$flags\" -- \"$cur\")) ;;\n"+
		"    *) COMPREPLY=($(compgen -W \"$subs\" -- \"$cur\") $(compgen -f -- \"$cur\")) ;;\n"+
		"  esac\n}\ncomplete -o filenames -F _holdfast holdfast\n")
}

func zshCompletion(w io.Writer, all []choices) {
	fmt.Fprint(w, "#compdef holdfast\n# zsh completion for holdfast: source <(holdfast completion zsh), or put it into a folder of $fpath as _holdfast\n_holdfast() {\n"+
		"  local at= word\n  for word in \"${(@)words[2,CURRENT-1]}\"; do\n    case \"$at $word\" in\n")
	for _, c := range all[1:] {
		parent, name := cutLast(c.path)
		fmt.Fprintf(w, "      '%s %s') at='%s' ;;\n", parent, name, c.path)
	}
	fmt.Fprint(w, "    esac\n  done\n  local -a subs flags\n  case \"$at\" in\n")
	for _, c := range all {
		fmt.Fprintf(w, "    '%s')\n", c.path)
		zshArray(w, "      subs=(", "'%s:%s' ", c.subs, func(n *kong.Node) (string, string) { return n.Name, n.Help })
		zshArray(w, "      flags=(", "'--%s:%s' ", c.flags, func(f *kong.Flag) (string, string) { return f.Name, f.Help })
		fmt.Fprint(w, "      ;;\n")
	}
	fmt.Fprint(w, "  esac\n  if [[ $PREFIX == -* ]]; then _describe flag flags; return; fi\n"+
		"  (( $#subs )) && _describe command subs\n  _files\n}\n"+
		"if [[ $zsh_eval_context[-1] == loadautofunc ]]; then _holdfast \"$@\"; else compdef _holdfast holdfast; fi\n")
}

// zshArray writes an array of name and help.
func zshArray[T any](w io.Writer, begin, format string, items []T, of func(T) (name, help string)) {
	fmt.Fprint(w, begin)
	for _, item := range items {
		name, help := of(item)
		fmt.Fprintf(w, format, name, strings.NewReplacer("'", "", ":", `\:`).Replace(help))
	}
	fmt.Fprint(w, ")\n")
}

func fishCompletion(w io.Writer, all []choices) {
	fmt.Fprint(w, "# fish completion for holdfast: holdfast completion fish | source\n")
	quote := func(s string) string { return "'" + strings.ReplaceAll(s, "'", `\'`) + "'" }
	for _, c := range all {
		when := "__fish_use_subcommand"
		if c.path != "" {
			seen := []string{}
			for _, word := range strings.Fields(c.path) {
				seen = append(seen, "__fish_seen_subcommand_from "+word)
			}
			when = strings.Join(seen, "; and ")
		}
		for _, n := range c.subs {
			fmt.Fprintf(w, "complete -c holdfast -n %s -a %s -d %s\n", quote(when), n.Name, quote(n.Help))
		}
		for _, f := range c.flags {
			fmt.Fprintf(w, "complete -c holdfast -n %s -l %s -d %s\n", quote(when), f.Name, quote(f.Help))
		}
	}
}

func (c choices) names() (out []string) {
	for _, n := range c.subs {
		out = append(out, n.Name)
	}
	return out
}

func (c choices) flagNames() (out []string) {
	for _, f := range c.flags {
		out = append(out, "--"+f.Name)
	}
	return out
}

// cutLast splits off the last word.
func cutLast(path string) (before, last string) {
	if i := strings.LastIndexByte(path, ' '); i >= 0 {
		return path[:i], path[i+1:]
	}
	return "", path
}
