// Package decay is the mathematics of a pressure hold.
package decay
