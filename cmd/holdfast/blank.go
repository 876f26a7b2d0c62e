package main

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/units"
)

// noBlank as the value of --blank leaves out the blank hold of a record.
const noBlank = "none"

// sameVolume as the value of --blank-volume says that the blank was held in a volume as large as the section's.
const sameVolume = "same"

// blank reads --blank and --blank-volume: it judges the blank hold once and
// gives what writes the outcome into a header, where no file is needed any more.
func (f *settingsFlags) blank() (override, error) {
	setVolume, err := f.blankVolume()
	if err != nil {
		return nil, err
	}
	switch f.Blank {
	case "":
		return func(h *holdlog.Header) error {
			if f.BlankVolume != "" && h.Settings.Blank == (holdlog.Blank{}) {
				return usage("Add --blank FILE.", "--blank-volume without a blank hold")
			}
			setVolume(&h.Settings.Blank)
			return nil
		}, nil
	case noBlank:
		return func(h *holdlog.Header) error { h.Settings.Blank = holdlog.Blank{}; return nil }, nil
	}
	b, err := f.readBlank()
	if err != nil {
		return nil, err
	}
	setVolume(&b)
	return func(h *holdlog.Header) error { h.Settings.Blank = b; return nil }, nil
}

// blankVolume reads --blank-volume.
func (f *settingsFlags) blankVolume() (func(*holdlog.Blank), error) {
	switch {
	case f.BlankVolume == "":
		return func(*holdlog.Blank) {}, nil
	case strings.EqualFold(f.BlankVolume, sameVolume):
		return func(b *holdlog.Blank) { b.SameVolume = true }, nil
	}
	v, relative, err := units.ParseVolumeTolerance(f.BlankVolume)
	if err != nil {
		return nil, usage("", "--blank-volume: %w", err)
	}
	return func(b *holdlog.Blank) { b.Volume, b.VolumeError, b.SameVolume = v, relative, false }, nil
}

// readBlank judges the file of --blank. A log is taken as it stands; a CSV file
// was recorded with the same instruments, so what the flags say of them holds for it too.
func (f *settingsFlags) readBlank() (b holdlog.Blank, err error) {
	instruments := settingsFlags{
		Gas: f.Gas, Barometer: f.Barometer, Altitude: f.Altitude, Thermometer: f.Thermometer, PressureStep: f.PressureStep,
		TemperatureStep: f.TemperatureStep, PressureAccuracy: f.PressureAccuracy, PressureRange: f.PressureRange,
	}
	over, err := instruments.overrides()
	if err != nil {
		return b, err
	}
	src := &source{options: holdlog.Options{Verify: true}, over: func(h *holdlog.Header) error {
		if len(h.Devices) == 1 && h.Devices[0].Name == "csv" {
			return over(h)
		}
		return nil
	}}
	j, err := judgeFile(src, f.Blank)
	if err != nil {
		return b, fmt.Errorf("blank hold: %w", err)
	}
	if b, err = hold.BlankOf(j.state); err != nil {
		return b, trouble(fmt.Errorf("blank hold %q cannot be taken off: %w", f.Blank, err), "Hold hose, valve and sensor alone on a plug, for as long as the section.")
	}
	b.File = oneLine(filepath.Base(f.Blank))
	b.SHA256, err = fingerprint(f.Blank)
	return b, err
}

// fingerprint is the SHA-256 of a file, hex.
func fingerprint(path string) (string, error) {
	f, err := os.Open(path)
	if err != nil {
		return "", err
	}
	defer f.Close()
	h := sha256.New()
	if _, err := io.Copy(h, f); err != nil {
		return "", fmt.Errorf("%q: %w", path, err)
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}
