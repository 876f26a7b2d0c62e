//go:build !linux && !darwin && !freebsd && !openbsd && !netbsd

package main

import "io"

// lockPort has nothing to do where the system opens a port for one program only.
func lockPort(string) (io.Closer, error) { return noLock{}, nil }

type noLock struct{}

func (noLock) Close() error { return nil }

func permissionHint(string) string {
	return "End the program that has it open, or ask who administers this machine."
}

// mayOpen cannot be told beforehand where the system has no permissions on ports.
func mayOpen(string) bool { return true }
