//go:build !linux && !darwin && !windows

package main

func keepAwake() awake { return mayDoze() }
