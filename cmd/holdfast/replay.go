package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"

	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/tui"
	"example.org/holdfast/internal/tui/compare"
	"example.org/holdfast/internal/tui/holdscreen"
)

type replayCmd struct {
	File   string   `arg:"" help:"Log of holdfast or CSV file."`
	With   string   `placeholder:"FILE" help:"Another hold of the same section, as after a joint was remade: both in one chart, with the difference."`
	Speed  float64  `default:"100" help:"How many times faster than it was, 1 to 10000; changed with + and -."`
	ASCII  bool     `name:"ascii" help:"Draw with 7-bit characters only."`
	Plain  bool     `help:"Lines instead of the full screen, all at once."`
	Every  string   `default:"1m" help:"Time of the hold between the lines of --plain."`
	Column []string `sep:"none" placeholder:"pressure=\"P1 (psi)\":psi" help:"Says what a CSV column with another name holds. May be repeated."`
	settingsFlags
}

func (c *replayCmd) run(a *app) (int, error) {
	if !(c.Speed >= 1 && c.Speed <= 10000) {
		return exitUsage, usage("", "--speed: %v is not from 1 to 10000", c.Speed)
	}
	var every float64
	if err := seconds("every", c.Every, &every); err != nil {
		return exitUsage, err
	}
	src, err := newSource(a, c.Column, &c.settingsFlags)
	if err != nil {
		return exitUsage, err
	}
	if c.With != "" {
		return c.compare(a, src)
	}
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	t := src.tape(ctx, c.File)
	if c.Plain || !a.fullScreen() {
		if _, err := t.whole(); err != nil {
			return exitIO, err
		}
		noteDamage(a, t)
		replayLines(a, t, every)
		return exitOK, nil
	}
	<-t.begun
	if t.so().n == 0 {
		_, err := t.whole()
		return exitIO, err
	}
	return c.screen(a, t)
}

// noteDamage says of a tape that is read whether its file is as it was written.
func noteDamage(a *app, t *tape) {
	switch t.integrity.State() {
	case holdlog.Torn, holdlog.Altered:
		fmt.Fprintf(a.err, "note: the log is %s\n", t.integrity)
	}
}

// replayLines writes the lines that a live hold would have written, as fast as they come.
func replayLines(a *app, t *tape, every float64) {
	p := &plainLines{out: a.out, every: every, width: a.width}
	pl := newPlayer(t, 1)
	for pl.forward(1) {
		st := pl.publish()
		p.look(st, st.Elapsed)
	}
	st := pl.State()
	fmt.Fprintln(a.out)
	paragraph(a.out, "", "  ", fmt.Sprintf("%s: %s", upper(st), st.Verdict.Phrase))
	writeVerdict(a.out, st, false)
}

// screen plays a tape while it is still being read. What is wrong with the file is said when the screen has gone.
func (c *replayCmd) screen(a *app, t *tape) (int, error) {
	ui, endUI := context.WithCancel(context.Background())
	defer endUI()
	sig := a.onSignal(func(os.Signal) { endUI() })
	defer sig.stop()
	p := newPlayer(t, c.Speed)
	go p.run(ui)
	out := tui.NewTerminal(a.out.(*os.File)) // fullScreen has looked
	act := holdscreen.Actions{Bell: out.Bell, Player: p.controls(), WhatIf: whatIf(t)}
	_, err := tui.Run(ui, holdscreen.New(p, act, holdscreen.Options{Look: a.look(c.ASCII), Title: "replay"}), a.in, out)
	if code, ok := sig.code(); ok {
		return code, nil
	}
	if err != nil {
		return exitIO, fmt.Errorf("screen: %w", err)
	}
	if t.reading() {
		return exitOK, nil
	}
	noteDamage(a, t)
	if t.err != nil {
		return exitIO, t.err
	}
	return exitOK, nil
}

// compare shows two holds in one chart, or says their difference where there is no screen.
func (c *replayCmd) compare(a *app, src *source) (int, error) {
	first, err := judgeFile(src, c.File)
	if err != nil {
		return exitIO, err
	}
	second, err := judgeFile(src, c.With)
	if err != nil {
		return exitIO, err
	}
	words := []string{"One of them says nothing yet: nothing to compare."}
	if d, ok := hold.Compare(first.state, second.state); ok {
		words = d.Words()
	}
	if c.Plain || !a.fullScreen() {
		for _, j := range []judged{first, second} {
			fmt.Fprintf(a.out, "%s: %s, %s\n", oneLine(j.file), upper(j.state), oneLine(j.state.Verdict.Phrase))
		}
		for _, s := range words {
			paragraph(a.out, "  ", "  ", s)
		}
		return exitOK, nil
	}
	side := func(j judged) compare.Side { return compare.Side{Name: filepath.Base(j.file), State: j.state} }
	return a.screen(compare.New(side(first), side(second), words, a.look(c.ASCII)))
}

// screen runs a screen that nothing else hangs on.
func (a *app) screen(m tui.Screen) (int, error) {
	ui, endUI := context.WithCancel(context.Background())
	defer endUI()
	sig := a.onSignal(func(os.Signal) { endUI() })
	defer sig.stop()
	_, err := tui.Run(ui, m, a.in, tui.NewTerminal(a.out.(*os.File))) // fullScreen has looked
	if code, ok := sig.code(); ok {
		return code, nil
	}
	if err != nil {
		return exitIO, fmt.Errorf("screen: %w", err)
	}
	return exitOK, nil
}
