package main

import (
	"runtime"
	"runtime/debug"
)

// version is the number of the next release.
const version = "0.1.0"

// program is what a log names as its writer.
func program() string { return "holdfast " + version }

// versionLine gives name, version, revision and Go version.
func versionLine() string {
	revision, modified := "unknown", ""
	if info, ok := debug.ReadBuildInfo(); ok {
		for _, s := range info.Settings {
			switch s.Key {
			case "vcs.revision":
				revision = s.Value[:min(12, len(s.Value))]
			case "vcs.modified":
				if s.Value == "true" {
					modified = " (modified)"
				}
			}
		}
	}
	return program() + " revision " + revision + modified + " " + runtime.Version()
}
