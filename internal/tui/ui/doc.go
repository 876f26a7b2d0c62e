// Package ui is the look that the screens of holdfast share: styles named by
// meaning, big digits, the verdict banner, the chart, keys and help, the
// cautions, and the few functions that fit text into a rectangle.
//
// It knows nothing of holds. Sizes are terminal cells; everything it returns
// fits into the width and height it was given, down to one cell. Colour only
// repeats what a word, a shape or a position already says.
package ui
