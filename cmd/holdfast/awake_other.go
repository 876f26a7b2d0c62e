//go:build !linux && !darwin && !windows

package main

const awakeBy = ""

func keepAwake() awake { return mayDoze() }
