// Package tui is the root of the full-screen interface: it runs one screen in
// the terminal, keeps it inside the terminal's size, rings the bell and gives
// the terminal back. The screens are in packages of their own below it and
// know nothing of each other; package ui is their common look.
//
// It opens nothing and catches no signals: the caller owns both.
package tui
