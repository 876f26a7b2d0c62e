// Package tui is the root of the full-screen interface: it runs one screen in
// the terminal, keeps it inside the terminal's size, rings the bell and gives
// the terminal back. The screens are in packages of their own below it and
// know nothing of each other; package ui is their common look.
//
// It opens nothing, and the signals that end a program are the caller's: it
// hears only that the terminal has another size, or that the program was stopped
// and goes on.
package tui
